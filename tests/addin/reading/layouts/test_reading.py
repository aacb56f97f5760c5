"""Invented layouts, each read as a person would read it. One wrong reading fails; questions only where deserved."""

import datetime
import math
import sys
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

sys.path.insert(0, str(Path(__file__).parent))
import layouts_more  # noqa: F401, E402  # registers its layouts
import layouts_si  # noqa: F401, E402
import layouts_us  # noqa: F401, E402
from layout_kit import LAYOUTS, Layout  # noqa: E402

from addin.reading.answer_page import write_answers
from addin.reading.answer_sheet import read_answers  # noqa: E402
from addin.reading.column import letter  # noqa: E402
from addin.reading.joint_list import JointList, read_joint_list  # noqa: E402
from calc.findings import STOP  # noqa: E402
from calc.hardware.threads import parse  # noqa: E402
from calc.plan.joints import NUMBER_COLUMNS  # noqa: E402

ALL = pytest.mark.parametrize("layout", LAYOUTS.values(), ids=list(LAYOUTS))


def built(layout: Layout, folder: Path) -> Path:
    book = Workbook()
    layout.build(book)
    book.save(folder / "list.xlsx")
    return folder / "list.xlsx"


def first_reading(layout: Layout, path: Path) -> tuple[JointList, set[tuple[str, str]]]:
    """The reading before anybody has answered anything, and what it asks."""
    read = read_joint_list(path)
    return read, {(question.kind, question.column) for question in read.questions if question.blocks}


def free(sheet: Any, row: int) -> bool:
    """Whether a line of the sheet waits for another fact of the whole list."""
    return sheet.cell(row, 1).value is None and "what else" in str(sheet.cell(row, 6).value)


def answered(layout: Layout, path: Path, read: JointList) -> JointList:
    """The reading with the sheet of answers: written by the program, filled in as a person would, read again."""
    target = path.with_name("answers.xlsx")
    write_answers(target, read.understood, path.name)
    book = load_workbook(target)
    sheet = book["Answers"]
    sheet["B3"], sheet["D3"] = "R. Planner", datetime.date(2026, 1, 4)
    lines = {str(sheet.cell(row, 1).value): row for row in range(sheet.max_row, 4, -1)}
    for key, answer in layout.answers.items():
        if key == "whole list":
            for name, typed in answer.items():
                row = lines.get(name) or next(row for row in range(5, 99) if free(sheet, row))
                sheet.cell(row, 1).value, sheet.cell(row, 4).value = name, typed
        elif key == "standard flange studs":
            sheet.cell(lines["studs of the standard flange"], 4).value = "ASME B16.5" if answer else "no"
        else:
            field, unit = (answer, None) if isinstance(answer, str) else answer
            sheet.cell(lines[key], 4).value = "not used" if field == "none" else field
            if unit or field == "none":
                sheet.cell(lines[key], 5).value = unit
    book.save(target)
    return read_joint_list(path, answers=read_answers(target))


def fields(read: JointList) -> dict[str, tuple[str, str | None]]:
    return {letter(column.at): (column.field, column.unit) for column in read.columns if column.field}


def value(read: JointList, name: str, i: int) -> Any:
    """What was read for a field of a row, as the layouts write it; None for nothing."""
    joints = read.rows.joints
    if name in NUMBER_COLUMNS:
        number = float(getattr(joints, name)[i])
        if math.isnan(number):
            return None
        return datetime.date.fromordinal(int(number)).isoformat() if name == "date" else number
    text = read.rows.texts[name][i] if name in read.rows.texts else ""
    if not text:
        return None
    return (float(parse(text).diameter), float(parse(text).pitch)) if name == "thread" else text


def stops(read: JointList) -> dict[tuple[int, str], str]:
    return {(read.numbers[f.row], f.quantity): f.code for f in read.rows.joints.faults if f.level == STOP}


def test_there_are_enough_layouts() -> None:
    assert len(LAYOUTS) >= 30
    assert sum(not layout.deserves for layout in LAYOUTS.values()) >= 24


BESIDE = ("sheets_beside", "fields_missing", "taken_for_studs")
"""Kinds of notes that name no part of the list."""


@ALL
def test_nothing_is_asked_that_the_layout_does_not_deserve(layout: Layout, tmp_path: Path) -> None:
    _, asked = first_reading(layout, built(layout, tmp_path))
    if layout.answers.get("whole list"):
        return  # what has no column is not asked about one by one
    assert asked <= layout.deserves


@ALL
def test_nothing_is_taken_before_it_is_answered(layout: Layout, tmp_path: Path) -> None:
    read, _ = first_reading(layout, built(layout, tmp_path))
    for name, field in fields(read).items():
        assert layout.fields[name][0] == field[0]


@ALL
def test_the_reading_is_right(layout: Layout, tmp_path: Path) -> None:
    path = built(layout, tmp_path)
    read, _ = first_reading(layout, path)
    if layout.answers:
        read = answered(layout, path, read)
        assert not [question for question in read.questions if question.blocks]
    assert (read.sheet, read.heading_row) == (layout.sheet, layout.heading_row)
    assert fields(read) == layout.fields
    assert list(read.numbers) == [row["row"] for row in layout.rows]
    expected_stops = {}
    names = [*NUMBER_COLUMNS, *read.rows.texts]
    for i, row in enumerate(layout.rows):
        for name in dict.fromkeys([*names, *(key for key in row if key != "row")]):
            right = row.get(name)
            if isinstance(right, dict):
                expected_stops[row["row"], name] = right["stop"]
                right = None
            found = value(read, name, i)
            if isinstance(right, (float, int, tuple)):
                assert found == pytest.approx(right, rel=1e-12), (row["row"], name)
            else:
                assert found == right, (row["row"], name)
    assert stops(read) == expected_stops


@ALL
def test_what_is_left_out_or_hidden_is_said(layout: Layout, tmp_path: Path) -> None:
    path = built(layout, tmp_path)
    read, _ = first_reading(layout, path)
    said = {each.kind: list(each.places) for each in read.said if each.kind not in BESIDE}
    assert said == layout.said
    assert all(each.text for each in read.said)
