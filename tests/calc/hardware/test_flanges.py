"""Standard flanges: reading of sizes and classes, and the table against the standard's own rules."""

import math

import pytest

from calc.findings import InputError
from calc.hardware import flanges
from calc.hardware.threads import parse
from calc.quantities import INCH
from calc.tables import load

# minimum flange thickness without the raised face, ASME B16.5 (from memory) [in]
THICKNESS = {("2", 150): 0.69, ("6", 150): 0.94, ("24", 150): 1.81, ("4", 300): 1.19, ("10", 300): 1.81,
             ("24", 300): 2.69, ("4", 400): 1.38, ("8", 600): 2.19, ("16", 600): 3.00, ("24", 600): 4.00,
             ("10", 900): 2.75, ("12", 900): 3.12, ("24", 900): 5.50, ("6", 1500): 3.25, ("2", 2500): 2.00,
             ("12", 2500): 7.25}  # fmt: skip


@pytest.mark.parametrize(("key", "thickness"), THICKNESS.items())
def test_stud_length_by_the_rule_of_the_standard(key: tuple[str, int], thickness: float) -> None:
    """A = 2 (tf + t + d) + 0.06 + Fr, a tolerance added, up to the next quarter inch (from memory, formula agrees)."""
    nps, number = key
    found = flanges.flange(nps, number)
    diameter, size = float(found.thread.diameter) / INCH, number_of(nps)
    exact = 2 * (thickness + (0.12 if size <= 18 else 0.19) + diameter) + 0.06 + (0.12 if number <= 300 else 0.50)
    exact += 0.06 if exact <= 12 else 0.12 if exact <= 18 else 0.25

    assert found.length / INCH == pytest.approx(math.ceil(4 * exact - 1e-9) / 4)


def number_of(nps: str) -> float:
    return sum(float(a) / float(b or 1) for a, _, b in (part.partition("/") for part in nps.split("-")))


def test_every_row_keeps_the_rules_that_hold_for_all_flanges() -> None:
    rows = load("flanges_b165").rows
    assert len(rows) == 132
    assert len({(row["nps"], row["class"]) for row in rows}) == len(rows)
    for row in rows:
        found = flanges.flange(row["nps"], int(row["class"]))
        assert found.studs % 4 == 0
        assert found.hole == pytest.approx(row["diameter"] + INCH / 8)
        assert found.thread.diameter == pytest.approx(row["diameter"])
        assert found.thread.pitch == pytest.approx(parse(row["stud"]).pitch)
        assert (8 * found.bolt_circle / INCH) == pytest.approx(round(8 * found.bolt_circle / INCH))
        assert (4 * found.length / INCH) == pytest.approx(round(4 * found.length / INCH))
        # neighbouring heavy nuts do not touch
        assert found.bolt_circle * math.sin(math.pi / found.studs) > 1.5 * row["diameter"] + INCH / 8
        for basis in (found.basis, found.length_basis):
            assert basis == "read in a copy" or basis.startswith("from memory")


def test_a_higher_class_never_has_a_smaller_stud_section() -> None:
    for nps in flanges.sizes():
        sections = [row["studs"] * row["diameter"] ** 2 for row in load("flanges_b165").rows if row["nps"] == nps]
        assert sections == sorted(sections), nps


def test_gaps_that_were_filled_say_so() -> None:
    """Class 900 below NPS 3 has the dimensions of class 1500; NPS 10 class 900 stands from memory."""
    for nps in ("1/2", "1", "2", "2-1/2"):
        small, large = flanges.flange(nps, 900), flanges.flange(nps, 1500)
        assert (small.studs, small.bolt_circle, small.length) == (large.studs, large.bolt_circle, large.length)
        assert small.basis.startswith("from memory")
    assert flanges.flange("10", 900).basis.startswith("from memory")
    assert flanges.flange("2", 400).basis == "read in a copy"
    assert flanges.flange("2", 400).length_basis.startswith("from memory")


@pytest.mark.parametrize(
    ("nps", "pressure_class", "key"),
    [
        ("6", "300", ("6", 300)), (6, 300, ("6", 300)), (6.0, 300.0, ("6", 300)), ('6"', "300#", ("6", 300)),
        ("NPS 6", "Class 300", ("6", 300)), ("DN 150", "CL300", ("6", 300)), ("DN150", "300 lb", ("6", 300)),
        ("1-1/2", 150, ("1-1/2", 150)), ("1 1/2", "150", ("1-1/2", 150)), ('1.1/2"', "150", ("1-1/2", 150)),
        (1.5, "150 LBS", ("1-1/2", 150)), ("0.75", "150", ("3/4", 150)), ("8 in", "600", ("8", 600)),
        ("24 inch", "ASME 150", ("24", 150)), ("3/4", "CL. 1500", ("3/4", 1500)),
    ],
)  # fmt: skip
def test_usual_spellings(nps: object, pressure_class: object, key: tuple[str, int]) -> None:
    found = flanges.flange(nps, pressure_class)

    assert (found.nps, found.pressure_class) == key


@pytest.mark.parametrize(
    ("nps", "pressure_class", "code"),
    [
        ("7", 150, "pipe_size_unknown"), ("26", 150, "pipe_size_unknown"), ("", 150, "pipe_size_unknown"),
        ("DN 160", 150, "pipe_size_unknown"), ("6", "PN 16", "pressure_class_unknown"),
        ("6", 200, "pressure_class_unknown"),
        ("6", "", "pressure_class_unknown"), ("14", 2500, "flange_not_in_table"),
        ("3-1/2", 1500, "flange_not_in_table"),
    ],
)  # fmt: skip
def test_what_is_refused(nps: object, pressure_class: object, code: str) -> None:
    with pytest.raises(InputError) as caught:
        flanges.flange(nps, pressure_class)

    assert caught.value.finding.code == code
    assert caught.value.finding.facts["known"]


@pytest.mark.parametrize("name", ["flanges_b1647", "flanges_en1092"])
def test_rows_of_large_and_metric_flanges_keep_the_rules_that_hold_for_all(name: str) -> None:
    """Counts in fours, nuts that do not touch, circles that grow with the size; one basis in each row."""
    before: dict[object, float] = {}
    for row in load(name).rows:
        stud = row["stud"]
        diameter = float(stud[1:]) * 1e-3 if stud.startswith("M") else float(parse(stud).diameter)
        flat = 1.5 * diameter + INCH / 8
        assert row["studs"] % 4 == 0
        assert row["basis"] in ("read in a copy", "from memory")
        if row["bolt_circle"] is None:
            continue
        assert row["bolt_circle"] * math.sin(math.pi / row["studs"]) > flat
        group = (row.get("class"), row.get("series"), row.get("pn"))
        assert row["bolt_circle"] > 0.9 * before.get(group, 0.0)
        before[group] = row["bolt_circle"]


def test_what_is_known_from_memory_supplies_nothing() -> None:
    with pytest.raises(InputError) as caught:
        flanges.flange("36", "150")
    assert caught.value.finding.code == "pipe_size_unknown"
    assert {b.basis for b in flanges.bolting_of("DN 300", "PN 16")} == {"from memory"}


@pytest.mark.parametrize(("nps", "number", "hub", "neck", "length"), [
    ("8", 600, 10.75, 8.63, 5.25), ("24", 900, 29.5, 24.0, 11.5), ("12", 2500, 17.38, 12.75, 18.25),
])  # fmt: skip
def test_hubs_as_they_stand_in_the_handbook(nps: str, number: int, hub: float, neck: float, length: float) -> None:
    found = flanges.welding_neck(nps, number)
    assert [x / INCH for x in (found.hub, found.neck, found.length)] == pytest.approx([hub, neck, length])


def test_every_hub_narrows_to_its_neck_and_leaves_the_nuts_their_room() -> None:
    """The neck is the pipe (ASME B36.10, from memory: 8.625 in for NPS 8), the hub lies inside the bolt circle."""
    for row in (*load("flange_hubs_mm").rows, *load("flange_hubs_inch").rows):
        found = flanges.welding_neck(row["nps"], int(row["class"]))
        bolting = flanges.flange(row["nps"], int(row["class"]))
        assert found.neck < found.hub < bolting.bolt_circle - float(bolting.thread.diameter)
        assert found.length > found.thickness
    assert flanges.welding_neck("8", 150).neck / INCH == pytest.approx(8.625, abs=0.01)
