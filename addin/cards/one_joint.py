"""A joint that stands in no list: its form, a label and a yellow cell each, as a list of one row."""

import datetime
from dataclasses import dataclass
from pathlib import Path

from addin.cells.numbers import Cell, plain_text, stands_for_nothing
from addin.workbooks.package import WorkbookError, open_package
from addin.workbooks.shared_texts import READER_FAULTS
from addin.workbooks.value_book import ValueBook

RELEASED_BY, RELEASED_ON = "Released by", "Released on"
LABELS = {
    "Joint": "tag",
    "Operation": "break, test make-up or final make-up",
    "Method": "hydraulic or hand",
    "Gasket": "",
    "Stud size": "like 1 3/8-8 UN or M36x4",
    "Studs": "how many",
    "Grade": "like A193 B7",
    "Nut series": "metric nuts: 55 or 60 mm, like ISO 4032",
    "Torque": "with its unit, like 840 lbf·ft",
    "Lubricant": "as in the wrench book",
    "Nut factor": "of that lubricant, where the book has none",
    "Wrench": "blank: the program chooses",
    "Job date": "for the certificates",
    "Remarks": "instructions to the crew",
}
"""Labels of the form, with what goes in; each is a heading of a joint list."""
_NEEDED = ("Joint", "Operation", "Method", "Job date")
_WITHIN = 80
DRAFT = "no name and no date of release are typed in its form"


@dataclass(frozen=True)
class OneJoint:
    """A form as read: a workbook with a list of its one row, and who released it on what day, None where nobody did."""

    list_file: Path
    released: str | None


def as_list(form: Path, folder: Path) -> OneJoint:
    """Read a form, and write its joint as a list of one row into a folder, under the form's own name.

    Raises WorkbookError, one line, where the file is no such form, a label stands twice or a needed cell is blank.
    """
    from openpyxl import Workbook

    values = _values(form)
    for label in _NEEDED:
        if label not in values:
            raise WorkbookError(f"{form.name}: {label} is not filled in")
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "One joint"
    given = [label for label in LABELS if label in values]
    sheet.append(given)
    sheet.append([values[label] for label in given])
    target = folder / f"{form.stem}.xlsx"
    book.save(target)
    by, on = values.get(RELEASED_BY), values.get(RELEASED_ON)
    if on is not None and not isinstance(on, datetime.date):
        try:
            on = datetime.date.fromisoformat(plain_text(on))
        except ValueError:
            raise WorkbookError(f"{form.name}: {RELEASED_ON}: '{plain_text(on)}' is no date like 2026-03-14") from None
    if isinstance(on, datetime.datetime):
        on = on.date()
    if isinstance(on, datetime.date) and on > datetime.date.today() + datetime.timedelta(days=1):
        raise WorkbookError(f"{form.name}: {RELEASED_ON}: {on.isoformat()} lies ahead")
    return OneJoint(target, f"{plain_text(by)}, {on.isoformat()}" if by and isinstance(on, datetime.date) else None)


def _values(form: Path) -> dict[str, Cell]:
    """What stands beside the labels of a form."""
    package = open_package(form)
    known = {label.casefold(): label for label in (*LABELS, RELEASED_BY, RELEASED_ON)}
    found: dict[str, Cell] = {}
    seen: set[str] = set()
    try:
        book = ValueBook(package)
        for row in book[package.sheets[0].name].iter_rows(max_row=_WITHIN):
            cells = list(row)
            label = known.get(" ".join(str(cells[0] or "").split()).rstrip(":").casefold()) if cells else None
            if label is None:
                continue
            if label in seen:
                raise WorkbookError(f"{form.name}: the label {label} stands twice")
            seen.add(label)
            if len(cells) > 1 and not stands_for_nothing(cells[1]):
                found[label] = cells[1]
    except READER_FAULTS as error:
        raise WorkbookError(f"{form.name}: cannot be read as a workbook ({type(error).__name__})") from error
    if not seen:
        raise WorkbookError(
            f"{form.name}: is no form for one joint: no label of templates/one joint.xlsx stands in column A"
        )
    return found
