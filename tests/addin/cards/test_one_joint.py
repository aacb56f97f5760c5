"""One joint that stands in no list: its form, its card, a draft until it is released."""

import datetime

import pytest
from openpyxl import load_workbook

from addin.cards.one_joint import as_list
from addin.plan.file import read_plan
from addin.shipped import folder
from addin.shipped import template as shipped
from addin.tasks import write_card
from addin.workbooks.package import WorkbookError

BOOK = next(folder("samples").glob("*-wrenches.xlsx"))
TYPED = {
    "Joint": "X-77 manway", "Operation": "final make-up", "Method": "hand", "Gasket": "sheet", "Stud size": "M20",
    "Studs": 8, "Grade": "A193 B7", "Nut series": "ISO 4032", "Torque": "200 N·m", "Nut factor": 0.16,
    "Job date": datetime.date(2026, 10, 12),
}  # fmt: skip
RELEASE = {"Released by": "A. Example", "Released on": datetime.date(2026, 10, 11)}


def form(tmp_path, **changes):
    book = load_workbook(shipped("one joint"))
    values = TYPED | changes
    for row in book.active.iter_rows(min_row=4):
        row[1].value = values.get(row[0].value)
    (tmp_path / "in").mkdir(exist_ok=True)
    path = tmp_path / "in" / "night.xlsx"
    book.save(path)
    return path


def test_about_twelve_yellow_cells():
    sheet = load_workbook(shipped("one joint")).active
    yellow = [row[1] for row in sheet.iter_rows(min_row=4) if row[1].fill.fgColor.rgb == "00FFF2CC"]
    assert 10 <= len(yellow) <= 16


def test_a_card_is_a_draft_until_a_name_and_a_date_stand_in_the_form(tmp_path):
    draft = write_card(form(tmp_path), [BOOK], tmp_path / "draft")
    assert draft.draft == "night.xlsx: no name and no date of release are typed in its form"
    (sheet,) = load_workbook(next((tmp_path / "draft").glob("*-cards.xlsx")))
    texts = [str(c.value) for row in sheet.iter_rows() for c in row if c.value]
    assert "DRAFT, NOT FOR WORK: nobody has released this card. No figure to set stands on it." in texts
    assert not any(text == "200" for text in texts)

    done = write_card(form(tmp_path, **RELEASE), [BOOK], tmp_path / "out", beside=draft.plan_file)
    assert done.draft is None
    (mine,) = read_plan(done.plan_file).joints
    assert done.notes[0] == "released by A. Example, 2026-10-11"
    assert f"X-77 manway final make-up too, row 2: the same card {mine.card}" in done.notes[1]
    (sheet,) = load_workbook(next((tmp_path / "out").glob("*-cards.xlsx")))
    assert 200 in [c.value for row in sheet.iter_rows() for c in row]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"Job date": None}, "night.xlsx: Job date is not filled in"),
        ({"Joint": None}, "night.xlsx: Joint is not filled in"),
        ({"Released by": "A", "Released on": "soon"}, "Released on: 'soon' is no date like 2026-03-14"),
        ({"Released by": "A", "Released on": datetime.date(2999, 1, 1)}, "Released on: 2999-01-01 lies ahead"),
    ],
)  # fmt: skip
def test_what_is_not_filled_in_is_named(tmp_path, changes, said):
    with pytest.raises(WorkbookError, match=said):
        as_list(form(tmp_path, **changes), tmp_path)


def test_a_file_that_is_no_form(tmp_path):
    with pytest.raises(WorkbookError, match="is no form for one joint"):
        as_list(BOOK, tmp_path)
