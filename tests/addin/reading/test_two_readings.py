"""A comma in torques, and the order of day and month, mean one thing in a column: asked once, for no cell alone."""

from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from addin.cells.words import line as sentence
from addin.reading.joint_list import JointList, read_joint_list
from addin.reading.understood import Answers, ColumnAnswer
from calc.units import system

LBF_FT = 1.3558179483314004  # NIST SP 811, formula
WHOLE = {"operation": "final make-up", "method": "hydraulic"}
SLIP = ["1,750", "640", "2,650", "7,250", "1,75"]
DOUBT = (
    ": in its column the same mark parts thousands in some cells and decimals in others; say on the sheet of answers "
    "which it is, and correct the cells that are wrong"
)


def read(folder: Path, torques: list[Any], *, dates: list[Any] | None = None, **more: Any) -> JointList:
    book = Workbook()
    book.worksheets[0].append(["Joint", "Stud", "No studs", "Torque ft-lb", *(["Job date"] if dates else [])])
    for i, torque in enumerate(torques):
        book.worksheets[0].append([f"X-{i}", "1-1/4", 24, torque, *(dates[i : i + 1] if dates else [])])
    book.save(folder / "list.xlsx")
    column = {"torque ft-lb": ColumnAnswer("torque", "lbf·ft"), "joint": ColumnAnswer("joint")}
    column |= {"stud": ColumnAnswer("thread"), "no studs": ColumnAnswer("studs"), "job date": ColumnAnswer("date")}
    given = Answers(columns=column, whole=WHOLE, meanings=more.pop("meanings", {}), by="A. Weir, 2026-03-01")
    return read_joint_list(folder / "list.xlsx", answers=given, **more)


def torques(found: JointList) -> list[float | None]:
    values = (found.rows.joints.torque / LBF_FT).round(6).tolist()
    return [None if value != value else value for value in values]


def stops(found: JointList) -> list[str]:
    return [f"{found.place(each)} {sentence(each, system('US'))}" for each in found.rows.joints.faults]


def test_one_slip_turns_no_column_but_is_asked_once_with_a_row_worked_out(tmp_path: Path) -> None:
    found = read(tmp_path, SLIP)
    (asked,) = found.understood.meanings
    assert (asked.field, asked.text, asked.meaning, asked.candidates) == (
        "torque", "the comma in numbers", "thousands", ("thousands", "decimals")
    )  # fmt: skip
    assert asked.why == (
        "'7,250' (X-3) is 7250 lbf·ft if it parts thousands, 7.25 if it parts decimals; "
        "'1,75' stands in the same column; one answer for all"
    )
    assert [each for each in stops(found) if "same mark" in each] == [
        f"Sheet!D{row} torque '{text}'" + DOUBT for row, text in ((2, "1,750"), (4, "2,650"), (5, "7,250"), (6, "1,75"))
    ]


def test_answered_as_thousands_the_slip_alone_stops(tmp_path: Path) -> None:
    found = read(tmp_path, SLIP, meanings={("torque", "the comma in numbers"): "thousands"})
    assert torques(found)[:4] == [1750, 640, 2650, 7250]
    assert found.understood.meanings == ()
    assert (
        "Sheet!D6 torque '1,75': in its column the same mark parts thousands in some cells and decimals in others; "
        "say on the sheet of answers which it is, and correct the cells that are wrong"
    ) in stops(found)
    assert {each.split()[0] for each in stops(found)} == {"Sheet!D6"}


def test_answered_as_decimals_all_are_read_so(tmp_path: Path) -> None:
    found = read(tmp_path, ["7,250", "12,5", "8,125"], meanings={("torque", "the comma in numbers"): "decimals"})
    assert torques(found) == [7.25, 12.5, 8.125]
    assert stops(found) == []


def test_a_whole_column_of_three_digits_is_asked_once(tmp_path: Path) -> None:
    found = read(tmp_path, ["7,250", "8,100", "9,500"])
    assert [(each.text, each.count, each.state) for each in found.understood.meanings] == [
        ("the comma in numbers", 3, "asked")
    ]
    assert torques(found) == [None, None, None]
    told = read(tmp_path, ["7,250", "8,100", "9,500"], meanings={("torque", "the comma in numbers"): "thousands"})
    assert torques(told) == [7250, 8100, 9500]


def test_what_can_be_one_torque_only_and_what_others_settle_is_not_asked(tmp_path: Path) -> None:
    assert torques(read(tmp_path, ["1,750", "640"])) == [1750, 640]
    found = read(tmp_path, ["9.500", "2.300,5"])
    assert (torques(found), found.understood.meanings) == ([9500, 2300.5], ())


DATES = ["03/04/2026", "04/04/2026", "05/04/2026", "06/04/2026", "07/04/2026"]


def days(found: JointList) -> list[str]:
    import datetime

    values = found.rows.joints.date.tolist()
    return ["" if value != value else str(datetime.date.fromordinal(int(value))) for value in values]


def test_the_order_of_day_and_month_is_one_question_of_the_list(tmp_path: Path) -> None:
    found = read(tmp_path, [640] * 5, dates=DATES)
    (asked,) = found.understood.meanings
    assert (asked.field, asked.text, asked.count, asked.meaning, asked.state) == (
        "date", "day and month in dates", 4, "day first", "proposed"
    )  # fmt: skip
    assert asked.why == "'03/04/2026' is 3 Apr 2026 with day first, 4 Mar 2026 with month first; one answer for all"
    assert days(found) == ["", "2026-04-04", "", "", ""]


@pytest.mark.parametrize(
    ("answer", "first"), [("day first", "2026-04-03"), ("month first", "2026-03-04")]
)  # fmt: skip
def test_one_answer_settles_all_dates(tmp_path: Path, answer: str, first: str) -> None:
    found = read(tmp_path, [640] * 5, dates=DATES, meanings={("date", "day and month in dates"): answer})
    assert days(found)[0] == first
    assert (found.understood.meanings, stops(found)) == ((), [])


def test_a_date_that_shows_the_order_leaves_nothing_to_ask(tmp_path: Path) -> None:
    found = read(tmp_path, [640] * 2, dates=["03/04/2026", "19/04/2026"])
    assert (days(found), found.understood.meanings) == (["2026-04-03", "2026-04-19"], ())
