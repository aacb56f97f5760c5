"""A planner's joint list as it stands in a workbook: sheet, heading row, columns, joints, and where each came from."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from addin.cells.numbers import Cell
from addin.reading import column_questions as questions
from addin.reading import list_map as settings
from addin.reading.column_questions import Question
from addin.reading.exact_columns import Column, Head
from addin.reading.exact_finder import FoundList, find_list
from addin.reading.exact_rows import ListRows, RowReader, listed_rows
from addin.reading.joint_rows import JointRows, read_rows
from addin.reading.list_map import ListMap
from addin.reading.own_columns import OwnColumns
from addin.workbooks.addresses import address, letters
from addin.workbooks.package import Package, WorkbookError, open_package
from addin.workbooks.shared_texts import READER_FAULTS
from addin.workbooks.sheet_part import SheetScan
from addin.workbooks.value_book import ValueBook
from calc.findings import Finding


@dataclass(frozen=True)
class Said:
    """Something to know about the reading that is no fault: kind, rows or columns it is about, and the sentence."""

    kind: str
    places: tuple[int | str, ...]
    text: str


@dataclass(frozen=True, eq=False)
class JointList:
    """A list as read. `numbers` are the sheet's row numbers, one for each joint; `first_free` the first free column.

    `questions` must be answered before anything is planned; `said` is what to know. `own` are our columns where the
    workbook has been planned before; by row `own_keys` is what the first of them says, `own_cards` the card;
    `own_strays` are cells of them (row, column) in rows that the first does not name. `shown` are the first cells of
    each column as they stand.
    """

    package: Package
    scan: SheetScan
    sheet: str
    heading_row: int
    columns: tuple[Column, ...]
    rows: JointRows
    numbers: tuple[int, ...]
    first_free: int
    heads: tuple[Head, ...] = ()
    questions: tuple[Question, ...] = ()
    said: tuple[Said, ...] = ()
    own: OwnColumns | None = None
    own_keys: Mapping[int, str] = field(default_factory=dict)
    own_cards: Mapping[int, str] = field(default_factory=dict)
    own_strays: tuple[tuple[int, int], ...] = ()
    shown: Mapping[int, tuple[Cell, ...]] = field(default_factory=dict)
    map: ListMap | None = None

    def place(self, finding: Finding) -> str:
        """The cell, or the row, that a finding is about: "Joints!F12"."""
        row = self.numbers[finding.row]
        column = next((c for c in self.columns if c.field == finding.quantity), None)
        return f"{self.sheet}!{address(row, column.at + 1)}" if column else f"{self.sheet}!row {row}"


def read_joint_list(
    path: Path,
    sheet: str | None = None,
    answers: ListMap | None = None,
) -> JointList:
    """Read a joint list behind the gate; the workbook is only read. `answers` is the map that belongs to it.

    Raises WorkbookError for what concerns the file, the map or the list as a whole; faults of rows go with their row.
    """
    package = open_package(Path(path))
    try:
        return _read(package, ValueBook(package), sheet, answers)
    except READER_FAULTS as error:
        raise _unreadable(package, error) from error


def _read(package: Package, book: Any, sheet: str | None, answers: ListMap | None) -> JointList:
    known = answers.headings() if answers else ()
    found = find_list(package, book, settings.sheet_for(answers, sheet, package), known)
    where = f"{package.path.name}, sheet {found.sheet}"
    columns, asked = settings.applied(answers, found)
    constants = answers.row_constants() if answers else {}
    known_fields = {*constants, *(("thread", "studs") if answers and answers.standard_flange_studs else ())}
    asked += questions.about_columns(columns, answers.fields() if answers else ())
    rows = ListRows()
    if any(column.field == "joint" for column in columns):
        rows = RowReader(where, found, columns).read()
        if not rows.numbers:
            raise WorkbookError(f"{where}: no rows below the headings in row {found.heading_row}")
    read = read_rows(
        columns,
        rows.cells,
        stale=rows.stale,
        as_percent=rows.as_percent,
        constants=constants,
        standard_flanges=answers is not None and answers.standard_flange_studs,
    )
    asked += questions.about_units(columns, read.joints.faults, rows.cells)
    scan = found.scan
    return JointList(
        package=package,
        scan=scan,
        sheet=found.sheet,
        heading_row=found.heading_row,
        columns=columns,
        rows=read,
        numbers=tuple(rows.numbers),
        first_free=max([scan.used.right if scan.used else 0, *scan.last_columns]) + 1,
        heads=found.heads,
        questions=tuple(asked),
        said=tuple(_said(found, columns, rows, known_fields)),
        own=found.own,
        own_keys=rows.own_keys,
        own_cards=rows.own_cards,
        own_strays=tuple(rows.own_strays),
        shown=_shown(found),
        map=answers,
    )


def _shown(found: FoundList, rows: int = 40, wanted: int = 3) -> dict[int, tuple[Cell, ...]]:
    """The first few values below each heading, for the user to compare with."""
    values: dict[int, list[Cell]] = {head.at: [] for head in found.heads}
    for number in range(found.body, found.body + rows + 1):
        row = found.cells.rows.get(number, [])
        for at, known in values.items():
            if at < len(row) and row[at] is not None and len(known) < wanted:
                known.append(row[at])
    return {at: tuple(known) for at, known in values.items()}


_NEEDED = ("operation", "method", "thread", "studs")
"""Fields without which no row is planned."""


def _said(found: FoundList, columns: tuple[Column, ...], rows: ListRows, elsewhere: Collection[str]) -> list[Said]:
    scan, out = found.scan, rows.left_out
    said = []
    taken = {column.field for column in columns if column.field} | set(elsewhere)
    sentences = {
        "numbering_row": "row {} below the headings only numbers the columns",
        "headings_repeated": "the headings stand again in row {}",
        "group_row": "row {} has one text only and is taken as a heading of joints, not as a joint",
        "total_row": "row {} is a total and not read",
        "notes_below": "row {} below the list is taken as notes and not read",
    }
    for kind, sentence in sentences.items():
        if numbers := out.get(kind):
            texts = "; ".join(f"'{rows.texts[n]}'" for n in numbers[:6] if n in rows.texts)
            text = sentence.format(listed_rows(numbers)) + (f": {texts}" if texts else "")
            said.append(Said(kind, tuple(numbers), text))
    hidden = [number for number in rows.numbers if number in scan.hidden_rows]
    if hidden:
        text = f"hidden rows are read like the others: {listed_rows(hidden)}"
        said.append(Said("rows_hidden", tuple(hidden), text))
    names = [letters(c.at + 1) for c in columns if c.field and scan.column_hidden(c.at + 1)]
    if names:
        said.append(
            Said("columns_hidden", tuple(names), f"hidden columns are read like the others: {', '.join(names)}")
        )
    if without := [name for name in _NEEDED if name not in taken]:
        unused = [f"'{column.heading}'" for column in columns if column.field is None]
        text = f"no column is understood as {', '.join(without)}; not used: {', '.join(unused) or 'no other column'}"
        text += ". A map may give a column its field, or all rows one value"
        said.append(Said("fields_missing", tuple(without), text))
    if found.beside:
        text = f"sheet {found.sheet} is taken as the list; joints stand also in {', '.join(found.beside)}"
        said.append(Said("sheets_beside", found.beside, text))
    if found.hidden:
        text = f"sheet {found.sheet} is taken as the list; hidden sheets that look like one are not read: "
        said.append(Said("sheets_hidden", found.hidden, text + ", ".join(found.hidden)))
    if found.scan.sheet.state != "visible":
        said.append(Said("sheet_hidden", (found.sheet,), f"the list stands on the hidden sheet {found.sheet}"))
    return said


def _unreadable(package: Package, error: Exception) -> WorkbookError:
    return WorkbookError(f"{package.path.name}: cannot be read as a workbook ({type(error).__name__}: {error})")
