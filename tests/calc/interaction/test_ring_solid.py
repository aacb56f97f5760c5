"""The flange ring against a solid model: 20-node bricks, half a ring cut through two studs, by another method.

No holes and no hub on either side. The solid sees what the ring leaves out: a cross-section that is not rigid, and the
load spread under the nut. Element: serendipity shape functions and Gauss points, handbook form, from memory.
"""

import math

import numpy as np
import pytest

from calc.interaction import ring, studs
from calc.interaction.dimensions import complete

POINT = np.array([-math.sqrt(0.6), 0.0, math.sqrt(0.6)])
WEIGHT = np.array([5.0, 8.0, 5.0]) / 9
CORNERS = np.array([[a, b, c] for c in (-1, 1) for b in (-1, 1) for a in (-1, 1)])
EDGES = np.array([[0 if k == axis else s[k - (k > axis)] for k in range(3)]
                  for axis in range(3) for s in ((-1, -1), (1, -1), (-1, 1), (1, 1))])  # fmt: skip
NODES = np.vstack([CORNERS, EDGES])


def shapes(x):
    """Shape functions (20,) and their derivatives (20, 3) of the serendipity brick at x."""
    n, d = np.empty(20), np.empty((20, 3))
    for i, node in enumerate(NODES):
        f = np.where(node == 0, 1 - x**2, 1 + node * x)
        g = np.where(node == 0, -2 * x, node)
        if i < 8:
            s = node @ x - 2
            n[i] = f.prod() * s / 8
            d[i] = [(g[k] * s + f[k] * node[k]) * np.delete(f, k).prod() / 8 for k in range(3)]
        else:
            n[i] = f.prod() / 4
            d[i] = [g[k] * np.delete(f, k).prod() / 4 for k in range(3)]
    return n, d


def solid_table(joint, slope, stud_stiffness, per_pitch=6, layers=2):
    """First column of the interaction table of a pair of solid rings on a gasket of one slope [Pa/m]."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.linalg import splu

    half = joint.bolt_circle / 2
    nut = 0.75 * float(joint.thread.diameter)
    inner, outer = ((joint.gasket_diameter + s * joint.gasket_width) / 2 for s in (-1, 1))
    lines = np.array([joint.inside_diameter / 2, inner, outer, (outer + half) / 2, half - nut / 2, half, half + nut / 2,
                      joint.outside_diameter / 2])  # fmt: skip
    radial, around = len(lines) - 1, joint.studs // 2 * per_pitch

    # nodes on a grid of half steps (r, θ, z); those in the middle of faces and bricks are not used
    r = np.interp(np.arange(2 * radial + 1) / 2, np.arange(radial + 1), lines)
    theta = np.linspace(0, math.pi, 2 * around + 1)
    z = np.linspace(0, joint.thickness, 2 * layers + 1)
    shape = (len(r), len(theta), len(z))
    grid = np.indices(shape).reshape(3, -1)
    used = (grid % 2).sum(axis=0) <= 1
    name = np.full(used.size, -1)
    name[used] = np.arange(used.sum())
    i, j, k = grid[:, used]
    place = np.stack([r[i] * np.cos(theta[j]), r[i] * np.sin(theta[j]), z[k]], axis=1)

    first = np.stack(np.meshgrid(*[np.arange(0, s - 1, 2) for s in shape], indexing="ij"), axis=-1).reshape(-1, 1, 3)
    bricks = name[np.ravel_multi_index((first + 1 + NODES).transpose(2, 0, 1).astype(int), shape)]

    e, v = joint.flange_modulus, 0.3
    lame, g = e * v / ((1 + v) * (1 - 2 * v)), e / (2 * (1 + v))
    law = np.diag([2 * g] * 3 + [g] * 3)
    law[:3, :3] += lame
    corner = place[bricks]
    stiff = np.zeros((len(bricks), 60, 60))
    for a, b, c in np.ndindex(3, 3, 3):
        _, d = shapes(POINT[[a, b, c]])
        jacobian = np.einsum("nk,enx->ekx", d, corner)
        dx = np.einsum("exk,nk->enx", np.linalg.inv(jacobian), d)
        strain = np.zeros((len(bricks), 6, 20, 3))
        for row, (p, q) in enumerate(((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))):
            strain[:, row, :, p] += dx[:, :, q] if p != q else 0
            strain[:, row, :, q] += dx[:, :, p]
        strain = strain.reshape(-1, 6, 60)
        weight = WEIGHT[a] * WEIGHT[b] * WEIGHT[c] * np.abs(np.linalg.det(jacobian))
        stiff += np.matmul(strain.transpose(0, 2, 1) @ law, strain) * weight[:, None, None]

    # the gasket: springs over its width under the lowest layer, twice as stiff because the pair closes twice as much
    floor = np.flatnonzero((first[:, 0, 2] == 0) & (first[:, 0, 0] == 2))
    for a, b in np.ndindex(3, 3):
        n, d = shapes(np.array([POINT[a], POINT[b], -1.0]))
        tangents = np.einsum("nk,enx->ekx", d[:, :2], corner[floor])
        area = np.linalg.norm(np.cross(tangents[:, 0], tangents[:, 1]), axis=1) * WEIGHT[a] * WEIGHT[b]
        stiff[np.ix_(floor, np.arange(2, 60, 3), np.arange(2, 60, 3))] += (
            2 * slope * area[:, None, None] * np.outer(n, n)
        )

    freedom = (3 * bricks[:, :, None] + np.arange(3)).reshape(len(bricks), 60)
    rows, columns = np.repeat(freedom, 60, axis=1).ravel(), np.tile(freedom, 60).ravel()
    size = 3 * len(place)

    # nuts: even load over the top nodes under each; a stud in the plane of the cut counts half
    angles = np.arange(joint.studs // 2 + 1) * 2 * math.pi / joint.studs
    share = np.where((angles == 0) | (np.arange(len(angles)) == joint.studs // 2), 0.5, 1.0)
    arms = np.zeros((len(angles), size))
    top = np.abs(place[:, 2] - joint.thickness) < 1e-9
    for row, angle in zip(arms, angles, strict=True):
        away = np.hypot(place[:, 0] - half * math.cos(angle), place[:, 1] - half * math.sin(angle))
        under = np.flatnonzero(top & (away <= nut * 1.05))
        row[3 * under + 2] = -1.0 / under.size
    spring = coo_matrix(arms.T @ (2 * stud_stiffness * share[:, None] * arms))
    whole = coo_matrix((stiff.ravel(), (rows, columns)), shape=(size, size)).tocsc() + spring.tocsc()
    fixed = 3 * np.flatnonzero(np.abs(place[:, 1]) < 1e-9) + 1  # the planes of the cut stay plane
    outward = 3 * np.argmax(place[:, 0])  # and one point does not slide along them
    free = np.setdiff1d(np.arange(size), [*fixed, outward])
    moved = np.zeros(size)
    moved[free] = splu(whole[free][:, free]).solve((stud_stiffness * share[0] * arms[0])[free])
    column = -2 * arms @ moved
    column[0] += 1.0
    return column / column[0]


def ring_table(joint, slope, stud_stiffness):
    """The same column from the ring without holes, without hub."""
    section = ring.section(joint.outside_diameter, joint.inside_diameter, joint.thickness, joint.flange_modulus)
    blocks = ring.sector_stiffness(section, joint.studs, 8, joint.bolt_circle / 2, joint.gasket_diameter / 2) / 2
    springs = np.r_[stud_stiffness, np.full(8, slope * joint.gasket_area / (8 * joint.studs))]
    flexible = ring.circulant(np.linalg.inv(blocks + np.diag(springs))[:, :1, :1])[:, 0]
    column = -stud_stiffness * flexible
    column[0] += 1.0
    return (column / column[0])[: joint.studs // 2 + 1]


@pytest.mark.parametrize(
    ("count", "slope", "within"), [(8, 1.5e11, 0.005), (16, 1.5e11, 0.005), (8, 2.2e12, 0.045), (16, 2.2e12, 0.045)]
)
def test_interaction_is_near_that_of_a_solid_ring(make, count, slope, within):
    """Every coefficient, gasket on loading and on unloading: with a stiff gasket the rigid cross-section costs most."""
    joint, _ = complete(make(count))
    stretch = studs.stud_flexibility(joint.thread, joint.grip) / joint.stud_modulus
    under = studs.local_flexibility(joint.thickness / 2, joint.hole_diameter, 1.5 * float(joint.thread.diameter))
    solid = solid_table(joint, slope, 1 / stretch)  # the solid gives under the nut by itself
    beam = ring_table(joint, slope, 1 / (stretch + 2 * under / joint.flange_modulus))
    assert solid[1] < -0.2
    assert np.abs(solid - beam).max() < within
