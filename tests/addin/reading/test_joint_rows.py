"""Cells under known headings: values as people type them, what is refused, and the studs of standard flanges."""

import datetime
import math
from typing import Any

import pytest

from addin.cells.words import line
from addin.reading.in_cells import read_columns
from addin.reading.joint_rows import JointRows, read_constant, read_rows, speaks
from calc.findings import CAUTION, InputError
from calc.hardware.threads import parse
from calc.units import system

FTLB = 0.45359237 * 9.80665 * 0.3048  # NIST SP 811, by definition
INCH = 0.0254


def read(heading: str, *cells: Any, **more: Any) -> JointRows:
    rows = [[f"J-{i}", cell] for i, cell in enumerate(cells)]
    return read_rows(read_columns(["Joint", heading], rows), rows, **more)


def fault(heading: str, cell: Any) -> str | None:
    faults = read(heading, cell).joints.faults
    return faults[0].code if faults else None


@pytest.mark.parametrize("text", ["1 1/4", '1-1/4"', "1.1/4", "1¼", "1.25", "1 1/4-8 UN", " 1\u00a01/4 ", 1.25, '1¼"'])
def test_an_inch_size_as_people_type_it(text: Any) -> None:
    rows = read("Stud size", text)
    assert not rows.joints.faults
    assert parse(rows.joints.thread[0]).designation == "1 1/4-8 UN"


@pytest.mark.parametrize(
    ("heading", "cell", "diameter", "pitch"),
    [("Stud dia (mm)", 24, 0.024, 0.003), ("Stud dia (mm)", 24.0, 0.024, 0.003), ("Stud dia (mm)", "24", 0.024, 0.003),
     ("Stud dia (mm)", "36x3", 0.036, 0.003), ("Stud dia (mm)", "M36 x 4", 0.036, 0.004),
     ("Stud dia (mm)", '1 1/4"', 1.25 * INCH, INCH / 8), ("Stud dia (in)", 1.25, 1.25 * INCH, INCH / 8),
     ("Stud dia (in)", "M24", 0.024, 0.003), ("Stud dia (in)", "7/8", 0.875 * INCH, INCH / 9)],
)  # fmt: skip
def test_a_thread_under_a_heading_with_a_unit(heading: str, cell: Any, diameter: float, pitch: float) -> None:
    rows = read(heading, cell)
    assert not rows.joints.faults
    thread = parse(rows.joints.thread[0])
    assert (thread.diameter, thread.pitch) == pytest.approx((diameter, pitch), rel=1e-12)


@pytest.mark.parametrize(
    ("heading", "cell", "code"),
    [("Stud dia (mm)", 36, "thread_pitch_needed"), ("Stud dia (mm)", 1.25, "thread_outside"),
     ("Stud dia (mm)", "1 1/4", "thread_unit"), ("Stud dia (cm)", 2.4, "thread_unit"),
     ("Stud dia (in)", 24, "thread_unknown"), ("Stud size", 24, "thread_unknown"),
     ("Stud size", "11/4", "thread_ambiguous"),
     ("Stud size", datetime.datetime(2026, 1, 4), "thread_is_date"), ("Stud dia (mm)", True, "is_truth_value"),
     ("Stud dia (mm)", "#REF!", "error_cell")],
)  # fmt: skip
def test_a_thread_that_can_mean_two_things_or_none(heading: str, cell: Any, code: str) -> None:
    assert fault(heading, cell) == code


def test_a_thread_under_a_unit_of_something_else_is_said() -> None:
    (found,) = read("Stud dia (cm)", 2.4).joints.faults
    assert line(found, system("US")) == "thread '2.4' does not belong under a heading in cm"


@pytest.mark.parametrize(
    ("cell", "torque"),
    [(940, 940 * FTLB), ("940", 940 * FTLB), ("940 ft-lb", 940 * FTLB), ("940\u00a0ft.lbs", 940 * FTLB),
     ("1,275.0 Nm", 1275.0),
     ("1 275 N·m", 1275.0), ("1'275 Nm", 1275.0), ("1.275,5 Nm", 1275.5), (" 940 ", 940 * FTLB),
     ("12,5 kgf.m", 12.5 * 9.80665)],
)  # fmt: skip
def test_a_torque_as_people_type_it(cell: Any, torque: float) -> None:
    rows = read("Torque (ft-lb)", cell)
    assert not rows.joints.faults
    assert rows.joints.torque[0] == pytest.approx(torque, rel=1e-12)


@pytest.mark.parametrize(
    ("cell", "code"),
    [("9,275", "number_ambiguous"), ("940 lb", "unit_unknown"), ("940 psi", "unit_wrong_kind"),
     ("about 900", "not_a_number"),
     ("900-950", "unit_unknown"), (datetime.datetime(2026, 9, 4), "is_date"), ("#DIV/0!", "error_cell"),
     (True, "is_truth_value"),
     (0, "not_positive"), (-5, "not_positive"), (1e9, "out_of_range")],
)  # fmt: skip
def test_a_torque_that_is_refused(cell: Any, code: str) -> None:
    assert fault("Torque (ft-lb)", cell) == code


@pytest.mark.parametrize("cell", ["-", "–", "n/a", "N/A", "TBC", " tbd ", "", None, "\u00a0", "nil", "?"])
def test_what_stands_for_nothing_is_nothing(cell: Any) -> None:
    rows = read("Torque (ft-lb)", cell)
    assert not rows.joints.faults
    assert math.isnan(rows.joints.torque[0])


def test_a_formula_without_a_stored_value_is_no_blank() -> None:
    rows = read("Torque (ft-lb)", None, stale={(0, 1)})
    assert [(f.code, f.quantity) for f in rows.joints.faults] == [("stale_formula", "torque")]


def test_an_unclear_unit_is_never_that_of_the_call() -> None:
    rows = read("Torque (lb)", 940, units="US")
    assert [f.code for f in rows.joints.faults] == ["heading_unit_unknown"]
    assert read("Torque", 940, units="US").joints.torque[0] == pytest.approx(940 * FTLB)


def test_constants_hold_for_every_row() -> None:
    rows = read("Studs", 8, 12, constants={"method": "Hydraulic", "lubricant": "L-1", "stress": "50 MPa"})
    assert rows.joints.method == ("hydraulic", "hydraulic")
    assert rows.joints.lubricant == ("L-1", "L-1")
    assert rows.joints.stress.tolist() == [50e6, 50e6]


@pytest.mark.parametrize(
    ("name", "cell", "code"),
    [("method", "hydralic", "word_unknown"), ("stress", 50000, "unit_missing"), ("torque", "940 lb", "unit_unknown")],
)
def test_a_constant_that_cannot_be_read(name: str, cell: Any, code: str) -> None:
    with pytest.raises(InputError) as raised:
        read_constant(name, cell)
    assert raised.value.finding.code == code


def test_what_speaks_of_a_joint() -> None:
    columns = read_columns(["Joint", "Operation", "Stud size", "Studs"])
    assert speaks(columns, ["J-1", "final make-up", None, None])
    assert speaks(columns, ["J-1", "?", "M24", None])
    assert not speaks(columns, ["Prepared", "planning", "see note", "checked"])
    assert not speaks(columns, ["Rev", datetime.datetime(2026, 1, 1), None, 0.5])


# --- studs of the standard flange: ASME B16.5 counts and sizes, from memory -------------------------------------------


def flanges(head: list[str], *rows: list[Any]) -> JointRows:
    return read_rows(read_columns(head, rows), rows, standard_flanges="ASME B16.5")


@pytest.mark.parametrize(
    ("head", "size", "rating", "studs", "thread"),
    [(["Joint", "NPS", "Class"], 8, 600, 12, "1 1/8"), (["Joint", "NPS", "Class"], "8", "600#", 12, "1 1/8"),
     (["Joint", "DN", "Class"], 200, 600, 12, "1 1/8"), (["Joint", "Flange size (in)", "Class"], 6, 150, 8, "3/4"),
     (["Joint", "Flange size", "Flange rating"], '6"', "Class 150", 8, "3/4"),
     (["Joint", "Flange size", "Flange rating"], "DN 150", "CL150", 8, "3/4")],
)  # fmt: skip
def test_studs_of_the_standard_flange(head: list[str], size: Any, rating: Any, studs: int, thread: str) -> None:
    rows = flanges(head, ["J-1", size, rating])
    assert rows.joints.studs[0] == studs
    assert rows.joints.thread[0].startswith(thread)
    assert [(f.code, f.level) for f in rows.joints.faults] == [("studs_of_standard_flange", CAUTION)]
    assert 0 in rows.flanges


def test_studs_of_the_standard_flange_are_said_with_the_flange() -> None:
    (fault,) = flanges(["Joint", "NPS", "Class"], ["J-1", 8, 600]).joints.faults
    assert line(fault, system("US")) == (
        "studs from the standard, not from the list: count and measure first: 12 x 1 1/8-8 UN of the flange NPS 8 "
        "class 600, ASME B16.5 via a pump-industry handbook table and an independent CAD part-library copy"
    )


@pytest.mark.parametrize(
    ("head", "size", "rating", "said"),
    [(["Joint", "Flange size", "Class"], 20, 150, "size '20' may be NPS or DN; write it like NPS 8 or DN 200"),
     (["Joint", "NPS", "PN"], 8, 40,
      "rating '40' is none of ASME B16.5, which the sheet of answers names; give thread and count"),
     (["Joint", "NPS", "Flange rating"], 8, 400, "rating '400' may be a class or a PN; write it like Class 300"),
     (["Joint", "NPS", "Class"], 7, 150, "pipe size '7' is not in the table; it has 1/2, 3/4, 1, "),
     (["Joint", "NPS", "Flange class"], 8, 155,
      "pressure class '155' is not in the table; it has 150, 300, 400, 600, 900, 1500 and 2500"),
     (["Joint", "NPS", "Class"], 14, 2500, "NPS 14 has no row in class 2500; that class has 1/2, 3/4, 1, ")],
)  # fmt: skip
def test_a_flange_that_is_not_sure_stops_its_row(head: list[str], size: Any, rating: Any, said: str) -> None:
    rows = flanges(head, ["J-1", size, rating])
    (told,) = (line(f, system("US")) for f in rows.joints.faults)
    assert told.startswith(said) if said.endswith(", ") else told == said
    assert not rows.flanges


def test_a_row_that_states_its_studs_is_left_alone() -> None:
    rows = flanges(["Joint", "NPS", "Class", "Stud size", "Studs"], ["J-1", 8, 600, "1", 12], ["J-2", 8, 600, None, 12])
    assert not rows.flanges
    assert rows.joints.thread == ("1", "")
