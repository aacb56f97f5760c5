"""Target preload of one stud from what the planner states."""

from calc.hardware.threads import Numbers


def from_stress(stress: Numbers, area: Numbers) -> Numbers:
    """Preload F = σ A, the stress on the area that was named (`threads.area`). [N]

    >>> from_stress(345e6, 1e-3)
    345000.0
    """
    return stress * area


def from_yield(fraction: Numbers, yield_strength: Numbers, area: Numbers) -> Numbers:
    """Preload F = fraction · Re · A, a share of the minimum yield on the area that was named. [N]

    >>> from_yield(0.5, 720e6, 1e-3)
    360000.0
    """
    return fraction * yield_strength * area


def from_gasket(gasket_stress: Numbers, gasket_area: Numbers, studs: Numbers) -> Numbers:
    """Preload per stud F = Sg Ag / nb that gives a gasket stress (PCC-1 Appendix O, step 1). [N]

    >>> from_gasket(100e6, 8e-3, 16)
    50000.0
    """
    return gasket_stress * gasket_area / studs
