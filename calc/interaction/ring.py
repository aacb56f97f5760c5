"""Flange as a ring that bends and twists: stiffness per circumferential harmonic, brought to stations around the ring.

The cross-section is rigid and moves by w (along the studs) and turns by φ, so that a point at radius r moves by
w + φ (r - R). The ring is a curved beam with shear: shear w' - β, bending β' + φ/R, torsion φ' - β/R. Each harmonic
n is exact, a 2 x 2 stiffness after β is eliminated; equally spaced stations and equal sectors (one stud each) keep the
matrix circulant, so that all work is done on one small block per harmonic. A hub and pipe behind the ring
(`shell.Shell`) move with its back face; the ring's motions in its own plane, p outwards, q around and the turn ψ,
follow as the shell wants them and are eliminated with β.
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.interaction.shell import Shell, edge_stiffness

Array = NDArray[np.floating]
Complex = NDArray[Any]


@dataclass(frozen=True)
class Section:
    """The ring's cross-section: radius of its line [m], EI, GJ [N·m²], kGA [N].

    With a shell also `stretch` EA [N], `sideways` EI in the plane of the ring [N·m²], `thickness` [m], `modulus` [Pa].
    """

    radius: float
    bending: float
    torsion: float
    shear: float
    stretch: float = 0.0
    sideways: float = 0.0
    thickness: float = 0.0
    modulus: float = 0.0
    shell: Shell | None = None


def torsion_constant(width: float, height: float) -> float:
    """Torsion constant of a rectangle, Saint-Venant's series. [m⁴]

    >>> round(torsion_constant(1.0, 1.0), 4), round(torsion_constant(10.0, 1.0) / 10, 3)
    (0.1406, 0.312)
    """
    a, b = max(width, height), min(width, height)
    odd = np.arange(1, 60, 2)
    series = float(np.sum(np.tanh(odd * math.pi * a / (2 * b)) / odd**5))
    return a * b**3 / 3 * (1 - 192 / math.pi**5 * b / a * series)


def section(
    outside: float,
    inside: float,
    thickness: float,
    modulus: float,
    *,
    hole: float = 0.0,
    studs: int = 4,
    bolt_circle: float = 1.0,
    shell: Shell | None = None,
    poisson: float = 0.3,
) -> Section:
    """Ring section of a flange, its width reduced by the stud holes as in EN 1591-1 (from memory).

    Width b = (d4 - d0)/2 - d5 √(d5/pB), line at (d4 + d0)/4. All lengths [m], modulus [Pa].
    """
    pitch = math.pi * bolt_circle / studs
    width = (outside - inside) / 2 - hole * math.sqrt(hole / pitch)
    shear_modulus = modulus / (2 * (1 + poisson))
    return Section(
        radius=(outside + inside) / 4,
        bending=modulus * width * thickness**3 / 12,
        torsion=shear_modulus * torsion_constant(width, thickness),
        shear=5 / 6 * shear_modulus * width * thickness,
        stretch=modulus * width * thickness,
        sideways=modulus * thickness * width**3 / 12,
        thickness=thickness,
        modulus=modulus,
        shell=shell,
    )


def harmonic_stiffness(ring: Section, harmonics: Array) -> Array:
    """Stiffness of each harmonic per length of the ring's line, in (w, φ): shape (harmonics, 2, 2). [N/m², N/m, N]"""
    n, r = np.asarray(harmonics, dtype=float), ring.radius
    zero, one = np.zeros_like(n), np.ones_like(n)
    # strains of (w, φ, β, p, q, ψ); β, q and ψ go with sin nθ, the others with cos nθ
    parts = [
        (ring.shear, [-n / r, zero, -one, zero, zero, zero]),
        (ring.bending, [zero, one / r, n / r, zero, zero, zero]),
        (ring.torsion, [zero, -n / r, -one / r, zero, zero, zero]),
    ]
    if ring.shell is not None:
        parts += [
            (ring.stretch, [zero, zero, zero, one / r, n / r, zero]),
            (ring.shear, [zero, zero, zero, -n / r, -one / r, one]),
            (ring.sideways, [zero, zero, zero, zero, zero, n / r]),
        ]
    motions = 3 if ring.shell is None else 6
    whole = np.zeros((n.size, motions, motions))
    for stiffness, row in parts:
        strain = np.stack(row[:motions], axis=-1)
        whole += stiffness * strain[:, :, np.newaxis] * strain[:, np.newaxis, :]
    if ring.shell is not None:
        off, half = (ring.shell.bore + ring.shell.thick) / 2 - r, ring.thickness / 2
        end = np.array(  # motions of the shell's end (u, v, w, b, c): it is part of the rigid back face
            [
                [-1, -off, 0, 0, 0, 0],
                [0, 0, half, 0, 1, off],
                [0, half, 0, 1, 0, 0],
                [0, -1, 0, 0, 0, 0],
                [0, 0, 0, 0, 0, 1.0],
            ]
        )
        whole += end.T @ edge_stiffness(ring.shell, ring.modulus, n) @ end / r
        whole += 1e-13 * np.trace(whole, axis1=1, axis2=2)[:, np.newaxis, np.newaxis] * np.diag([0, 0, 0, 1, 1, 1])
    inner = np.linalg.solve(whole[:, 2:, 2:], whole[:, 2:, :2])
    block: Array = whole[:, :2, :2] - whole[:, :2, 2:] @ inner
    block[n == 0, 0, :] = block[n == 0, :, 0] = 0.0  # lift and tilt of the whole are free to the last digit
    across = np.array([-1.0, r]) / math.hypot(1.0, r)
    tilted = block[n == 1]
    block[n == 1] = np.multiply.outer(across, across) * (across @ tilted @ across)[:, np.newaxis, np.newaxis]
    return 0.5 * (block + block.transpose(0, 2, 1))


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
