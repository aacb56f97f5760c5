"""Appendix 2 of ASME VIII-1: the effective width in both published forms, loads, and the m, y table."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.findings import InputError
from calc.hardware import gaskets
from calc.quantities import INCH, LBF, PSI
from calc.units import to_si

widths = st.floats(1e-4, 0.1)


def inch_form(b0: float) -> float:
    """b0 up to 1/4 in, then 0.5 √b0, in inches as published."""
    inches = b0 / INCH
    return (inches if inches <= 0.25 else 0.5 * math.sqrt(inches)) * INCH


def millimetre_form(b0: float) -> float:
    """b0 up to 6 mm, then 2.52 √b0, in millimetres as published."""
    mm = b0 * 1e3
    return (mm if mm <= 6 else 2.52 * math.sqrt(mm)) * 1e-3


@given(widths)
def test_effective_width_is_the_inch_form(b0: float) -> None:
    assert gaskets.effective_width(b0) == pytest.approx(inch_form(b0), rel=1e-12)


@given(widths)
def test_the_millimetre_form_differs_only_as_stated(b0: float) -> None:
    ratio = millimetre_form(b0) / float(gaskets.effective_width(b0))

    if b0 <= 6e-3:
        assert ratio == pytest.approx(1, rel=1e-15)
    elif b0 <= INCH / 4:
        assert 1 - 1e-15 <= ratio < 1.029
    else:
        assert ratio == pytest.approx(1.00003, abs=5e-6)


def test_effective_width_is_continuous_at_its_limit() -> None:
    at, above = (float(gaskets.effective_width(INCH / 4 * (1 + step))) for step in (0.0, 1e-9))

    assert above == pytest.approx(at, rel=1e-8)


def test_worked_example() -> None:
    """Contact face 10.38 x 9.19 in, 700 psi, m 3, y 10 000 psi (own inputs, computed apart in inches)."""
    outside, inside = 10.38 * INCH, 9.19 * INCH
    basic = gaskets.basic_width("1a", (outside - inside) / 2)
    loads = gaskets.design_loads(outside, inside, 700 * PSI, 3.0, 10_000 * PSI, basic=basic)

    assert (loads.b / INCH, loads.G / INCH) == pytest.approx((0.27272, 9.83456), abs=5e-6)
    assert [round(float(load) / LBF) for load in (loads.H, loads.operating, loads.seating)] == [53174, 88563, 84259]


def test_a_narrow_gasket_reacts_on_its_mean_diameter() -> None:
    loads = gaskets.design_loads(0.250, 0.240, 2e6, 2.0, 20e6, basic=gaskets.basic_width("1a", 0.005))

    assert (loads.b, loads.G) == pytest.approx((0.0025, 0.245))


@pytest.mark.parametrize(
    ("facing", "share"),
    [("1a", 1 / 2), ("1b", 1 / 2), ("6", 1 / 8), ("3 I", 1 / 4), ("3 II", 3 / 8), ("4 I", 3 / 8), ("4 II", 7 / 16),
     ("5 I", 1 / 4), ("5-II", 3 / 8), ("Sketch 1A", 1 / 2), ("sketch 3, column II", 3 / 8)],
)  # fmt: skip
def test_basic_width_by_sketch(facing: str, share: float) -> None:
    """Table 2-5.2; 1a and 6 as read, the others from memory."""
    assert gaskets.basic_width(facing, 0.016) == pytest.approx(share * 0.016, rel=1e-15)


def test_basic_width_of_sketches_with_a_contact_width() -> None:
    """Table 2-5.2, from memory: 1c (w + T)/2 but not above (w + N)/4; 2 (w + N)/4 or (w + 3 N)/8."""
    assert gaskets.basic_width("1c", 0.02, contact=0.01, thickness=0.002) == pytest.approx(0.006)
    assert gaskets.basic_width("1d", 0.02, contact=0.01, thickness=0.02) == pytest.approx(0.0075)
    assert gaskets.basic_width("2 I", 0.02, contact=0.01) == pytest.approx(0.0075)
    assert gaskets.basic_width("2 II", 0.02, contact=0.01) == pytest.approx(0.00875)


@pytest.mark.parametrize(
    ("facing", "code"),
    [("7", "facing_unknown"), ("", "facing_unknown"), ("1a b c", "facing_unknown"), ("2", "facing_column_needed"),
     ("4", "facing_column_needed"), ("2 I", "facing_width_needed"), ("1c", "facing_width_needed"),
     ("3 III", "facing_unknown"), ("23 I", "facing_unknown")],
)  # fmt: skip
def test_what_is_refused(facing: str, code: str) -> None:
    with pytest.raises(InputError) as caught:
        gaskets.basic_width(facing, 0.02)

    assert caught.value.finding.code == code


def test_gaskets_by_their_words() -> None:
    assert gaskets.gasket("Spiral wound", "carbon steel").m == 2.5
    assert gaskets.gasket("vegetable  fibre").y == pytest.approx(1100 * PSI)
    with pytest.raises(InputError) as caught:
        gaskets.gasket("spiral wound")
    assert caught.value.finding.code == "gasket_metal_needed"
    with pytest.raises(InputError) as caught:
        gaskets.gasket("cork")
    assert caught.value.finding.code == "gasket_unknown"


@given(st.floats(0.05, 2), widths, st.floats(1e5, 4e7), st.floats(0.5, 6.5), st.floats(0, 2e8), st.floats(1.01, 2))
def test_more_of_anything_is_never_less_load(
    inside: float, width: float, pressure: float, m: float, y: float, times: float
) -> None:
    def loads(pressure: float, m: float, y: float) -> gaskets.DesignLoads:
        return gaskets.design_loads(inside + 2 * width, inside, pressure, m, y, basic=gaskets.basic_width("1a", width))

    one = loads(pressure, m, y)
    assert inside < one.G < inside + 2 * width
    assert one.operating > one.H > 0
    assert loads(times * pressure, m, y).operating > one.operating
    assert loads(pressure, times * m, y).operating > one.operating
    assert loads(pressure, m, times * y).seating >= one.seating


@given(st.floats(4, 60), st.floats(0.2, 4), st.floats(15, 5000), st.floats(0, 6.5), st.floats(0, 26000))
def test_units_do_not_matter(inside: float, width: float, pressure: float, m: float, y: float) -> None:
    """The same joint given in inches and psi, or in millimetres and bar."""

    def loads(length: str, length_factor: float, stress: str, stress_factor: float) -> gaskets.DesignLoads:
        outer, inner = (float(to_si(d * length_factor, "length", length)) for d in (inside + 2 * width, inside))
        p, seat = (float(to_si(s * stress_factor, "pressure", stress)) for s in (pressure, y))
        return gaskets.design_loads(outer, inner, p, m, seat, basic=gaskets.basic_width("1a", (outer - inner) / 2))

    us, si = loads("in", 1.0, "psi", 1.0), loads("mm", 25.4, "bar", PSI / 1e5)
    for name in ("b", "G", "H", "operating", "seating"):  # a width is a difference of two lengths of 13 digits
        assert getattr(us, name) == pytest.approx(
            getattr(si, name), rel=1e-10
        )  # a width is a difference of two lengths of 13 digits


@given(st.lists(st.tuples(st.floats(0.05, 2), widths, st.floats(1e5, 4e7), st.floats(0, 6.5), st.floats(0, 2e8)),
                min_size=1, max_size=6))  # fmt: skip
def test_a_column_gives_the_bits_of_each_row(rows: list[tuple[float, ...]]) -> None:
    def loads(inside, width, pressure, m, y):  # type: ignore[no-untyped-def]
        return gaskets.design_loads(inside + 2 * width, inside, pressure, m, y, basic=gaskets.basic_width("1a", width))

    many = loads(*(np.array(column) for column in zip(*rows, strict=True)))
    for name in ("b", "G", "H", "operating", "seating"):  # a width is a difference of two lengths of 13 digits
        assert getattr(many, name).tolist() == [float(getattr(loads(*row), name)) for row in rows], name


def test_width_and_reaction_diameter_of_a_published_leakage_check() -> None:
    """A flange leakage calculation of a piping contractor (read in a copy): spiral wound gasket of 12.5 and 11.31 in,
    b0 = 0.2975 in, G = 11.95 in, cut to two decimals. Its b is not printed: 0.2727 in by formula.
    """
    basic = gaskets.basic_width("1a", (12.5 - 11.31) / 2 * INCH)
    found = gaskets.design_loads(12.5 * INCH, 11.31 * INCH, 0.0, 3.0, 0.0, basic=basic)

    assert float(np.asarray(basic)) / INCH == pytest.approx(0.2975)
    assert float(np.asarray(found.G)) / INCH == pytest.approx(11.95, abs=0.01)
