"""Hub and pipe against closed forms of cylinders, written here from memory, and the rigid motions they leave free."""

import math

import numpy as np
import pytest

from calc.interaction.shell import Shell, edge_stiffness, pieces

E, V = 200e9, 0.3


def pipe(wall, radius, length):
    return Shell(wall, wall, 0.0, 2 * radius - wall, length)


@pytest.mark.parametrize("wall", [0.004, 0.01, 0.02])
def test_long_pipe_is_hetenyis_cylinder(wall):
    """Edge of a long cylinder under axisymmetric shear Q and moment M (Hetenyi, Timoshenko; from memory).

    w = Q/(2 λ³ D) + M/(2 λ² D), slope = Q/(2 λ² D) + M/(λ D), λ⁴ = 3 (1 - ν²)/(r t)². The shell gives way to shear too:
    up to 2 % of the first.
    """
    radius = 0.3
    bend = E * wall**3 / (12 * (1 - V**2))
    decay = (3 * (1 - V**2)) ** 0.25 / math.sqrt(radius * wall)
    closed = np.array([[1 / (2 * decay**3 * bend), 1 / (2 * decay**2 * bend)],
                       [1 / (2 * decay**2 * bend), 1 / (decay * bend)]])  # fmt: skip
    stiff = edge_stiffness(pipe(wall, radius, 3.0), E, np.zeros(1))[0][2:4, 2:4] / radius
    assert np.abs(np.linalg.inv(stiff) / closed - 1).max() < 0.02


@pytest.mark.parametrize("hub", [0.0, 0.08])
def test_rigid_motions_are_free(hub):
    """Lift and turn about the axis (n = 0), shift and tilt (n = 1): derived here."""
    shell = Shell(0.03 if hub else 0.01, 0.01, hub, 0.5, 0.5)
    r = pieces(shell)[1][0]
    stiff = edge_stiffness(shell, E, np.array([0.0, 1.0]))
    for harmonic, motion in ((0, [1, 0, 0, 0, 0]), (0, [0, r, 0, 0, 1]), (1, [0, -1, 1, 0, 0]), (1, [-r, 0, 0, -1, 0])):
        force = stiff[harmonic] @ np.array(motion, dtype=float)
        assert np.abs(force).max() < 2e-3 * np.abs(stiff[harmonic]).max() * (1 if hub else 1e-5)


def test_a_pipe_that_ovalises_is_an_inextensional_ring():
    """Short pipe, free ends, n = 2: all of it bends as a ring, energy D/(2r²)... per length (Rayleigh; from memory).

    Moving outwards by cos 2θ with u = b = 0 at one end, free to follow: the pipe as a row of rings,
    k = 9 π D l/r³ per end, which is D l (n² - 1)²/r³ per radian.
    """
    wall, radius, length = 0.004, 0.3, 0.02
    stiff = edge_stiffness(pipe(wall, radius, length), E, np.array([2.0]))[0]
    free = [0, 1, 3, 4]
    left = stiff[2, 2] - stiff[2, free] @ np.linalg.solve(stiff[np.ix_(free, free)], stiff[free, 2])
    plate = E * wall**3 / 12
    assert left == pytest.approx(plate * length * 9 / radius**3, rel=0.02)


def test_a_hub_lies_between_its_two_ends():
    """Thin pipe, hub, pipe as thick as the hub all along: each stiffer than the one before against turning."""
    shells = [Shell(t, w, h, 0.5, 0.5) for t, w, h in ((0.01, 0.01, 0.0), (0.03, 0.01, 0.05), (0.03, 0.03, 0.0))]
    turning = np.array([[edge_stiffness(s, E, np.array([n]))[0][3, 3] for s in shells] for n in (0.0, 2.0, 6.0)])
    assert (np.diff(turning, axis=1) > 0).all()


def test_finer_pieces_change_little(monkeypatch):
    from calc.interaction import shell as module

    one = Shell(0.03, 0.01, 0.06, 0.5, 0.5)
    coarse = edge_stiffness(one, E, np.arange(20.0))
    along, radius, walls = pieces(one)
    places = np.interp(np.arange(4 * len(walls) + 1) / 4, np.arange(len(along)), along)
    radii = np.interp(places, along, radius)
    share = np.clip(1 - (places[1:] + places[:-1]) / 2 / one.length, 0, 1)
    monkeypatch.setattr(module, "pieces", lambda _: (places, radii, one.wall + (one.thick - one.wall) * share))
    fine = edge_stiffness(one, E, np.arange(20.0))
    diagonal = [np.diagonal(x, axis1=1, axis2=2)[:, 2:4] for x in (coarse, fine)]
    assert np.abs(diagonal[0] / diagonal[1] - 1)[2:].max() < 0.03
