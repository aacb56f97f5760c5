"""The flange ring against closed forms, EN 1591-1, and a frame of straight beams put together by another method.

Basis: the solutions of Hetenyi, Beams on Elastic Foundation, and the formulas of EN 1591-1 are written here from
memory or derived here, as each test says; none was read in a copy.
"""

import math

import numpy as np
import pytest

from calc.findings import InputError
from calc.interaction import ring
from calc.interaction.elastic import ElasticJoint, interaction_table
from calc.interaction.gasket import Gasket
from calc.interaction.shell import Shell


def at_gasket(section, stations, foundation):
    """Closure at every station for a unit force on the ring's line at station 0, on springs of `foundation` [N/m²]."""
    r = section.radius
    blocks = ring.sector_stiffness(section, stations // 4, 4, 1.2 * r, r)
    size = 5
    dense = ring.circulant(blocks)
    gasket = np.array([i for i in range(len(dense)) if i % size])
    dense[gasket, gasket] += foundation * 2 * math.pi * r / stations
    force = np.zeros(len(dense))
    force[1] = 1.0
    return np.linalg.solve(dense, force)[gasket]


def test_long_straight_beam_on_elastic_foundation():
    """Hetenyi, infinite beam, one load (from memory): w = P λ/(2k) e^(-λx) (cos λx + sin λx), λ⁴ = k/(4EI)."""
    bending, foundation = 2.0e5, 3.0e8
    decay = (foundation / (4 * bending)) ** 0.25
    radius = 25 / decay  # 160 decay lengths around: straight
    section = ring.Section(radius, bending, torsion=0.8 * bending, shear=1e15)
    w = at_gasket(section, 2000, foundation)
    x = np.arange(40) * 2 * math.pi * radius / 2000
    closed = decay / (2 * foundation) * np.exp(-decay * x) * (np.cos(decay * x) + np.sin(decay * x))
    assert np.abs(w[:40] - closed).max() < 0.003 * closed[0]


def test_circular_beam_on_elastic_foundation():
    """Ring on springs, one load: characteristic roots of its equations, fitted to the load, derived here.

    The equations are those of the circular beam that bends and twists (Hetenyi, Volterra; from memory); the method,
    six exponentials and the conditions at the load, has nothing of a Fourier series.
    """
    radius, bending, torsion, foundation = 0.3, 2.0e5, 1.5e5, 3.0e7
    # φ = f w with f (EI - GJ s²) = -(EI + GJ) s²/R;  EI (s² + 1)(s²/R + f)/R³ + k = 0, in z = s²
    one = np.polynomial.Polynomial([0, 1])
    under = bending - torsion * one
    whole = bending * (one + 1) * (one * under - (bending + torsion) * one) / radius**4 + foundation * under
    roots = np.sqrt(whole.roots().astype(complex))
    f = -(bending + torsion) * roots**2 / (radius * (bending - torsion * roots**2))
    far = math.pi * roots
    conditions = np.array(
        [
            -roots * np.sinh(far),  # w' = 0 at the load
            -f * roots * np.sinh(far),  # φ' = 0: no torque there
            -(roots**2 / radius + f) / radius * roots * np.sinh(far),  # κ' = P R/(2 EI)
        ]
    )
    amplitude = np.linalg.solve(conditions, np.array([0, 0, radius / (2 * bending)], dtype=complex))
    theta = np.arange(200) * 2 * math.pi / 200
    closed = (np.cosh(np.multiply.outer(math.pi - theta, roots)) @ amplitude).real
    w = at_gasket(ring.Section(radius, bending, torsion, shear=1e15), 200, foundation)
    assert np.abs(w - closed).max() < 0.003 * closed[0]
    assert closed.sum() * 2 * math.pi * radius / 200 * foundation == pytest.approx(1.0, rel=1e-3)


@pytest.mark.parametrize("matched", [True, False])
@pytest.mark.parametrize(("wall", "within"), [(0.0, 1e-14), (0.012, 0.07), (0.02, 0.07)])
def test_all_studs_together_turn_the_ring_as_in_en_1591(make, wall, within, matched):
    """EN 1591-1 (from memory): rotation ZF M/EF, ZF = 3 dF cF/(π bF eF³), closure between stud and gasket hG times it.

    The chord correction of the bolt circle (d3e) is left out on both sides: the ring carries each stud at its place.
    With a shell the standard has a formula of its own, here a shell is worked out: 7 % of the rotation.
    """
    joint = make(16, shell_wall=wall, stations=1, matched=matched)
    model = ElasticJoint(joint)
    load = 50e3
    closure, _ = model.together(load)
    full = model.dimensions
    d4, d0, d3 = full.outside_diameter, full.inside_diameter, full.bolt_circle
    e, hole = full.thickness, full.hole_diameter
    pitch = math.pi * d3 / 16
    b = (d4 - d0) / 2 - hole * math.sqrt(hole / pitch)
    d = (d4 + d0) / 2
    shell = d0 + wall
    gamma, theta = wall * d / (b * shell), 0.55 * math.sqrt(shell * wall) / e
    c = (1 + gamma * theta) / (1 + gamma * theta * (4 + 6 * theta + 6 * theta**2) + 3 * gamma**2 * theta**4)
    turning = 3 * d * c / (math.pi * b * e**3) / full.flange_modulus
    lever = (d3 - full.gasket_diameter) / 2
    flanges = 2 if matched else 1
    assert closure[0] - closure[1] == pytest.approx(flanges * turning * lever**2 * 16 * load, rel=within)


@pytest.mark.parametrize("hub", [0.0, 0.04])
def test_lift_and_tilt_of_the_whole_are_free_with_hub_and_pipe(hub):
    shell = Shell(0.02, 0.01, hub, 0.5, 0.5) if hub else None
    section = ring.section(0.75, 0.5, 0.05, 2e11, shell=shell)
    blocks = ring.harmonic_stiffness(section, np.array([0.0, 1.0, 2.0]))
    scale = np.abs(blocks).max(axis=(1, 2))
    assert np.abs(blocks[0] @ [1.0, 0.0]).max() == 0  # lift
    assert np.abs(blocks[1] @ [section.radius, 1.0]).max() < 1e-12 * scale[1]  # tilt: w = R φ
    assert (np.linalg.eigvalsh(blocks[2]) > 0).all()


# --- a frame of straight beams -------------------------------------------------------------------------------------


def beam(length, bending, torsion, shear):
    """Stiffness of a straight Timoshenko beam, (w, twist, slope) at both ends; handbook form, from memory."""
    phi = 12 * bending / (shear * length**2)
    a = bending / (length**3 * (1 + phi))
    k = np.zeros((6, 6))
    place = np.ix_([0, 2, 3, 5], [0, 2, 3, 5])
    s = length
    k[place] = a * np.array(
        [
            [12, 6 * s, -12, 6 * s],
            [6 * s, (4 + phi) * s * s, -6 * s, (2 - phi) * s * s],
            [-12, -6 * s, 12, -6 * s],
            [6 * s, (2 - phi) * s * s, -6 * s, (4 + phi) * s * s],
        ]
    )
    k[1, 1] = k[4, 4] = torsion / length
    k[1, 4] = k[4, 1] = -torsion / length
    return k


def frame_table(model, per_stud, stud_stiffness, gasket_slope):
    """Interaction of a flange pair as a polygon of straight beams with springs at the gasket and at the studs.

    Unknowns per node: w and the rotation vector (θx, θy); a point at d from the node moves by w + θx dy - θy dx.
    """
    joint = model.dimensions
    nodes = joint.studs * per_stud
    radius = (joint.outside_diameter + joint.inside_diameter) / 4
    pitch = math.pi * joint.bolt_circle / joint.studs
    a = (joint.outside_diameter - joint.inside_diameter) / 2 - joint.hole_diameter**1.5 / math.sqrt(pitch)
    b = joint.thickness
    e, g = joint.flange_modulus, joint.flange_modulus / 2.6
    wide, thin = max(a, b), min(a, b)
    torsion = g * wide * thin**3 * (1 / 3 - 0.21 * thin / wide * (1 - (thin / wide) ** 4 / 12))  # Roark, from memory
    angle = np.arange(nodes) * 2 * math.pi / nodes
    x, y = radius * np.cos(angle), radius * np.sin(angle)
    k = np.zeros((3 * nodes, 3 * nodes))
    for i in range(nodes):
        j = (i + 1) % nodes
        dx, dy = x[j] - x[i], y[j] - y[i]
        length = math.hypot(dx, dy)
        c, s = dx / length, dy / length
        turn = np.array([[1, 0, 0], [0, c, s], [0, s, -c]])  # twist = θ along the beam; slope dw/ds = θx s - θy c
        both = np.kron(np.eye(2), turn)
        place = np.r_[3 * i : 3 * i + 3, 3 * j : 3 * j + 3]
        k[np.ix_(place, place)] += both.T @ beam(length, e * a * b**3 / 12, torsion, 5 / 6 * g * a * b) @ both
    k /= 2  # the pair closes by twice what one flange moves

    def reach(node, r):
        row = np.zeros(3 * nodes)
        d = r - radius
        row[3 * node : 3 * node + 3] = 1, d * math.sin(angle[node]), -d * math.cos(angle[node])
        return row

    for node in range(nodes):
        row = reach(node, joint.gasket_diameter / 2)
        k += gasket_slope * joint.gasket_area / nodes * np.outer(row, row)
    studs = np.array([reach(i * per_stud, joint.bolt_circle / 2) for i in range(joint.studs)])
    k += stud_stiffness * studs.T @ studs
    table = stud_stiffness * np.eye(joint.studs) - stud_stiffness**2 * studs @ np.linalg.solve(k, studs.T)
    return table / np.diag(table)


@pytest.mark.parametrize("studs", [8, 16])
@pytest.mark.parametrize("slope", [1.5e11, 2.2e12])
def test_interaction_equals_that_of_a_beam_frame(make, studs, slope):
    """Independent: polygon of straight beams, 12 per stud, direct stiffness method; 0.3 % of the largest coefficient.

    Gasket slopes of a spiral wound gasket on loading and on unloading.
    """
    joint = make(studs, stations=12, shell_wall=0.0, gasket=Gasket(slope * 1e-3, 1e-3, 0.0, 0.0, 0.0, 1e-3))
    model = ElasticJoint(joint)
    frame = frame_table(model, 12, model.stud_stiffness, slope)
    off = ~np.eye(studs, dtype=bool)
    table = interaction_table(joint, 60e3)
    assert np.abs(frame[off]).max() > 0.2
    assert np.abs(table - frame)[off].max() < 0.003 * np.abs(frame[off]).max()


@pytest.mark.parametrize("studs", [8, 16, 24])
def test_four_stations_per_stud_are_enough(make, studs):
    """Against ten stations per stud: 0.4 % of one for every coefficient."""
    coarse, fine = (interaction_table(make(studs, stations=k), 60e3) for k in (4, 10))
    assert np.abs(coarse - fine).max() < 0.004


@pytest.mark.parametrize(("ratio", "constant"), [(1, 0.1406), (2, 0.229), (4, 0.281), (10, 0.312)])
def test_torsion_constant_of_rectangles(ratio, constant):
    """Timoshenko's table k1 of a rectangle, J = k1 a b³ (handbook table, from memory)."""
    assert ring.torsion_constant(ratio * 0.01, 0.01) / (ratio * 1e-8) == pytest.approx(constant, abs=6e-4)


def test_unknown_gasket_kind_names_the_known_ones(make):
    with pytest.raises(InputError) as caught:
        ElasticJoint(make(8, gasket="cork on string"))
    assert caught.value.finding.code == "gasket_kind_unknown"
    assert "spiral wound" in caught.value.finding.facts["known"]
