"""Stretch, turn of the nut, stiffness, length of the stud."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

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
    }
    for name, function in functions.items():
        many = np.asarray(function(column, load, length, modulus)).tolist()
        assert many == [float(function(t, *values)) for t, (_, *values) in zip(each, rows, strict=True)], name
