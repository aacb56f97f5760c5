"""A flanged joint of three-dimensional bricks, with hub and pipe: an independent check of the ring.

One sector, one stud, of 20-node bricks (serendipity shape functions and Gauss points, handbook form, from memory) in
cylindrical components. Equal sectors are tied by a phase, so that every sector harmonic is one small complex system;
what is left of it are the nut and patches of the gasket over the width of its contact. Nothing is assumed of the
cross-section: it bends, the face dishes, the metal under a nut gives way. A stud hole is a square of the same area.
The moves on top (prescribed loads, nuts that only advance, a gasket with a peak) are a plain Newton with dense solves.
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy.linalg import solve
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu

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


@dataclass(frozen=True)
class Hub:
    """Cone of `length` from `thick` at the ring down to the pipe's `wall`, then pipe of `pipe` length. [m]"""

    thick: float
    wall: float
    length: float
    pipe: float


def refined(lines, most):
    """The lines with others between them, so that no gap is above `most`."""
    found = [lines[0]]
    for a, b in zip(lines, lines[1:], strict=False):
        count = max(1, math.ceil((b - a) / most - 1e-9))
        found += [a + (b - a) * k / count for k in range(1, count + 1)]
    return np.array(found)


def sector_mesh(joint, hub, hole, fine):
    """Half-step grids of ring and of hub with pipe: place (r, θ, z) of every node, bricks by node, gasket faces."""
    d, half = float(joint.thread.diameter), joint.bolt_circle / 2
    nut, gap = 0.75 * d * 0.886, 0.443 * joint.hole_diameter if hole else 0.3 * d
    bore = joint.inside_diameter / 2
    inner, outer = ((joint.gasket_diameter + s * joint.gasket_width) / 2 for s in (-1, 1))
    keep = [bore, inner, (inner + outer) / 2, outer, half - nut, half - gap, half + gap, half + nut,
            joint.outside_diameter / 2]  # fmt: skip
    if hub:
        keep = [r for r in keep if abs(r - (bore + hub.thick)) > 0.15 * hub.thick or r in (inner, outer)]
        keep = sorted([*keep, bore + hub.thick])
        if abs(keep[2] - keep[1]) < 1e-9:
            del keep[2]
    width = joint.outside_diameter / 2 - bore
    r_lines = refined(sorted(set(keep)), width / (5 * fine))
    step = math.pi / joint.studs
    t_lines = refined([0.0, gap / half, nut / half, step], step / (2 * fine))
    t_lines = np.concatenate([-t_lines[:0:-1], t_lines])
    z_ring = np.linspace(0, joint.thickness, 2 * round(1 + fine) // 2 + 1)
    blocks = [(r_lines, z_ring, None)]
    if hub:
        cone = (
            np.linspace(0, hub.length, max(2, round(hub.length / (0.8 * hub.thick * 1.3))) + 1) if hub.length else [0]
        )
        far, steps, here = [], 0.6 * math.sqrt(bore * hub.wall), hub.length
        while here < hub.length + hub.pipe - 1e-9:
            here = min(here + steps, hub.length + hub.pipe)
            far.append(here)
            steps *= 1.35
        through = [x for x in r_lines if x <= bore + hub.thick + 1e-9]
        blocks.append((np.array(through), joint.thickness + np.r_[cone, far], hub))
    places, bricks, faces, voids = [], [], [], 0
    count = 0
    for r_line, z_line, cone_of in blocks:
        grids = [np.interp(np.arange(2 * len(x) - 1) / 2, np.arange(len(x)), x) for x in (r_line, t_lines, z_line)]
        shape = tuple(len(g) for g in grids)
        grid = np.indices(shape).reshape(3, -1)
        used = (grid % 2).sum(axis=0) <= 1
        name = np.full(used.size, -1)
        name[used] = count + np.arange(used.sum())
        i, j, k = grid[:, used]
        place = np.stack([grids[0][i], grids[1][j], grids[2][k]], axis=1)
        if cone_of:  # the wall narrows from the ring outwards
            s = place[:, 2] - joint.thickness
            g = hub.wall + (hub.thick - hub.wall) * np.clip(1 - s / hub.length, 0, 1) if hub.length else hub.wall
            place[:, 0] = bore + (place[:, 0] - bore) * g / hub.thick
        first = np.stack(np.meshgrid(*[np.arange(0, s - 1, 2) for s in shape], indexing="ij"), -1).reshape(-1, 1, 3)
        own = name[np.ravel_multi_index((first + 1 + NODES).transpose(2, 0, 1).astype(int), shape)]
        middle = place[own - count].mean(axis=1)
        if cone_of is None:
            empty = (np.abs(middle[:, 0] - half) < gap) & (np.abs(middle[:, 1]) < gap / half) & hole
            under = (first[:, 0, 2] == 0) & (middle[:, 0] > inner) & (middle[:, 0] < outer)
            faces = own[under]
            own = own[~empty]
            voids = int(empty.sum())
        places.append(place)
        bricks.append(own)
        count += len(place)
    place, bricks = np.vstack(places), np.vstack(bricks)
    key = np.round(place / np.array([joint.thickness * 1e-6, 1e-6, joint.thickness * 1e-6])).astype(np.int64)
    _, first, back = np.unique(key, axis=0, return_index=True, return_inverse=True)
    back = back.ravel()
    seen = np.zeros(len(first), dtype=bool)
    seen[back[bricks].ravel()] = True
    new = np.cumsum(seen) - 1
    assert not hole or voids
    return place[first[seen]], new[back[bricks]], new[back[faces]]


def brick_stiffness(place, bricks, modulus, poisson=0.3):
    """Stiffness (bricks, 60, 60) in cylindrical components (r, θ, z) of each node."""
    lame, g = modulus * poisson / ((1 + poisson) * (1 - 2 * poisson)), modulus / (2 * (1 + poisson))
    law = np.diag([2 * g] * 3 + [g] * 3)
    law[:3, :3] += lame
    r, t, z = place.T
    space = np.stack([r * np.cos(t), r * np.sin(t), z], axis=1)[bricks]
    stiff = np.zeros((len(bricks), 60, 60))
    for a, b, c in np.ndindex(3, 3, 3):
        _, d = shapes(POINT[[a, b, c]])
        jacobian = np.einsum("nk,enx->ekx", d, space)
        dx = np.einsum("exk,nk->enx", np.linalg.inv(jacobian), d)
        strain = np.zeros((len(bricks), 6, 20, 3))
        for row, (p, q) in enumerate(((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))):
            strain[:, row, :, p] += dx[:, :, q] if p != q else 0
            strain[:, row, :, q] += dx[:, :, p]
        strain = strain.reshape(-1, 6, 60)
        weight = WEIGHT[a] * WEIGHT[b] * WEIGHT[c] * np.abs(np.linalg.det(jacobian))
        stiff += np.matmul(strain.transpose(0, 2, 1) @ law, strain) * weight[:, None, None]
    turn = np.zeros((len(bricks), 20, 3, 20, 3))  # cylindrical -> plane components
    c, s = np.cos(t)[bricks], np.sin(t)[bricks]
    n = np.arange(20)
    turn[:, n, 0, n, 0], turn[:, n, 0, n, 1] = c, -s
    turn[:, n, 1, n, 0], turn[:, n, 1, n, 1] = s, c
    turn[:, n, 2, n, 2] = 1.0
    turn = turn.reshape(-1, 60, 60)
    return turn.transpose(0, 2, 1) @ stiff @ turn


def patch_rows(place, faces, size):
    """Mean displacement towards the mate over each gasket face, as rows over the freedoms, and the faces' areas."""
    r, t, _ = place.T
    space = np.stack([r * np.cos(t), r * np.sin(t)], axis=1)[faces]
    rows, areas = np.zeros((len(faces), size)), np.zeros(len(faces))
    for a, b in np.ndindex(3, 3):
        n, d = shapes(np.array([POINT[a], POINT[b], -1.0]))
        tangent = np.einsum("nk,enx->ekx", d[:, :2], space)
        area = np.abs(np.linalg.det(tangent)) * WEIGHT[a] * WEIGHT[b]
        areas += area
        for e in range(len(faces)):
            rows[e, 3 * faces[e] + 2] -= area[e] * n
    return rows / areas[:, None], areas


def condensed(joint, hub=None, *, hole=True, fine=1):
    """Blocks of one flange (studs, 1 + patches, 1 + patches) against closure at nut and patches, and patch areas.

    The closure counts towards the mate, which lies at z = 0.
    """
    place, bricks, faces = sector_mesh(joint, hub, hole, fine)
    stiff = brick_stiffness(place, bricks, joint.flange_modulus)
    size, n = 3 * len(place), joint.studs
    freedom = (3 * bricks[:, :, None] + np.arange(3)).reshape(len(bricks), 60)
    rows, columns = np.repeat(freedom, 60, axis=1).ravel(), np.tile(freedom, 60).ravel()
    whole = coo_matrix((stiff.ravel(), (rows, columns)), shape=(size, size)).tocsr()
    gasket, area = patch_rows(place, faces, size)
    half, nut = joint.bolt_circle / 2, 0.75 * float(joint.thread.diameter)
    away = np.hypot(place[:, 0] * np.cos(place[:, 1]) - half, place[:, 0] * np.sin(place[:, 1]))
    under = np.flatnonzero((np.abs(place[:, 2] - joint.thickness) < 1e-9) & (away <= nut * 1.08))
    arm = np.zeros((1, size))
    arm[0, 3 * under + 2] = -1.0 / under.size
    arms = np.vstack([arm, gasket])

    # ties: nodes on the far edge follow those on the near edge by a phase
    edge = math.pi / n
    near, far = (np.flatnonzero(np.abs(place[:, 1] - s * edge) < 1e-9) for s in (-1, 1))
    match = {tuple(np.round(place[i, [0, 2]] * 1e9).astype(int)): i for i in near}
    pair = np.array([match[tuple(np.round(place[i, [0, 2]] * 1e9).astype(int))] for i in far])
    own = np.setdiff1d(np.arange(len(place)), far)
    at = np.empty(len(place), dtype=int)
    at[own] = np.arange(len(own))
    at[far] = at[pair]
    held = joint.flange_modulus * joint.thickness * 1e-7  # in the plane nothing pushes: only against drifting
    foundation = 1e3 * joint.flange_modulus * joint.thickness * 1e-4 * area / area.sum()
    blocks = np.empty((n, len(arms), len(arms)), dtype=complex)
    for h in range(n // 2 + 1):
        phase = np.ones(len(place), dtype=complex)
        phase[far] = np.exp(2j * math.pi * h / n)
        tie = coo_matrix(
            (np.repeat(phase, 3), (np.arange(size), (3 * at[:, None] + np.arange(3)).ravel())), (size, 3 * len(own))
        ).tocsr()
        small = tie.conj().T @ whole @ tie
        drift = np.full((len(own), 3), held / len(own))
        drift[:, 2] = 0.0
        load = tie.conj().T @ arms.T.astype(complex)
        bed = load[:, 1:] * foundation
        small = small + coo_matrix((drift.ravel(), (np.arange(drift.size), np.arange(drift.size))), small.shape)
        some = np.flatnonzero(np.abs(load[:, 1:]).max(axis=1) > 0)
        dense = bed[some] @ load[some, 1:].conj().T
        i, j = (x.ravel() for x in np.meshgrid(some, some, indexing="ij"))
        small = (small + coo_matrix((dense.ravel(), (i, j)), small.shape)).tocsc()
        moved = splu(small).solve(load)
        flexible = load.conj().T @ moved
        block = np.linalg.inv(0.5 * (flexible + flexible.conj().T))
        block[1:, 1:] -= np.diag(foundation)
        blocks[h] = 0.5 * (block + block.conj().T)
        if 0 < h < n - h:
            blocks[n - h] = blocks[h].conj()
    return blocks, area


class BrickJoint:
    """Pair of brick flanges on a gasket, tightened move by move; `law(closure, peak)` gives stress and slope."""

    def __init__(self, joint, blocks, area, law, stud_stiffness):
        self.n, self.k, self.law = joint.studs, stud_stiffness, law
        m = blocks.shape[1]
        around = np.fft.ifft(blocks, axis=0).real / 2  # the pair closes by twice what one flange moves
        place = np.arange(self.n)
        dense = around[(place[:, None] - place) % self.n].transpose(0, 2, 1, 3).reshape(self.n * m, -1)
        self.ring = 0.5 * (dense + dense.T)
        self.stud = np.arange(self.n) * m
        self.gasket = np.setdiff1d(np.arange(self.n * m), self.stud)
        self.area = np.tile(area, self.n)

    def start(self, load):
        """All studs at one load from new."""
        self.y, self.peak = np.zeros(len(self.ring)), np.zeros(len(self.gasket))
        self.nut, self.load = np.zeros(self.n), np.zeros(self.n)
        self.move(np.arange(self.n), np.full(self.n, float(load)))

    def move(self, pulled, wanted):
        """Prescribe the loads of some studs; the other nuts stay."""
        goal = np.full(self.n, -np.inf)
        goal[pulled] = wanted
        y = self.y.copy()

        def state(y):
            stretch = self.k * (self.nut - y[self.stud])
            held = goal >= stretch
            load = np.where(held, goal, np.maximum(stretch, 0.0))
            stress, slope = self.law(y[self.gasket], self.peak)
            left, diagonal = self.ring @ y, np.zeros(len(y))
            left[self.stud] -= load
            left[self.gasket] += self.area * stress
            diagonal[self.stud] = np.where(held | (stretch <= 0), 0.0, self.k)
            diagonal[self.gasket] = self.area * slope
            return left, diagonal, load, held

        left, diagonal, load, held = state(y)
        for _ in range(200):
            if np.abs(left).max() < 1e-9 * max(load.max(), 1.0):
                break
            soft = 1e-12 * self.ring.diagonal().max()
            step = solve(self.ring + np.diag(diagonal + soft), -left, assume_a="sym")
            share, slope = 1.0, left @ step
            for _ in range(30):  # the energy is convex: not past its lowest point on the way
                new = state(y + share * step)
                if new[0] @ step <= 0.3 * abs(slope):
                    break
                share *= 0.6
            y = y + share * step
            left, diagonal, load, held = new
        else:
            raise RuntimeError("no equilibrium")
        self.y, self.load = y, load
        turned = held & np.isfinite(goal)
        self.nut[turned] = np.maximum(self.nut, y[self.stud] + load / self.k)[turned]
        self.peak = np.maximum(self.peak, y[self.gasket])

    def run(self, target, passes, snug=0.05):
        """Loads after each pass, shares of the target; `passes` are (share or shares, moves), studs from 1."""
        self.start(snug * target)
        kept = []
        for share, moves in passes:
            setting = np.broadcast_to(share, (self.n,))
            for move in moves:
                pulled = np.asarray(move) - 1
                self.move(pulled, setting[pulled] * target)
            kept.append(self.load / target)
        return np.array(kept)
