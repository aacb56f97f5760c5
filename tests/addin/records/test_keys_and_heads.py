"""Scanned keys, what stands at the head of a record sheet, several wrenches in a row, dates and units as crews type."""

import datetime
import math
from pathlib import Path
from typing import Any

import msgspec
import openpyxl
import pytest
from plain_plan import plan_of_version_1

from addin.plan.file import Plan
from addin.plan.older import from_version_1
from addin.records.known_cards import Known, KnownList, key_of, known_list
from addin.records.record_fields import HEADINGS, PREFIX
from addin.records.record_files import read_file, record_files, their_columns
from addin.records.record_rows import NO_COLUMNS, Records, TheirColumns
from addin.workbooks.package import WorkbookError

MAKE = "final make-up"
DAY = datetime.date(2026, 10, 8)
HEAD = ["Joint", "Operation", *HEADINGS.values()]


def known(*rows: tuple[str, str, str], plan: str = "AAAA-0001", name: str = "list-plan.json") -> KnownList:
    """A list of joints, operations and cards."""
    head, _ = from_version_1(plan_of_version_1())
    cards: dict[str, set[tuple[str, str]]] = {}
    for joint, operation, card in rows:
        cards.setdefault(card, set()).add(key_of(joint, operation))
    names = {key_of(joint, operation): (joint, operation) for joint, operation, _ in rows}
    return KnownList(name, head, names, {card: frozenset(keys) for card, keys in cards.items()}, frozenset((plan,)))


KNOWN = Known(known(("E-1", MAKE, "7F3A-91C2"), ("E-1", "break", "1111-2222"), ("E|2", MAKE, "3333-4444")))


def sheet(path: Path, rows: list[dict[str, Any]], above: list[list[Any]] | None = None, head: list[str] | None = None
          ) -> Path:  # fmt: skip
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    page.title = "Crew A"
    for line in above or []:
        page.append(line)
    names = head or HEAD
    page.append(names)
    for row in rows:
        values = {HEADINGS.get(key, key): value for key, value in row.items()}
        page.append([values.get(name) for name in names])
    book.save(path)
    return path


def read(path: Path, columns: TheirColumns = NO_COLUMNS) -> Records:
    found = Records()
    read_file(path, found, None, KNOWN, columns)
    return found


def refused(found: Records) -> list[str]:
    return [item.text for item in found.refused]


# --- the head of a sheet ----------------------------------------------------------------------------------------------


def test_name_and_day_at_the_head_count_for_rows_that_say_something_and_a_rows_own_win(tmp_path: Path) -> None:
    above = [["Record of plan", "AAAA-0001, list.xlsx"], ["Done by", "A. Crew"], ["Date", DAY]]
    rows = [
        {"Joint": "E-1", "Operation": MAKE, "card": "7F3A-91C2", "done": "as planned"},
        {"Joint": "E-1", "Operation": "break", "card": "1111-2222", "done": "as planned", "by": "B. Crew",
         "date": DAY + datetime.timedelta(days=1)},
        {"Joint": "E|2", "Operation": MAKE, "card": "3333-4444"},
    ]  # fmt: skip
    found = read(sheet(tmp_path / "r.xlsx", rows, above))

    assert refused(found) == []
    first, second = found.entries  # a card's number alone is no report
    assert (first.by, first.values.day) == ("A. Crew", DAY.toordinal())
    assert (second.by, second.values.day) == ("B. Crew", DAY.toordinal() + 1)


def test_the_words_as_planned_at_the_head_say_nothing_of_rows(tmp_path: Path) -> None:
    above = [["Record of plan", "AAAA-0001"], [PREFIX, "as planned"], ["Done by", "A. Crew"], ["Date", DAY]]
    rows = [{"Joint": "E-1", "Operation": MAKE, "card": "7F3A-91C2"}]
    assert read(sheet(tmp_path / "r.xlsx", rows, above)).entries == []


def test_a_sheet_of_another_plan_is_one_line_and_the_next_one_goes_on(tmp_path: Path) -> None:
    row = {"Joint": "E-1", "Operation": MAKE, "card": "7F3A-91C2", "done": "as planned"}
    found = read(sheet(tmp_path / "r.xlsx", [row, row], [["Record of plan", "BBBB-0001, other.xlsx"]]))

    assert found.entries == []
    assert refused(found) == [
        "r.xlsx, sheet Crew A, cell B1: this sheet was printed for plan BBBB-0001, not for list-plan.json or a plan"
        " before it: none of its rows is read"
    ]


def test_a_date_at_the_head_that_is_none_is_said_and_its_rows_stay_without_a_day(tmp_path: Path) -> None:
    row = {"Joint": "E-1", "Operation": MAKE, "card": "7F3A-91C2", "done": "as planned"}
    found = read(sheet(tmp_path / "r.xlsx", [row], [["Date", "yesterday"]]))

    assert refused(found) == ["r.xlsx, sheet Crew A, cell B1: date of work must be a date, got 'yesterday'"]
    (entry,) = found.entries
    assert entry.values.day != entry.values.day


# --- keys -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("place", ["scan", "done", "card", "Joint"])
def test_a_key_says_as_planned_wherever_it_is_scanned(place: str, tmp_path: Path) -> None:
    (entry,) = read(sheet(tmp_path / "r.xlsx", [{place: f"E|2|{MAKE}|3333-4444"}])).entries

    assert (entry.joint, entry.operation, entry.card) == ("E|2", MAKE, "3333-4444")
    assert (entry.whole, entry.as_planned) == (True, True)


def test_a_sheet_of_nothing_but_keys(tmp_path: Path) -> None:
    rows = [{"scan": f"E-1|{MAKE}|7F3A-91C2"}, {"scan": "E-1|break|1111 2222"}]
    found = read(sheet(tmp_path / "r.xlsx", rows, [["Done by", "A"], ["Date", DAY]], [HEADINGS["scan"]]))

    assert (refused(found), found.notes) == ([], [])
    assert [(e.joint, e.operation, e.by) for e in found.entries] == [("E-1", MAKE, "A"), ("E-1", "break", "A")]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ({"scan": "E-1|Endanzug|7F3A-91C2"}, "cell C2: 'E-1|Endanzug|7F3A-91C2' is not the key of a card:"
         " tag|operation|card, the operation in English"),
        ({"scan": "7F3A-91C2"}, "cell C2: '7F3A-91C2' is not the key of a card: tag|operation|card, the operation in"
         " English"),
        ({"Joint": "E-1", "Operation": MAKE, "scan": f"E|2|{MAKE}|3333-4444"},
         f"cell C2: the row is E-1 {MAKE}, but the key in it is that of E|2 {MAKE}"),
    ],
)  # fmt: skip
def test_keys_that_cannot_be_read(row: dict[str, Any], said: str, tmp_path: Path) -> None:
    found = read(sheet(tmp_path / "r.xlsx", [row]))

    assert refused(found) == [f"r.xlsx, sheet Crew A, {said}"]
    assert found.entries == []


def test_a_text_file_of_keys_with_name_and_day(tmp_path: Path) -> None:
    path = tmp_path / "scans.txt"
    lines = ["# shift 1", "name: A. Crew", "date: 19.10.2026", f"E|2|{MAKE}|3333-4444", "nonsense", "",
             "date: 16-Mar-27", "E-1|break|1111-2222"]  # fmt: skip
    path.write_text("\n".join(lines), encoding="utf-8")

    found = read(path)

    first, second = found.entries
    assert (first.joint, first.by, first.values.day) == ("E|2", "A. Crew", datetime.date(2026, 10, 19).toordinal())
    assert second.values.day == datetime.date(2027, 3, 16).toordinal()
    assert refused(found) == [
        "scans.txt, line 5: 'nonsense' is not the key of a card: tag|operation|card, the operation in English"
    ]
    empty = tmp_path / "empty.txt"
    empty.write_text("name: A. Crew\n", encoding="utf-8")
    with pytest.raises(WorkbookError, match="holds no scanned key like TAG"):
        read(empty)


def test_a_day_holds_for_the_keys_below_it_until_another_line_says_a_day(tmp_path: Path) -> None:
    """A line that is nothing changes no day; a day that cannot be read leaves the keys below it without one."""
    path = tmp_path / "scans.txt"
    lines = ["date: 16-Mar-27", "nonsense", "E-1|break|1111-2222", "date: someday", f"E|2|{MAKE}|3333-4444"]
    path.write_text("\n".join(lines), encoding="utf-8")

    found = read(path)

    first, second = found.entries
    assert first.values.day == datetime.date(2027, 3, 16).toordinal()
    assert math.isnan(second.values.day)
    assert [said.split(":")[0] for said in refused(found)] == ["scans.txt, line 2", "scans.txt, line 4"]


def test_a_folder_stands_for_every_record_in_it(tmp_path: Path) -> None:
    for name in ("b.xlsx", "a.txt", "~$b.xlsx", "notes.pdf", ".hidden.xlsx"):
        (tmp_path / name).write_text("x")
    assert [path.name for path in record_files([tmp_path])] == ["a.txt", "b.xlsx"]
    (tmp_path / "none").mkdir()
    with pytest.raises(WorkbookError, match="holds no record, neither a workbook nor a text file of scanned keys"):
        record_files([tmp_path / "none"])


# --- rows as crews type them ------------------------------------------------------------------------------------------


def test_a_row_with_a_valid_card_needs_no_operation(tmp_path: Path) -> None:
    row = {"Joint": "e-1", "card": "1111 2222", "done": "as planned"}
    (entry,) = read(sheet(tmp_path / "r.xlsx", [row])).entries
    assert entry.operation == "break"

    found = read(sheet(tmp_path / "s.xlsx", [row | {"card": "9999-9999"}]))
    assert refused(found) == ["s.xlsx, sheet Crew A, cell B2: operation is missing (empty cell)"]


def test_several_wrenches_with_a_pressure_each_in_one_row(tmp_path: Path) -> None:
    row = {"Joint": "E-1", "Operation": MAKE, "card": "7F3A-91C2", "done": "differs", "passes": "3",
           "wrench": "HW-2, HW-3", "gauge": "G-1, G-2", "link": "2-3/16 in link, long"}  # fmt: skip
    for typed, unit in (("3150, 3200", "psi"), ("3150 psi; 3200 psi", None), ("3150,3200 psi", None)):
        (entry,) = read(sheet(tmp_path / "r.xlsx", [row | {"pressure": typed, "pressure_unit": unit}])).entries
        assert entry.values.pressures == pytest.approx((3150 * 6894.757293168361, 3200 * 6894.757293168361))
        assert entry.values.gauges == ("G-1", "G-2")
    assert entry.values.links == ("2-3/16 in link", "long")
    (three,) = read(
        sheet(tmp_path / "t.xlsx", [row | {"wrench": "A, B, C", "gauge": "G-1", "pressure": "3,150 psi"}])
    ).entries or [None]
    assert three is None or three.values.links == ("2-3/16 in link, long",)

    found = read(sheet(tmp_path / "s.xlsx", [row | {"pressure": "3150, 3200, 3300", "pressure_unit": "psi"}]))
    assert refused(found) == [
        "s.xlsx, sheet Crew A, cell O2: 3 pressures where there is one for each wrench, or one for all; the wrenches"
        " are HW-2 and HW-3"
    ]


def test_the_crews_own_unit_is_kept(tmp_path: Path) -> None:
    row = {"Joint": "E-1", "Operation": MAKE, "card": "7F3A-91C2", "done": "differs", "passes": 3, "wrench": "HW-2",
           "pressure": "217 bar", "torque": 940, "torque_unit": "ft-lb"}  # fmt: skip
    (entry,) = read(sheet(tmp_path / "r.xlsx", [row])).entries

    assert dict(entry.values.units) == {"pressure": "bar", "torque": "lbf·ft"}
    assert entry.values.pressure == pytest.approx(217e5)


@pytest.mark.parametrize(
    ("typed", "day"), [("19.10.2026", "2026-10-19"), ("16-Mar-27", "2027-03-16"), ("8 Oct 2026", "2026-10-08")]
)
def test_dates_that_can_be_read_in_one_way_only(typed: str, day: str, tmp_path: Path) -> None:
    row = {"Joint": "E-1", "Operation": MAKE, "card": "7F3A-91C2", "done": "as planned", "date": typed}
    (entry,) = read(sheet(tmp_path / "r.xlsx", [row])).entries
    assert entry.values.day == datetime.date.fromisoformat(day).toordinal()


def test_the_order_that_other_dates_show_counts_for_those_that_show_none(tmp_path: Path) -> None:
    row = {"Joint": "E-1", "Operation": MAKE, "card": "7F3A-91C2", "done": "as planned"}
    rows = [row | {"date": "08/10/2026"}, row | {"date": "19/10/2026"}]
    found = read(sheet(tmp_path / "r.xlsx", rows))
    assert [entry.values.day for entry in found.entries] == [
        datetime.date(2026, 10, 8).toordinal(), datetime.date(2026, 10, 19).toordinal(),
    ]  # fmt: skip
    assert found.notes == [
        "r.xlsx, sheet Crew A: its dates show the order day, month, year; those that could be read in two ways are read"
        " so"
    ]
    alone = read(sheet(tmp_path / "s.xlsx", rows[:1]))
    assert "date of work '08/10/2026' may be read in two ways" in refused(alone)[0]
    torn = read(sheet(tmp_path / "t.xlsx", [*rows, row | {"date": "10/19/2026"}]))
    assert "may be read in two ways" in refused(torn)[0]


def test_columns_of_the_planners_own_for_day_and_state(tmp_path: Path) -> None:
    columns = their_columns({"Date done": "date", "Status": "done: Complete", "Crew": "by"})
    head = ["Joint", "Operation", "Date done", "Status", "Crew", f"{PREFIX} card"]
    rows = [
        {"Joint": "E-1", "Operation": MAKE, "Date done": DAY, "Status": "complete", "Crew": "A", "card": "7F3A-91C2"},
        {"Joint": "E-1", "Operation": "break", "Date done": DAY, "Status": "in progress", "Crew": "A"},
        {"Joint": "E|2", "Operation": MAKE, "Crew": "A"},
    ]
    found = read(sheet(tmp_path / "r.xlsx", rows, head=head), columns)

    (entry,) = found.entries
    assert (entry.joint, entry.as_planned, entry.by, entry.values.day) == ("E-1", True, "A", DAY.toordinal())
    assert refused(found) == []
    with pytest.raises(WorkbookError, match="column 'Status': a record has no field 'state'"):
        their_columns({"Status": "state"})


def test_a_joint_of_two_lists_is_named_and_goes_where_its_sheet_or_card_says() -> None:
    mine = known(("E-1", MAKE, "7F3A-91C2"))
    other = known(("E-1", MAKE, "5555-6666"), ("E-9", MAKE, "7777-8888"), plan="CCCC-0001", name="other-plan.json")
    both = Known(mine, (other,))
    key = key_of("E-1", MAKE)

    assert both.in_several() == [("E-1", MAKE, "other-plan.json")]
    assert both.lists_of(key, "5555-6666", "") == [other]
    assert both.lists_of(key, "7F3A-91C2", "") == [mine]
    assert both.lists_of(key, "", "CCCC-0001") == [other]
    assert both.lists_of(key, "", "") == [mine, other]  # asked, not guessed
    assert both.lists_of(key_of("E-9", MAKE), "", "") == [other]


def test_a_plan_knows_its_joints_and_cards() -> None:
    head, joints = from_version_1(plan_of_version_1())
    found = known_list(Plan(msgspec.structs.replace(head, checksum="7f3a91c2" + 56 * "0"), joints))

    assert set(found.rows.values()) == {(joint.joint, joint.operation) for joint in joints}
    assert "7F3A-91C2" in found.plans
