"""Reading of records: every row that cannot be read is refused with its cell, and the others go on."""

import datetime
import math
from pathlib import Path
from typing import Any

import msgspec
import openpyxl
import pytest
import small_plans

from addin.plan.record import ColumnEntry
from addin.reading.place import fields_named
from addin.records.record_cells import NOTHING
from addin.records.record_fields import HEADINGS, PREFIX
from addin.records.record_rows import RecordEntry, Records, read_records
from addin.workbooks.package import WorkbookError

HEAD = ["Joint", "Operation", *HEADINGS.values()]
DAY = datetime.date(2026, 10, 8)


def write(path: Path, rows: list[dict[str, Any]], head: list[str] | None = None, sheet: str = "Records") -> Path:
    """A workbook with headings in row 1; keys of a row are fields or whole headings."""
    names = head or HEAD
    book = openpyxl.Workbook()
    page = book.active
    page.title = sheet
    page.append(names)
    for row in rows:
        values = {HEADINGS.get(key, key): value for key, value in row.items()}
        page.append([values.get(name) for name in names])
    book.save(path)
    return path


def read(path: Path, listed: dict[str, Any] | None = None) -> Records:
    found = Records()
    read_records(path, found, listed)
    return found


def row(**more: Any) -> dict[str, Any]:
    return {"Joint": "E-1", "Operation": "final make-up", "card": "7F3A-91C2", "done": "as planned", "date": DAY} | more


def one(tmp_path: Path, **more: Any) -> RecordEntry:
    found = read(write(tmp_path / "r.xlsx", [row(**more)]))
    assert [item.text for item in found.refused] == []
    (entry,) = found.entries
    return entry


def refusal(tmp_path: Path, **more: Any) -> str:
    """The one line for a faulty row; the sound row below it is still read."""
    found = read(write(tmp_path / "r.xlsx", [row(**more), row(Joint="E-2")]))
    assert [entry.joint for entry in found.entries] == ["E-2"]
    (item,) = found.refused
    assert "\n" not in item.text
    assert item.text.startswith("r.xlsx, sheet Records, cell ")
    return item.text.removeprefix("r.xlsx, sheet Records, cell ")


def test_as_planned_is_the_whole_joint(tmp_path: Path) -> None:
    entry = one(tmp_path, by="crew A", remarks="dry")

    assert (entry.whole, entry.as_planned, entry.passes) == (True, True, ())
    assert entry.values.day == DAY.toordinal()
    assert entry.lubricant_same
    assert (entry.card, entry.by, entry.remarks) == ("7F3A-91C2", "crew A", "dry")


@pytest.mark.parametrize(
    ("typed", "passes"),
    [(3, (3,)), ("3", (3,)), ("1-2", (1, 2)), ("3 to 5", (3, 4, 5)), ("1, 2; 4", (1, 2, 4)), ("pass 2 and 3", (2, 3)),
     ("1–2", (1, 2))],
)  # fmt: skip
def test_passes_as_people_type_them(typed: Any, passes: tuple[int, ...], tmp_path: Path) -> None:
    assert one(tmp_path, passes=typed).passes == passes


def test_settings_have_their_units(tmp_path: Path) -> None:
    entry = one(tmp_path, done="differs", passes=3, wrench="HW-3, HW-4", pressure=2650, pressure_unit="psi",
                torque="865 N·m", time="14:30", lubricant="as planned")  # fmt: skip

    assert entry.values.wrenches == ("HW-3", "HW-4")
    assert entry.values.pressure == pytest.approx(2650 * 6894.757293168361)
    assert (entry.values.torque, entry.values.clock) == (865.0, 14.5)
    assert entry.lubricant_same
    assert not entry.as_planned
    assert one(tmp_path, passes=3, pressure="240 bar").values.pressure == pytest.approx(240e5)


def test_times(tmp_path: Path) -> None:
    assert one(tmp_path, passes=3, time=datetime.time(6, 15)).values.clock == 6.25
    assert one(tmp_path, passes=3, date=datetime.datetime(2026, 10, 8, 22, 30)).values.clock == 22.5
    assert one(tmp_path, passes=3, date="2026-10-08 07:00").values.clock == 7.0
    assert math.isnan(one(tmp_path, passes="3-5", time="14:30").values.clock)  # one time, three passes
    assert one(tmp_path, date=None).values == NOTHING


def test_rows_without_a_word_are_no_records(tmp_path: Path) -> None:
    path = write(
        tmp_path / "r.xlsx", [{"Joint": "E-1", "Operation": "break"}, row(), {}, row(Joint="E-9", done="open")]
    )

    found = read(path)
    assert [entry.joint for entry in found.entries] == ["E-1"]
    assert not found.refused


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"done": None}, "E2: the row says neither 'as planned' nor which passes were done"),
        ({"done": "differs"}, "E2: the row says that something differs but not in which passes"),
        ({"done": "ok"}, "E2: 'ok' is not known here; write as planned, differs or open"),
        ({"passes": datetime.datetime(2026, 1, 2)}, "F2: passes '2026-01-02': the spreadsheet made a date of it"),
        ({"passes": 1.2}, "F2: '1.2' must be passes of the plan"),
        ({"passes": "2-1"}, "F2: '2-1' must be passes"),
        ({"passes": "first"}, "F2: 'first' must be passes"),
        ({"date": "10/11/2026"}, "G2: date of work '10/11/2026' may be read in two ways"),
        ({"date": 46000}, "G2: date of work must be a date, got '46000'"),
        ({"date": "yesterday"}, "G2: date of work must be a date"),
        ({"time": "half two"}, "H2: time 'half two' must be a time"),
        ({"pressure": "about 250", "pressure_unit": "bar"}, "O2: pressure must be a number, got 'about 250'"),
        ({"pressure": 2650}, "O2: pressure '2650' has no unit"),
        ({"pressure": 2650, "pressure_unit": "ft-lb"}, "P2: pressure: unit 'ft-lb' is a unit of torque"),
        ({"pressure": 265000, "pressure_unit": "psi"}, "O2: pressure 265000 psi is above"),
        ({"pressure": -5, "pressure_unit": "psi"}, "O2: pressure must be above 0"),
        ({"pressure": 0, "pressure_unit": "psi"}, "O2: pressure must be above 0"),
        ({"torque": "tight", "torque_unit": "N·m"}, "Q2: torque must be a number"),
        ({"wrench": datetime.datetime(2026, 1, 2)}, "J2: wrench must be text, got the date"),
        ({"Joint": None}, "A2: joint is missing (empty cell)"),
        ({"Operation": None}, "B2: operation is missing (empty cell)"),
        ({"wrench": "#REF!"}, "J2: wrench holds the cell error #REF!"),
        ({"passes": 3, "date": datetime.datetime(2026, 10, 8, 7), "time": "08:00"}, "H2: date and time cells name two"),
    ],
)  # fmt: skip
def test_each_fault_is_one_line_with_its_cell(more: dict[str, Any], said: str, tmp_path: Path) -> None:
    assert refusal(tmp_path, **more).startswith(said)


def test_a_formula_without_a_stored_value_is_no_blank(tmp_path: Path) -> None:
    assert "E2: done: the formula in this cell has no stored value" in refusal(tmp_path, done="=A1")


def test_a_column_that_is_not_known_stops_the_rows_that_fill_it(tmp_path: Path) -> None:
    head = [*HEAD, f"{PREFIX} wrnch"]
    found = read(write(tmp_path / "r.xlsx", [row(**{f"{PREFIX} wrnch": "HW-9"}), row(Joint="E-2")], head))

    assert [entry.joint for entry in found.entries] == ["E-2"]
    assert f"column '{PREFIX} wrnch' is filled but not known here" in found.refused[0].text


def test_missing_columns(tmp_path: Path) -> None:
    with pytest.raises(WorkbookError, match="no sheet holds records: headings Joint, Operation and As-tightened"):
        read(write(tmp_path / "a.xlsx", [row()], ["Joint", "Operation", "Wrench"]))
    found = read(write(tmp_path / "b.xlsx", [row()], ["Joint", PREFIX, f"{PREFIX} date"]))
    assert "as-tightened columns without Operation: this sheet is not read" in found.refused[0].text
    found = read(write(tmp_path / "c.xlsx", [row()], ["Joint", "Operation", PREFIX, f"{PREFIX} date"]))
    assert found.notes == [
        "c.xlsx, sheet Records, cell A1: there is no column As-tightened card; every joint here will be reviewed for it"
    ]
    twice = read(write(tmp_path / "d.xlsx", [row()], [*HEAD, PREFIX]))
    assert f"heading '{PREFIX}' stands twice" in twice.refused[0].text


def test_no_heading_of_ours_is_taken_for_one_of_a_list() -> None:
    ours = [*HEADINGS.values(), f"{PREFIX} pass 3 wrench", f"{PREFIX} pass 3 pressure (psi)"]
    assert [heading for heading in ours if fields_named(heading) & {"joint", "operation"}] == []


def test_columns_beside_the_planners_own_list(tmp_path: Path) -> None:
    head = ["Flange No.", "Operation", "Stud size", "Wrench", "Lubricant", PREFIX, f"{PREFIX} card", f"{PREFIX} date",
            f"{PREFIX} pass 3 wrench", f"{PREFIX} pass 3 pressure (psi)", f"{PREFIX} pass 3 gauge"]  # fmt: skip
    rows = [
        {"Flange No.": "E-1", "Operation": "Final makeup", "Wrench": "HW-1", "done": "as planned", "date": DAY,
         f"{PREFIX} pass 3 wrench": "HW-3", f"{PREFIX} pass 3 pressure (psi)": 2570, f"{PREFIX} pass 3 gauge": "G-1"},
        {"Flange No.": "E-2", "Operation": "final make-up", "Wrench": "HW-1"},
    ]  # fmt: skip
    (entry,) = read(write(tmp_path / "r.xlsx", rows, head)).entries

    assert (entry.joint, entry.whole, set(entry.own)) == ("E-1", True, {3})
    assert entry.values.wrenches == ()  # the list's own column is what was planned
    assert (entry.own[3].wrenches, entry.own[3].gauges) == (("HW-3",), ("G-1",))


def test_the_plans_columns_name_the_joints_where_the_headings_stand_apart(tmp_path: Path) -> None:
    columns = tuple(
        ColumnEntry(column=letter, heading="", field=field) for letter, field in (("A", "joint"), ("B", "operation"))
    )
    listed = msgspec.structs.replace(small_plans.plan(small_plans.joint()).head, sheet="Plan 26", columns=columns)
    head = ["no name", "nor here", *HEADINGS.values()]
    rows = [{"no name": "E-1", "nor here": "break", "done": "as planned", "date": DAY}]
    path = write(tmp_path / "r.xlsx", rows, head, "Plan 26")

    assert [entry.joint for entry in read(path, listed).entries] == ["E-1"]
    assert read(path).refused


def test_columns_of_results_beside_a_list_are_no_records(tmp_path: Path) -> None:
    head = ["Joint", "Operation", *HEADINGS.values(), "As-tightened result", "As-tightened result next pass"]
    done = {"As-tightened result": "open", "As-tightened result next pass": "pass 3"}
    found = read(
        write(tmp_path / "r.xlsx", [row(**done), row(Joint="E-2", done=None, date=None, card=None, **done)], head)
    )

    assert [item.text for item in found.refused] == []
    assert [(entry.joint, entry.as_planned) for entry in found.entries] == [("E-1", True)]


def test_rows_sorted_apart_are_seen(tmp_path: Path) -> None:
    head = ["Joint", "Operation", "Joint | operation", *HEADINGS.values()]
    rows = [
        row(**{"Joint | operation": "E-2 | final make-up"}),
        row(Joint="E-2", **{"Joint | operation": "E-2 | final make-up"}),
    ]
    found = read(write(tmp_path / "r.xlsx", rows, head))

    assert [entry.joint for entry in found.entries] == ["E-2"]
    assert found.refused[0].text.endswith(
        "this row is E-1 | final make-up in the list's own columns, but E-2 | final make-up in ours: they are no "
        "longer in"
        " the same row order"
    )


def test_hidden_sheets_are_not_read(tmp_path: Path) -> None:
    path = write(tmp_path / "r.xlsx", [row()])
    book = openpyxl.load_workbook(path)
    book.create_sheet("Front")
    book["Records"].sheet_state = "hidden"
    book.active = 1
    book.save(path)

    found = read(path)
    assert (found.entries, found.notes) == ([], ["r.xlsx, sheet Records is hidden: not read"])


def test_files_that_are_no_workbooks(tmp_path: Path) -> None:
    (tmp_path / "r.xlsx").write_text("no zip")
    with pytest.raises(WorkbookError):
        read(tmp_path / "r.xlsx")
    with pytest.raises(WorkbookError):
        read(tmp_path / "nowhere.xlsx")
