"""Reads as-tightened records: sheets with our headings, one row per joint or per pass that differs.

A row that cannot be read is refused with one line that names its cell; the others go on.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from addin.cells.headings import Heading, plain_words
from addin.cells.numbers import stands_for_nothing
from addin.cells.words import line
from addin.plan.record import PlanHead
from addin.reading.own_columns import FIRST
from addin.reading.place import fields_named
from addin.records.record_cells import NOTHING, RowCells, Values, pass_numbers
from addin.records.record_fields import (
    AS_PLANNED,
    FOUND,
    HEADINGS,
    NOT_DONE,
    WORDS,
    Key,
    field_of,
    is_ours,
    missing,
)  # fmt: skip
from addin.workbooks.addresses import column_number
from addin.workbooks.grid import Grid
from addin.workbooks.package import Package, Sheet, WorkbookError, open_package
from addin.workbooks.shared_texts import READER_FAULTS
from addin.workbooks.value_book import ValueBook
from calc.findings import Finding, InputError, stop
from calc.units import system

HEADINGS_WITHIN = 60
_UNITS = system("US")  # only ranges and units as typed are spoken of here


@dataclass(frozen=True)
class RecordEntry:
    """One row of a record: which joint, which passes, and what is said of them.

    `whole`: the row is about every pass that no other row names. `as_planned`: what the row leaves blank was done as
    planned, because it says so. `own` are values of single passes. `places`: where the joint and the passes stand.
    `found`: what was found otherwise than planned.
    """

    joint: str
    operation: str
    whole: bool
    as_planned: bool
    passes: tuple[int, ...]
    values: Values
    own: Mapping[int, Values]
    card: str
    lubricant: str
    lubricant_same: bool
    batch: str
    by: str
    remarks: str
    row: str
    places: Mapping[str, str]
    found: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Refused:
    """A row or sheet that is not read: the line for the user, its place, and the joint it is about if that is known."""

    text: str
    place: str
    joint: str = ""
    operation: str = ""


@dataclass
class Records:
    """Everything read from one or several files."""

    entries: list[RecordEntry] = field(default_factory=list)
    refused: list[Refused] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    files: list[tuple[str, str]] = field(default_factory=list)


def read_records(path: Path, into: Records, listed: PlanHead | None = None) -> None:
    """Read the sheets of one workbook that have our headings.

    `listed`: the head of the plan, whose columns of joint and operation count where the sheet is the planned list and
    names them in another row than ours.

    Raises WorkbookError when the file cannot be read or no sheet of it holds records.
    """
    package = open_package(Path(path))
    into.files.append((package.path.name, package.sha256))
    found = False
    try:
        for sheet, grid in _grids(package):
            head = _head(grid)
            if not head:
                continue
            found = True
            if sheet.state != "visible":
                into.notes.append(f"{package.path.name}, sheet {sheet.name} is hidden: not read")
                continue
            _Sheet(package.path.name, grid, head, into).read(listed)
    except READER_FAULTS as error:
        raise WorkbookError(f"{package.path.name}: cannot be read as a workbook ({type(error).__name__})") from error
    if not found:
        raise WorkbookError(
            f"{package.path.name}: no sheet holds records: headings Joint, Operation and {HEADINGS['done']} (as planned"
            f" or differs) or {HEADINGS['passes']} are needed"
        )


def _grids(package: Package) -> Iterator[tuple[Sheet, Grid]]:
    book = ValueBook(package)
    for sheet in package.sheets:
        if sheet.kind != "worksheet":
            continue
        cells = book[sheet.name]
        head = list(cells.iter_rows(max_row=HEADINGS_WITHIN))
        if not _head(Grid(sheet.name, head)):
            continue
        rows = list(cells.iter_rows())
        yield sheet, Grid(sheet.name, rows, cells.uncached)


def _head(grid: Grid) -> int:
    """The row with most headings of ours, 0 when none has the one for what was done or for passes."""
    best, where = 0, 0
    for row in range(1, min(grid.last, HEADINGS_WITHIN) + 1):
        fields = {field_of(h) for c in grid.filled(row) if (h := grid.heading(row, c)) and is_ours(h)}
        if len(fields) > best and fields & {("done", 0), ("passes", 0)}:
            best, where = len(fields), row
    return where


class _Sheet:
    """One sheet while it is read."""

    def __init__(self, file: str, grid: Grid, head: int, into: Records) -> None:
        self.file, self.grid, self.head, self.into = file, grid, head, into
        self.fields: dict[Key, tuple[int, Heading]] = {}
        self.unknown: dict[int, str] = {}
        self.names: dict[str, int] = {}
        self.repeats = 0

    def refuse(self, finding: Finding, row: int, column: int, joint: str = "", operation: str = "") -> None:
        """Keep a refusal with its line."""
        placed = self.grid.placed(finding, row, column)
        place = f"{self.file}, {placed.facts['place']}"
        self.into.refused.append(Refused(f"{self.file}, {line(placed, _UNITS)}", place, joint, operation))

    def read(self, listed: PlanHead | None) -> None:
        """Headings, then the rows below them."""
        if not self.headings(listed):
            return
        columns = [column for column, _ in self.fields.values()] + list(self.unknown)
        for row in range(self.head + 1, self.grid.last + 1):
            stale = any((row, column) in self.grid.uncached for column in columns)
            if stale or not all(stands_for_nothing(self.grid.value(row, column)) for column in columns):
                self.row(row)

    def headings(self, listed: PlanHead | None) -> bool:
        """Find the columns; False when the sheet cannot be read."""
        for column in self.grid.filled(self.head):
            heading = self.grid.heading(self.head, column)
            if heading is None:
                continue
            if heading.text == FIRST:
                self.repeats = column
            elif not is_ours(heading):
                for named in fields_named(heading.text) & {"joint", "operation"}:
                    self.names.setdefault(named, column)
            elif (name := field_of(heading)) is None:
                self.unknown[column] = heading.text
            elif name in self.fields:
                self.refuse(Finding("heading_twice", "heading", {"text": heading.text}), self.head, column)
                return False
            else:
                self.fields[name] = (column, heading)
        if listed and self.grid.sheet == listed.sheet:
            for each in listed.columns:
                if each.field in ("joint", "operation"):
                    self.names.setdefault(each.field, column_number(each.column))
        lacking = [name.capitalize() for name in ("joint", "operation") if name not in self.names]
        if lacking:
            facts = {"text": " and ".join(lacking)}
            self.refuse(Finding("record_columns_missing", "heading", facts), self.head, 1)
            return False
        dated = any(name == "date" for name, _ in self.fields)
        for text in missing(self.fields, ("card",) if dated else ("card", "date")):
            placed = self.grid.placed(Finding("record_column_advised", "", {"text": text}), self.head, 1)
            self.into.notes.append(f"{self.file}, {line(placed, _UNITS)}")
        return True

    def row(self, row: int) -> None:
        """One row that says something."""
        cells = RowCells(self.grid, row, self.fields)
        joint = operation = ""
        try:
            cells.column = self.names["joint"]
            joint = self.grid.text(row, cells.column, "joint")
            cells.column = self.names["operation"]
            operation = self.grid.text(row, cells.column, "operation")
            entry = self.entry(cells, joint, operation)
        except InputError as error:
            self.refuse(error.finding, row, cells.column, joint, operation)
            return
        if entry is not None:
            self.into.entries.append(entry)

    def entry(self, cells: RowCells, joint: str, operation: str) -> RecordEntry | None:
        """What a row says; None when it says that nothing was done. Raises InputError, `cells.column` says where."""
        row = cells.row
        for name, text in (("joint", joint), ("operation", operation)):
            if not text:
                cells.column = self.names[name]
                raise stop("missing", name, known=())
        self.check_moved(cells, joint, operation)
        for column, heading in self.unknown.items():
            if not stands_for_nothing(self.grid.stored(row, column, "record")):
                cells.column = column
                raise stop("record_column_unknown", "", heading=heading, known=tuple(HEADINGS.values()))
        done = cells.text("done")
        word = plain_words(done)
        if done and word not in WORDS:
            raise stop("record_word_unknown", "", text=done, known=WORDS)
        passes, every = pass_numbers(cells)
        own = {n: cells.values(n) for n in sorted({n for _, n in self.fields if n})}
        own = {n: values for n, values in own.items() if values != NOTHING}
        if word == NOT_DONE:
            return None
        named = tuple(sorted({*passes, *own})) if passes else (() if every or word == AS_PLANNED else tuple(own))
        if not named and not every and word != AS_PLANNED:
            cells.column = self.fields.get(("done", 0), self.fields.get(("passes", 0), (1, None)))[0]
            raise stop("record_no_pass" if word else "record_says_nothing")
        values = cells.values(0)
        if len(named) != 1:
            values = values.without_clock()
        lubricant = cells.text("lubricant")
        same = plain_words(lubricant) == AS_PLANNED
        return RecordEntry(
            joint=joint, operation=operation, whole=not named, as_planned=word == AS_PLANNED, passes=named,
            values=values, own=own, card=cells.card(), lubricant="" if same else lubricant,
            lubricant_same=same or (word == AS_PLANNED and not lubricant), batch=cells.text("batch"),
            found={name: text for name in FOUND if (text := cells.text(name))},
            by=cells.text("by"), remarks=cells.text("remarks"), row=f"{self.file}, {self.grid.sheet} row {row}",
            places={
                "joint": f"{self.file}, {self.grid.place(row, self.names['joint'])}",
                "passes": f"{self.file}, {self.grid.place(row, self.fields.get(('passes', 0), (1, None))[0])}",
            },
        )  # fmt: skip

    def check_moved(self, cells: RowCells, joint: str, operation: str) -> None:
        """In a planned workbook our first column repeats the row's name: rows sorted apart are seen."""
        if not self.repeats:
            return
        cells.column = self.repeats
        theirs = self.grid.text(cells.row, self.repeats, "joint")
        first, _, second = theirs.rpartition(" | ")
        if theirs and (first.casefold(), plain_words(second)) != (joint.casefold(), plain_words(operation)):
            raise stop("record_moved", "", text=f"{joint} | {operation}", other=theirs)
