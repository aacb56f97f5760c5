"""Hub and pipe behind a flange ring: what they hold against when the ring's back face moves, per harmonic.

A shell of revolution with shear (Reissner and Mindlin), its wall tapering along the hub, in short pieces of linear
shape with one point of integration (standard form, from memory). Each harmonic is condensed piece by piece from the far
end of the pipe to the ring, in five motions of the shell's end: along the axis u, around v, outwards w, turning in the
meridian b and around it c; u, w, b go with cos nθ, v and c with sin nθ.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.floating]


@dataclass(frozen=True)
class Shell:
    """Hub with `thick` wall at the ring narrowing over `length` to the pipe's `wall`, bore and pipe length. [m]"""

    thick: float
    wall: float
    length: float
    bore: float
    pipe: float


def pieces(shell: Shell) -> tuple[Array, Array, Array]:
    """Places along the axis from the ring, radii of the middle surface there, and the mean wall of every piece. [m]"""
    decay = math.sqrt((shell.bore / 2 + shell.wall / 2) * shell.wall)
    ends = [0.0]
    if shell.length > 0:
        count = max(6, min(40, math.ceil(shell.length / (0.25 * min(decay, shell.thick)))))
        ends = np.linspace(0.0, shell.length, count + 1).tolist()
    step = 0.15 * decay
    while ends[-1] < shell.length + shell.pipe * (1 - 1e-9):
        ends.append(min(ends[-1] + step, shell.length + shell.pipe))
        step = min(1.25 * step, shell.bore / 3)
    along = np.array(ends)
    share = np.clip(1 - along / shell.length, 0.0, 1.0) if shell.length > 0 else np.zeros(along.size)
    wall = shell.wall + (shell.thick - shell.wall) * share
    return along, shell.bore / 2 + wall / 2, 0.5 * (wall[1:] + wall[:-1])


def edge_stiffness(shell: Shell, modulus: float, harmonics: Array, poisson: float = 0.3) -> Array:
    """Stiffness of the shell's end at the ring per radian, in (u, v, w, b, c): shape (harmonics, 5, 5). [N/m, N, N·m]

    u is positive away from the ring. The far end of the pipe is free.
    """
    n = np.asarray(harmonics, dtype=float)
    along, radius, walls = pieces(shell)
    far: Array = np.zeros((n.size, 5, 5))
    for k in range(walls.size - 1, -1, -1):
        piece = _piece(along[k + 1] - along[k], radius[k], radius[k + 1], walls[k], modulus, n, poisson)
        rest = piece[:, 5:, 5:] + far
        if k == walls.size - 1:  # the far end is free: only against dividing by nothing
            rest = rest + 1e-12 * np.trace(rest, axis1=1, axis2=2)[:, np.newaxis, np.newaxis] * np.eye(5)
        far = piece[:, :5, :5] - piece[:, :5, 5:] @ np.linalg.solve(rest, piece[:, 5:, :5])
        far = 0.5 * (far + far.transpose(0, 2, 1))
    return far


def _piece(length: float, first: float, last: float, wall: float, modulus: float, n: Array, poisson: float) -> Array:
    """Stiffness of one short cone per radian: shape (harmonics, 10, 10), its near end first."""
    slant = math.hypot(length, last - first)
    c, s, r = length / slant, (last - first) / slant, 0.5 * (first + last)
    zero, one = np.zeros_like(n), np.ones_like(n)
    # strains of (u, v, w, bs, bt) along the meridian, by value and by derivative
    value = np.array(
        [
            [zero, zero, zero, zero, zero],
            [s / r * one, n / r, c / r * one, zero, zero],
            [-n / r, -s / r * one, zero, zero, zero],
            [zero, zero, zero, zero, zero],
            [zero, zero, zero, s / r * one, n / r],
            [zero, zero, zero, -n / r, -s / r * one],
            [zero, zero, zero, one, zero],
            [zero, -c / r * one, -n / r, zero, one],
        ]
    ).transpose(2, 0, 1)
    slope = np.zeros((8, 5))
    slope[0, 0] = slope[2, 1] = slope[3, 3] = slope[5, 4] = slope[6, 2] = 1.0
    slope[5, 1] = c / r
    local = np.array([[c, 0, s, 0, 0], [0, 1, 0, 0, 0], [-s, 0, c, 0, 0], [0, 0, 0, 1, 0], [0, 0, 0, 0, 1.0]])
    strain = np.concatenate([0.5 * value - slope / slant, 0.5 * value + slope / slant], axis=2)
    strain = strain @ np.kron(np.eye(2), local)
    shear = modulus / (2 * (1 + poisson)) * wall
    sheet, plate = modulus * wall / (1 - poisson**2), modulus * wall**3 / (12 * (1 - poisson**2))
    law = np.zeros((8, 8))
    both = np.array([[1, poisson, 0], [poisson, 1, 0], [0, 0, (1 - poisson) / 2]])
    law[:3, :3], law[3:6, 3:6] = sheet * both, plate * both
    law[6, 6] = law[7, 7] = 5 / 6 * shear
    whole: Array = strain.transpose(0, 2, 1) @ law @ strain * (r * slant)
    return whole
