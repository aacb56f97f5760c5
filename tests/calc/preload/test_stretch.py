"""Stretch, turn of the nut, stiffness, embedding, length of the stud."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from calc.findings import InputError
from calc.hardware import threads
from calc.hardware.threads import Thread
from calc.preload import stretch
from calc.quantities import INCH, PSI

KSI = 1000 * PSI
TEXTS = ["1/2-13", "1-8", "1 1/2-8", "4-8", "M16", "M24", "M36x4", "M64x6"]
stud = st.sampled_from(TEXTS).map(threads.parse)
loads, lengths, moduli = st.floats(1e3, 5e6), st.floats(0.03, 2), st.floats(1.5e11, 2.2e11)


def example() -> tuple[Thread, float, float]:
    """1-1/2-8 at 50 ksi on the root area, 10 in between the nuts' mid-thicknesses."""
    thread = threads.parse("1 1/2-8")
    return thread, 50 * KSI * float(threads.root_area_b11(thread)), 10 * INCH


def test_pcc_1_stretch() -> None:
    """ΔL = (Sb L/E)(Ar/As) = 0.01597 in at E 29.5e6 psi (form from memory, own inputs)."""
    thread, preload, length = example()
    ours = stretch.stretch(preload, thread, length, 29.5e6 * PSI)
    ratio = threads.root_area_b11(thread) / threads.tensile_area(thread)

    assert ours / INCH == pytest.approx(0.01597, abs=5e-6)
    assert ours / INCH == pytest.approx(50e3 * 10 / 29.5e6 * ratio, rel=1e-12)
    assert stretch.stretch(preload, thread, length) == pytest.approx(ours, rel=1e-15)  # the default modulus


def test_turn_of_the_nut() -> None:
    """The same stud in a joint four times as stiff: 57.48 degrees past snug."""
    thread, preload, length = example()
    joint = 4 * float(stretch.stud_stiffness(thread, length, 29.5e6 * PSI))
    turn = stretch.nut_turn(preload, thread, length, 29.5e6 * PSI, joint=joint)

    assert math.degrees(turn) == pytest.approx(57.48, abs=0.005)
    assert math.degrees(stretch.nut_turn(preload, thread, length, 29.5e6 * PSI)) == pytest.approx(
        57.48 / 1.25, abs=0.005
    )


@given(stud, loads, lengths, moduli)
def test_stretch_and_back(thread: Thread, load: float, length: float, modulus: float) -> None:
    there = stretch.stretch(load, thread, length, modulus)

    assert stretch.preload_from_stretch(there, thread, length, modulus) == pytest.approx(load, rel=1e-13)


@given(stud, loads, lengths, moduli, st.floats(1e8, 1e11))
def test_a_full_turn_is_one_pitch_of_shortening(
    thread: Thread, load: float, length: float, modulus: float, joint: float
) -> None:
    moved = stretch.nut_turn(load, thread, length, modulus, joint=joint) / (2 * math.pi) * thread.pitch

    assert moved == pytest.approx(stretch.stretch(load, thread, length, modulus) + load / joint, rel=1e-12)


@given(stud, st.floats(0.02, 0.5))
def test_effective_length_is_between_mid_thicknesses(thread: Thread, grip: float) -> None:
    assert stretch.effective_length(grip, thread) == pytest.approx(grip + thread.diameter)
    assert stretch.effective_length(grip, thread, tapped=True) > grip


@given(st.floats(0.02, 0.5), st.floats(0.02, 0.12), st.floats(0.45, 0.9))
def test_joint_stiffness_is_that_of_the_two_cones(grip: float, bearing: float, share: float) -> None:
    """Independent: the cones' softness integrated slice by slice."""
    hole, modulus = share * bearing, 2e11

    def slice_(x: float) -> float:
        diameter = bearing + 2 * min(x, grip - x) * math.tan(math.pi / 6)
        return 1 / (modulus * math.pi / 4 * (diameter**2 - hole**2))

    soft = 2 * quad(slice_, 0, grip / 2, epsabs=0, epsrel=1e-10)[0]
    ours = stretch.joint_stiffness(grip, bearing=bearing, hole=hole, modulus=modulus)
    assert ours == pytest.approx(1 / soft, rel=1e-8)


def test_joint_stiffness_beside_another_published_estimate() -> None:
    """k = 0.5774 π E d / (2 ln(5 (0.5774 l + 0.5 d)/(0.5774 l + 2.5 d))), washer face 1.5 d, hole d (textbook form,
    from memory)."""
    d, grip, modulus = 0.0254, 0.1, 2e11
    textbook = (
        0.5774 * math.pi * modulus * d / (2 * math.log(5 * (0.5774 * grip + 0.5 * d) / (0.5774 * grip + 2.5 * d)))
    )

    assert stretch.joint_stiffness(grip, bearing=1.5 * d, hole=d, modulus=modulus) == pytest.approx(textbook, rel=1e-4)


def test_embedding() -> None:
    """Rz 16 µm: 3 in each thread, 3 under each nut, 2 between the flanges (VDI 2230-1 Table 5, from memory)."""
    assert stretch.embedding(16e-6) == pytest.approx((2 * 3 + 2 * 3 + 2) * 1e-6)
    assert stretch.embedding(5e-6, threads=1, bearings=2, interfaces=2) == pytest.approx((3 + 2 * 2.5 + 2 * 1.5) * 1e-6)
    for edge, one in ((10e-6, 2.0), (40e-6, 3.0), (159e-6, 3.0)):
        assert stretch.embedding(edge, threads=0, bearings=0, interfaces=1) == pytest.approx(one * 1e-6)
    with pytest.raises(InputError) as caught:
        stretch.embedding(160e-6)
    assert caught.value.finding.code == "roughness_outside_table"


@given(st.floats(1e-6, 3e-5), st.floats(1e7, 1e10), st.floats(1e7, 1e11))
def test_embedding_loss_is_what_unwinds_the_two_springs(settled: float, bolt: float, joint: float) -> None:
    loss = stretch.embedding_loss(settled, stud=bolt, joint=joint)

    assert loss / bolt + loss / joint == pytest.approx(settled, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "grip", "length"),
    [
        ("1 1/8-8", 4.94, 7.5),
        ("7/8-9", 3.25, 5.25),
        ("M24", 100.0, 155.0),
        ("M24", 96.0, 150.0),
        ("M24", 96.001, 155.0),
    ],
)
def test_stud_length_by_hand(text: str, grip: float, length: float) -> None:
    """Grip, two nuts one diameter high, a thread out of each, up to 1/4 in or 5 mm.

    1-1/8-8: 4.94 + 2.25 + 0.25 = 7.44, so 7.5 in, the length of ASME B16.5 for NPS 8 class 600, whose flanges are 2.19
    and 0.25 in thick with 0.06 in of gasket.
    """
    thread = threads.parse(text)
    unit = 1e-3 if thread.metric else INCH

    assert stretch.stud_length(thread, grip * unit).length / unit == pytest.approx(length, rel=1e-12)


@given(stud, st.floats(0.02, 1.5), st.floats(0.0, 3.0), st.floats(0.0, 0.02))
def test_the_stud_is_long_enough_and_no_step_longer(thread: Thread, grip: float, out: float, washers: float) -> None:
    found = stretch.stud_length(thread, grip, protrusion=out, washers=washers)
    step = 5e-3 if thread.metric else INCH / 4

    assert found.threads >= out - 1e-6
    assert found.length < found.needed + step * (1 + 1e-6)
    assert (found.length / step) == pytest.approx(round(found.length / step), abs=1e-9)
    assert stretch.protrusion(found.length, thread, grip, washers=washers) == pytest.approx(found.protrusion, abs=1e-12)


def test_a_short_stud_has_a_negative_protrusion() -> None:
    assert stretch.protrusion(0.140, threads.parse("M24"), 0.100) < 0


@given(stud, st.floats(4e8, 1.3e9), st.floats(2e8, 1.3e9))
def test_engagement_in_a_tapped_hole(thread: Thread, stud_strength: float, body_strength: float) -> None:
    """Weaker bodies need more thread; a body as strong as the stud needs about one nut's height or less."""
    depth = stretch.engagement_needed(thread, stud_strength=stud_strength, body_strength=body_strength)
    deeper = stretch.engagement_needed(thread, stud_strength=stud_strength, body_strength=0.9 * body_strength)

    assert depth <= deeper
    if body_strength >= stud_strength:
        assert 0.4 * thread.diameter < depth < 0.8 * thread.diameter


@given(st.lists(st.tuples(st.sampled_from(TEXTS), loads, lengths, moduli), min_size=1, max_size=6))
def test_a_column_gives_the_bits_of_each_row(rows: list[tuple[str, float, float, float]]) -> None:
    each = [threads.parse(text) for text, *_ in rows]
    column = threads.column(each)
    load, length, modulus = (np.array(part) for part in list(zip(*rows, strict=True))[1:])

    functions = {
        "stretch": lambda t, f, z, e: stretch.stretch(f, t, z, e),
        "turn": lambda t, f, z, e: stretch.nut_turn(f, t, z, e, joint=3e9),
        "effective": lambda t, f, z, e: stretch.effective_length(z, t),
        "length": lambda t, f, z, e: stretch.stud_length(t, z).length,
        "joint": lambda t, f, z, e: stretch.joint_stiffness(
            z, bearing=1.6 * t.diameter, hole=1.1 * t.diameter, modulus=e
        ),
        "depth": lambda t, f, z, e: stretch.engagement_needed(t, stud_strength=8e8, body_strength=e / 4e2),
        "loss": lambda t, f, z, e: stretch.embedding_loss(1e-5, stud=stretch.stud_stiffness(t, z, e), joint=3e9),
    }
    for name, function in functions.items():
        many = np.asarray(function(column, load, length, modulus)).tolist()
        assert many == [float(function(t, *values)) for t, (_, *values) in zip(each, rows, strict=True)], name
