"""Stud materials: spellings, bands of size, and the refusal to take one specification for another.

Steel numbers (1.7218 and the like) are those of EN 10027-2, from memory.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.findings import InputError
from calc.hardware import materials, threads
from calc.quantities import INCH, PSI

KSI = 1000 * PSI


@pytest.mark.parametrize(
    ("text", "metric", "name"),
    [
        ("A193 B7", False, "A193 B7"), ("B7", False, "A193 B7"), ("ASTM A193 Gr. B7", False, "A193 B7"),
        ("SA-193 GRADE B7", False, "A193 B7"), ("A193-B7", False, "A193 B7"), ("a193 b7m", False, "A193 B7M"),
        ("A193M B7", True, "A193M B7"), ("A193 B7", True, "A193 B7"), ("B8M Cl.2", False, "A193 B8M class 2"),
        ("A193 B8 Class 1", False, "A193 B8 class 1"), ("A320 L7", False, "A320 L7"), ("L7M", False, "A320 L7M"),
        ("A453 660 class D", False, "A453 660 class D"), ("A453 660 B", False, "A453 660 class A/B/C"),
        ("8.8", True, "ISO 898-1 8.8"), ("ISO 898-1 10.9", True, "ISO 898-1 10.9"),
        ("A193 B8M class 2B", False, "A193 B8M class 2B"), ("B8M Cl 2C", False, "A193 B8M class 2C"),
        ("A193 B8M3", False, "A193 B8M class 2C"), ("A320 B8M class 2", False, "A320 B8M class 2"),
        ("A193 B5", False, "A193 B5"), ("B8C class 2", False, "A193 B8C class 2"), ("A354 BD", False, "A354 BD"),
        ("ASTM A449 Type 1", False, "A449"), ("A540 B23 Class 3", False, "A540 B23 class 3"),
        ("A4-80", True, "ISO 3506-1 A4 class 80"), ("ISO 3506-1 A2-70", True, "ISO 3506-1 A2 class 70"),
        ("25CrMo4 EN 10269", True, "EN 10269 25CrMo4"), ("EN 10269 21CrMoV5-7", True, "EN 10269 21CrMoV5-7"),
        ("ASTM B637 N07718", False, "ASTM B637 N07718"), ("N07718 120K", False, "API 6ACRA N07718 120K"),
        ("EN 10269 1.7709", True, "EN 10269 21CrMoV5-7"), ("EN 10269 25CrMo4 (1.7218)", True, "EN 10269 25CrMo4"),
        ("W.-Nr. 1.7711 EN 10269", True, "EN 10269 40CrMoV4-6"),
        ("9.8", True, "ISO 898-1 9.8"), ("class 12.9", True, "ISO 898-1 12.9"),
    ],
)  # fmt: skip
def test_usual_spellings(text: str, metric: bool, name: str) -> None:
    assert materials.grade_name(text, metric) == name


@pytest.mark.parametrize(
    ("text", "metric", "code"),
    [
        ("B9", False, "grade_unknown"), ("", False, "grade_unknown"), ("B7", True, "specification_needed"),
        ("B8M", False, "class_needed"), ("660", False, "class_needed"), ("B7 class 2", False, "grade_unknown"),
        ("5.7", True, "grade_unknown"), ("A320 B7", False, "grade_unknown"), ("B8 class 3", False, "grade_unknown"),
        ("B8M2", False, "class_needed"), ("A193 Gr.B8M2", False, "class_needed"), ("A4", True, "class_needed"),
        ("8.8", False, "grade_metric_only"), ("A4-80", False, "grade_metric_only"), ("BD", False, "grade_unknown"),
        ("42CrMo4", True, "grade_of_standards"), ("1.7225", True, "grade_of_standards"),
        ("EN 10269 42CrMo4 / 1.7218", True, "grade_unknown"), ("1.4923", True, "grade_unknown"),
        ("EN 10269 1.7218 / 1.7709", True, "grade_unknown"), ("EN 10269 25CrMo4 1.7218 1.7709", True, "grade_unknown"),
        ("N07718", False, "class_needed"),
    ],
)  # fmt: skip
def test_what_is_refused(text: str, metric: bool, code: str) -> None:
    with pytest.raises(InputError) as caught:
        materials.grade_name(text, metric)

    assert caught.value.finding.code == code


def test_large_studs_have_the_lower_bands_of_their_grade() -> None:
    """A193 B7 above 4 in to 7 in: 75 ksi; B16 above 4 in: 85 ksi (read in a copy)."""
    for grade, ksi in (("A193 B7", 75), ("A193 B16", 85)):
        five = threads.parse("5-8 UN")
        assert materials.strength(grade, float(five.diameter), metric=False).yield_strength == pytest.approx(ksi * KSI)


def test_the_smallest_stud_of_a_table_has_its_strength() -> None:
    """A193 B7 begins at 1/4 in with 105 ksi, ISO 898-1 8.8 at M5 with 640 MPa."""
    assert materials.strength("A193 B7", 0.25 * INCH, metric=False).yield_strength == pytest.approx(105 * KSI)
    assert materials.strength("8.8", 0.005, metric=True).yield_strength == pytest.approx(640e6)


def test_a193_and_a193m_are_not_the_same() -> None:
    inch = materials.strength("A193 B7", 0.036, metric=True).yield_strength
    si = materials.strength("A193M B7", 0.036, metric=True).yield_strength

    assert inch == pytest.approx(105 * KSI)
    assert si == pytest.approx(720e6)


@pytest.mark.parametrize(
    ("grade", "inches"),
    [("B16", 8.5), ("A320 L7", 3.0), ("B8M class 2", 1.75), ("B8 class 2", 2.0), ("B7", 7.5)],
)
def test_a_size_without_a_band_is_refused(grade: str, inches: float) -> None:
    with pytest.raises(InputError) as caught:
        materials.strength(grade, inches * INCH, metric=False)

    assert caught.value.finding.code == "size_outside_grade"


@given(st.floats(0.3, 7.9), st.floats(0.3, 7.9))
def test_a_larger_stud_of_the_same_grade_is_never_stronger(one: float, other: float) -> None:
    small, large = (materials.strength("A193 B16", size * INCH, metric=False) for size in sorted((one, other)))

    assert small.yield_strength >= large.yield_strength


def test_every_strength_has_a_source_and_yields_below_its_tensile_strength() -> None:
    for grade in materials.grades():
        strength = materials.strength(grade, 0.012, metric=grade.startswith(("ISO", "EN")))
        assert strength.source
        assert strength.basis in {"read in a copy", "from memory"}
        assert 0 < strength.yield_strength < strength.tensile_strength


def test_mark_and_class_together_are_one_name() -> None:
    """B8M2 is the mark of class 2B, B8M3 that of 2C (from memory): beside its class it leaves nothing open."""
    assert materials.grade_name("A193 B8M2 class 2B", metric=False) == "A193 B8M class 2B"
    assert materials.grade_name("B8M3 Cl.2C", metric=False) == "A193 B8M class 2C"
    assert materials.grade_name("B8M2 class 2", metric=False) == "A193 B8M class 2"


@pytest.mark.parametrize(
    ("grade", "megapascals"), [("4.6", 240), ("5.6", 300), ("ISO 898-1 6.8", 480), ("4.8", 340), ("5.8", 420)]
)
def test_property_classes_below_88_judge_from_memory(grade: str, megapascals: float) -> None:
    found = materials.strength(grade, 0.02, metric=True)

    assert found.yield_strength == pytest.approx(megapascals * 1e6)
    assert found.basis == "from memory"


@pytest.mark.parametrize("grade", ["B7", "B7M", "B16"])
@pytest.mark.parametrize(("metric", "inch"), [(0.036, 1.5), (0.090, 3.5), (0.120, 5.0)])
def test_bands_of_a193m_from_memory_lie_near_those_of_a193(grade: str, metric: float, inch: float) -> None:
    """The metric standard rounds the same bands (M64 2 1/2 in, M100 4 in) to 5 MPa."""
    si, us = (
        materials.strength(f"A193M {grade}", metric, metric=True),
        materials.strength(f"A193 {grade}", inch * 0.0254, metric=False),
    )

    assert (si.basis, us.basis) == ("from memory", "read in a copy")
    assert si.yield_strength == pytest.approx(us.yield_strength, rel=0.007)
    assert si.tensile_strength == pytest.approx(us.tensile_strength, rel=0.007)
