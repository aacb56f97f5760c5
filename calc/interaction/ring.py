"""Flange as a ring that bends and twists: stiffness per circumferential harmonic, brought to stations around the ring.

The cross-section is rigid and moves by w (along the studs) and turns by φ, so that a point at radius r moves by
w + φ (r - R). The ring is a curved beam with shear: shear w' - β, bending β' + φ/R, torsion φ' - β/R. Each harmonic
n is exact, a 2 x 2 stiffness after β is eliminated; equally spaced stations and equal sectors (one stud each) keep the
matrix circulant, so that all work is done on one small block per harmonic.
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.floating]
Complex = NDArray[Any]


@dataclass(frozen=True)
class Section:
    """The ring's cross-section: radius of its line [m], EI, GJ [N·m²], kGA [N], turning restraint [N·m/rad per m]."""

    radius: float
    bending: float
    torsion: float
    shear: float
    restraint: float = 0.0


def torsion_constant(width: float, height: float) -> float:
    """Torsion constant of a rectangle, Saint-Venant's series. [m⁴]

    >>> round(torsion_constant(1.0, 1.0), 4), round(torsion_constant(10.0, 1.0) / 10, 3)
    (0.1406, 0.312)
    """
    a, b = max(width, height), min(width, height)
    odd = np.arange(1, 60, 2)
    series = float(np.sum(np.tanh(odd * math.pi * a / (2 * b)) / odd**5))
    return a * b**3 / 3 * (1 - 192 / math.pi**5 * b / a * series)


def shell_correction(thickness: float, ring_diameter: float, width: float, shell: float, bore: float) -> float:
    """Factor cF by which the shell lowers the turning flexibility of a ring  (EN 1591-1, from memory). [1]

    `shell` is the equivalent wall eE of the shell or hub; it joins at the back face (λ = 0). 1 for no shell.

    >>> shell_correction(0.04, 0.3, 0.07, 0.0, 0.2)
    1.0
    >>> round(shell_correction(0.04, 0.3, 0.07, 0.02, 0.2), 3)
    0.21
    """
    shell_diameter = bore + shell
    gamma = shell * ring_diameter / (width * shell_diameter)
    theta = 0.55 * math.sqrt(shell_diameter * shell) / thickness
    return (1 + gamma * theta) / (1 + gamma * theta * (4 + 6 * theta + 6 * theta**2) + 3 * gamma**2 * theta**4)


def hub_wall(thin: float, thick: float, length: float, bore: float) -> float:
    """Equivalent wall eE of a conical hub  (EN 1591-1, from memory). [m]

    `thin` [m] wall of the shell, `thick` [m] hub at the ring, `length` [m] of the cone, `bore` [m].

    >>> round(hub_wall(0.008, 0.028, 0.07, 0.2) * 1000, 1), hub_wall(0.01, 0.01, 0.05, 0.2)
    (19.9, 0.01)
    """
    ratio = thick / thin
    return thin * (1 + (ratio - 1) * length / (ratio / 3 * math.sqrt((bore + thin) * thin) + length))


def section(
    outside: float,
    inside: float,
    thickness: float,
    modulus: float,
    *,
    hole: float = 0.0,
    studs: int = 4,
    bolt_circle: float = 1.0,
    shell: float = 0.0,
    poisson: float = 0.3,
) -> Section:
    """Ring section of a flange, its width reduced by the stud holes as in EN 1591-1 (from memory).

    Width b = (d4 - d0)/2 - d5 √(d5/pB), line at (d4 + d0)/4, restraint of the shell so that all studs together give
    the turning flexibility ZF = 3 dF cF/(π b e³). All lengths [m], modulus [Pa].
    """
    pitch = math.pi * bolt_circle / studs
    width = (outside - inside) / 2 - hole * math.sqrt(hole / pitch)
    diameter = (outside + inside) / 2
    inertia = width * thickness**3 / 12
    shear_modulus = modulus / (2 * (1 + poisson))
    factor = shell_correction(thickness, diameter, width, shell, inside)
    return Section(
        radius=diameter / 2,
        bending=modulus * inertia,
        torsion=shear_modulus * torsion_constant(width, thickness),
        shear=5 / 6 * shear_modulus * width * thickness,
        restraint=modulus * inertia / (diameter / 2) ** 2 * (1 / factor - 1),
    )


def harmonic_stiffness(ring: Section, harmonics: Array) -> Array:
    """Stiffness of each harmonic per length of the ring's line, in (w, φ): shape (harmonics, 2, 2). [N/m², N/m, N]

    The shell's restraint acts on the turning of the section; a tilt of the flange as a whole (n = 1) leaves it free.
    """
    n, r = np.asarray(harmonics, dtype=float), ring.radius
    zero, one = np.zeros_like(n), np.ones_like(n)
    shear = np.stack([-n / r, zero, -one], axis=-1)  # of (w, φ, β), β against sine
    bend = np.stack([zero, one / r, n / r], axis=-1)
    twist = np.stack([zero, -n / r, -one / r], axis=-1)
    parts = ((ring.shear, shear), (ring.bending, bend), (ring.torsion, twist))
    whole = sum(k * strain[:, :, np.newaxis] * strain[:, np.newaxis, :] for k, strain in parts)
    assert isinstance(whole, np.ndarray)
    block = whole[:, :2, :2] - whole[:, :2, 2:] * whole[:, 2:, :2] / whole[:, 2:, 2:]
    held = np.stack([np.where(n == 1, -1 / r, 0.0), one], axis=-1)
    return block + ring.restraint * held[:, :, np.newaxis] * held[:, np.newaxis, :]


def sector_stiffness(ring: Section, studs: int, stations: int, stud_radius: float, gasket_radius: float) -> Complex:
    """Stiffness of the ring against closure at the studs and at the gasket, one block per sector harmonic.

    Shape (studs, 1 + stations, 1 + stations), Hermitian, in the order stud, then the gasket's `stations` in that
    sector, the first of them beside the stud. The turning of sections without a stud is eliminated: nothing twists
    them. [N/m]
    """
    count = studs * stations
    order = np.fft.fftfreq(count, 1 / count)
    arm = np.array([[1.0, -(gasket_radius - ring.radius)], [0.0, 1.0]])  # (closure at the gasket, φ) -> (w, φ)
    block = arm.T @ harmonic_stiffness(ring, np.abs(order)) @ arm
    around = np.fft.ifft(block, axis=0).real * (2 * math.pi * ring.radius / count)  # by distance between stations
    first = np.arange(studs)[:, np.newaxis, np.newaxis] * stations
    p, q = np.arange(stations)[:, np.newaxis], np.arange(stations)
    sectors = np.fft.fft(around[(first + p - q) % count], axis=0)  # (sector harmonic, p, q, 2, 2)

    lever = 1 / (stud_radius - gasket_radius)  # φ at the stud = (closure there - closure at the gasket) lever
    unknowns = 2 * stations
    turn = np.zeros((2 * stations, unknowns))  # rows: closure and φ by station; columns: stud, gasket, free φ
    turn[0::2, 1 : 1 + stations] = np.eye(stations)
    turn[1, 0], turn[1, 1] = lever, -lever
    turn[3::2, 1 + stations :] = np.eye(stations - 1)
    full = turn.T @ sectors.transpose(0, 1, 3, 2, 4).reshape(studs, 2 * stations, 2 * stations) @ turn
    kept, free = slice(0, 1 + stations), slice(1 + stations, None)
    small = full[:, kept, kept]
    if stations > 1:
        small = small - full[:, kept, free] @ np.linalg.solve(full[:, free, free], full[:, free, kept])
    return 0.5 * (small + small.conj().transpose(0, 2, 1))


def circulant(blocks: Complex) -> Array:
    """The dense symmetric matrix of one block per sector harmonic, sector after sector: shape (n s, n s).

    >>> circulant(np.fft.fft(np.array([2.0, 1.0, 0.0, 1.0])).reshape(4, 1, 1))[0]
    array([2., 1., 0., 1.])
    """
    n, s, _ = blocks.shape
    by_distance = np.fft.ifft(blocks, axis=0).real
    place = np.arange(n)
    dense = by_distance[(place[:, np.newaxis] - place) % n].transpose(0, 2, 1, 3).reshape(n * s, n * s)
    return 0.5 * (dense + dense.T)
