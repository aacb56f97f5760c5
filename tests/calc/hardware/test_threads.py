"""Threads: how a designation is read, and the diameters and areas of the profile."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from addin.cells.words import line
from calc.findings import InputError
from calc.hardware import threads
from calc.units import system

DESIGNATIONS = ["1/2-13", "3/4-10 UNC", "7/8-9", "1-8", "1 1/8-8 UN", "1 1/2-8", "2 1/2-8", "4-8", "M16", "M24",
                "M36x4", "M36x3", "M64x6", "M100x3", "M160x6", "6-8"]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "designation"),
    [
        ("1 1/4-8 UN", "1 1/4-8 UN"), ("1-1/4", "1 1/4-8 UN"), ('1.1/4"', "1 1/4-8 UN"), ("1.25", "1 1/4-8 UN"),
        ("1¼", "1 1/4-8 UN"), ('1 1/4" - 8UN', "1 1/4-8 UN"), ("1-1/4-8UNR-2A", "1 1/4-8 UN"),
        ("1 1/4 x 8", "1 1/4-8 UN"),
        ("1 1/4-7 UNC", "1 1/4-7 UNC"), ("1-1/4-12", "1 1/4-12 UNF"), ("7/8", "7/8-9 UNC"), ("0.875", "7/8-9 UNC"),
        ("3/4-16 UNF", "3/4-16 UNF"), ("1", "1-8 UNC"), ("1 UNC", "1-8 UNC"), ("2", "2-8 UN"), ("2-4.5", "2-4.5 UNC"),
        ("2-4 1/2 UNC", "2-4.5 UNC"), ("M24", "M24x3"), ("m 24", "M24x3"), ("M36x3", "M36x3"), ("M36 X 3", "M36x3"),
        ("M36×3", "M36x3"), ("M30x3.5", "M30x3.5"), ("M30x3,5", "M30x3.5"), ("M20x2.5-6g", "M20x2.5"),
        ("M30x3", "M30x3"),
        ("4 1/2-8 UN", "4 1/2-8 UN"), ('5"', "5-8 UN"), ("6-8UN", "6-8 UN"), ("3 1/8", "3 1/8-8 UN"),
        ("4-1/2-8 UN", "4 1/2-8 UN"), ("M160x6", "M160x6"), ("M110x4", "M110x4"),
        ("M33x3", "M33x3"), ("1\u00a01/4-8 UN", "1 1/4-8 UN"), ("1 1⁄4-8", "1 1/4-8 UN"),
    ],
)  # fmt: skip
def test_usual_spellings(text: str, designation: str) -> None:
    assert threads.parse(text).designation == designation


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "thread_unknown"), ("bolt", "thread_unknown"), ("5", "thread_unknown"),
        ("6.25", "thread_unknown"), ("M110", "thread_pitch_needed"), ("4-5/8", "thread_ambiguous"),
        ("1.3", "thread_unknown"),
        ("0", "thread_unknown"), ("1/0", "thread_unknown"), ("M7.3", "thread_unknown"), ("11/4", "thread_ambiguous"),
        ("1-1/4-9", "thread_unknown"), ("1 1/4-7 8UN", "thread_contradiction"), ("M36", "thread_pitch_needed"),
        ("M30", "thread_pitch_needed"), ("M36x5", "thread_pitch_unusual"), ("M24x7", "thread_pitch_unusual"),
        ("-1", "thread_unknown"), ("M-24", "thread_unknown"), ("2026-07-08", "thread_unknown"),
        ("1 1/4-8-9", "thread_unknown"),
    ],
)  # fmt: skip
def test_what_is_refused(text: str, code: str) -> None:
    with pytest.raises(InputError) as caught:
        threads.parse(text)

    assert caught.value.finding.code == code


@given(st.text(max_size=12))
def test_any_text_is_a_thread_or_one_clear_refusal(text: str) -> None:
    try:
        found = threads.parse(text).designation
    except InputError as error:
        found = error.finding.quantity

    assert found == "thread" or threads.parse(found).designation == found


@pytest.mark.parametrize("text", DESIGNATIONS)
def test_the_profile_against_its_triangle(text: str) -> None:
    """ISO 68-1 / ASME B1.1: all diameters from the height of the sharp triangle."""
    thread = threads.parse(text)
    height = math.sqrt(3) / 2 * float(thread.pitch)

    assert threads.pitch_diameter(thread) == pytest.approx(thread.diameter - 2 * 3 / 8 * height, rel=1e-12)
    assert threads.root_diameter(thread) == pytest.approx(thread.diameter - 2 * 17 / 24 * height, rel=1e-12)
    assert threads.root_diameter(thread) < threads.pitch_diameter(thread)
    assert threads.root_area_b11(thread) < threads.root_area_iso(thread) < threads.tensile_area(thread)


@pytest.mark.parametrize("text", DESIGNATIONS)
def test_iso_and_un_stress_areas_are_different_definitions(text: str) -> None:
    """The ISO constant on a UN stud is 0.15 % (6 in) to 1.3 % (1/2 in) too high."""
    thread = threads.parse(text)
    iso = math.pi / 4 * (thread.diameter - 0.938194 * thread.pitch) ** 2
    ratio = iso / threads.tensile_area(thread)

    if thread.metric:
        assert ratio == pytest.approx(1, abs=1e-6)
    else:
        assert 1.0014 < ratio < 1.0135


def test_two_meanings_of_root_area() -> None:
    """M36x4: 759.28 mm² on the ISO core, 745.25 mm² on the section of ASME B1.1 and PCC-1."""
    thread = threads.parse("M36x4")

    assert round(threads.area(thread, "root ISO") * 1e6, 2) == 759.28
    assert round(threads.area(thread, "Root B1.1") * 1e6, 2) == 745.25
    with pytest.raises(InputError):
        threads.area(thread, "root")


@given(st.lists(st.sampled_from(DESIGNATIONS), min_size=1, max_size=8))
def test_a_column_gives_the_bits_of_each_thread(texts: list[str]) -> None:
    each = [threads.parse(text) for text in texts]
    column = threads.column(each)

    for function in (threads.pitch_diameter, threads.root_diameter, threads.stress_diameter,
                     threads.tensile_area, threads.root_area_b11, threads.root_area_iso):  # fmt: skip
        assert np.asarray(function(column)).tolist() == [float(function(thread)) for thread in each]


def test_a_missing_thread_in_a_column_is_not_a_number() -> None:
    column = threads.column([threads.parse("M24"), None])

    assert np.isnan(threads.tensile_area(column)).tolist() == [False, True]


@pytest.mark.parametrize("text", ["1 17/8", "2 9/8", "1 8/8", "1-16/8-8"])
def test_a_whole_number_with_more_than_a_fraction_is_a_slip_and_never_added_up(text: str) -> None:
    with pytest.raises(InputError, match="thread_unknown"):
        threads.parse(text)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("6 1/8-8UN", "thread '6 1/8-8UN' is not in the tables, whose inch threads go from 6.35 mm to 152.4 mm"),
        ("M170x6", "thread 'M170x6' is not in the tables, whose metric threads go from 5 mm to 160 mm"),
        ("3/16-24 UNC", "thread '3/16-24 UNC' is not in the tables, whose inch threads go from 6.35 mm to 152.4 mm"),
    ],
)
def test_a_size_beyond_the_tables_says_how_far_they_go(text: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        threads.parse(text)

    assert line(caught.value.finding, system("SI")) == said
