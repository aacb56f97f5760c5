"""Reads as-tightened records: sheets with our headings, one row per joint or per pass that differs, and scanned keys.

A row that cannot be read is refused with one line that names its cell; the others go on.
"""

import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any

from addin.cells.dates import day_comes_first, read_work_day
from addin.cells.headings import Heading, plain_words
from addin.cells.numbers import stands_for_nothing
from addin.cells.words import line
from addin.plan.record import PlanHead
from addin.reading.own_columns import FIRST
from addin.reading.place import fields_named
from addin.records.known_cards import Known
from addin.records.record_cells import NAN, NOTHING, RowCells, Values, pass_numbers, shared
from addin.records.record_fields import (
    AS_PLANNED,
    BOXES,
    FOUND,
    HEADINGS,
    NOT_DONE,
    VALUES,
    WORDS,
    CardKey,
    Key,
    card_key,
    card_text,
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
PLAN_LABEL, NAME_LABEL, DATE_LABEL = "Record of plan", "Done by", "Date"
"""Labels at the head of a record sheet, in its first column; what they name stands to their right."""


@dataclass(frozen=True, slots=True)
class RowPlaces:
    """Where joint and passes of a row stand in a workbook; put into words when it is asked for."""

    file: str
    sheet: str
    row: int
    joint: int
    passes: int

    def __getitem__(self, name: str) -> str:
        column = self.joint if name == "joint" else self.passes
        return f"{self.file}, {Grid(self.sheet, ()).place(self.row, column)}"


NONE_STATED: Mapping[Any, Any] = MappingProxyType({})
"""In place of an empty mapping for each row of a long record."""


@dataclass(frozen=True, slots=True)
class RecordEntry:
    """One row of a record: which joint, which passes, and what is said of them.

    `whole`: the row is about every pass that no other row names. `as_planned`: what the row leaves blank was done as
    planned, because it says so. `own` are values of single passes. `places`: where the joint and the passes stand.
    `found`: what was found otherwise than planned. `boxes`: what stands in boxes of the card, by field. `plan`: the
    number of the plan on its sheet.
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
    places: Mapping[str, str] | RowPlaces
    found: Mapping[str, str] = field(default_factory=dict)
    boxes: Mapping[str, str] = field(default_factory=dict)
    tool_number: str = ""
    plan: str = ""


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


@dataclass(frozen=True)
class TheirColumns:
    """Columns of the planner's own that stand for ours: field by heading in plain words, and the words of a column of
    states that mean 'as planned'.
    """

    fields: Mapping[str, str] = field(default_factory=dict)
    as_planned: frozenset[str] = frozenset()


NO_COLUMNS = TheirColumns()


def read_records(
    path: Path, into: Records, listed: PlanHead | None = None, known: Known | None = None,
    columns: TheirColumns = NO_COLUMNS,
) -> None:  # fmt: skip
    """Read the sheets of one workbook that have our headings.

    `listed`: the head of the plan, whose columns of joint and operation count where the sheet is the planned list and
    names them in another row than ours. `known`: by it a card names the operation of its row, and a sheet of another
    plan is seen.

    Raises WorkbookError when the file cannot be read or no sheet of it holds records.
    """
    package = open_package(Path(path))
    into.files.append((package.path.name, package.sha256))
    found = False
    try:
        for sheet, grid in _grids(package, columns):
            head = _head(grid, columns)
            if not head:
                continue
            found = True
            if sheet.state != "visible":
                into.notes.append(f"{package.path.name}, sheet {sheet.name} is hidden: not read")
                continue
            _Sheet(package.path.name, grid, head, into, known, columns).read(listed)
    except READER_FAULTS as error:
        raise WorkbookError(f"{package.path.name}: cannot be read as a workbook ({type(error).__name__})") from error
    if not found:
        raise WorkbookError(
            f"{package.path.name}: no sheet holds records: headings Joint, Operation and {HEADINGS['done']} (as planned"
            f" or differs) or {HEADINGS['passes']} are needed"
        )


def _grids(package: Package, columns: TheirColumns) -> Iterator[tuple[Sheet, Grid]]:
    book = ValueBook(package)
    for sheet in package.sheets:
        if sheet.kind != "worksheet":
            continue
        cells = book[sheet.name]
        head = list(cells.iter_rows(max_row=HEADINGS_WITHIN))
        if not _head(Grid(sheet.name, head), columns):
            continue
        rows = list(cells.iter_rows())
        yield sheet, Grid(sheet.name, rows, cells.uncached)


def _head(grid: Grid, columns: TheirColumns) -> int:
    """The row with most headings of ours, 0 when none has the one for what was done, for passes or for scans."""
    best, where = 0, 0
    for row in range(1, min(grid.last, HEADINGS_WITHIN) + 1):
        headings = [h for c in grid.filled(row) if (h := grid.heading(row, c))]
        fields = {field_of(h) for h in headings if is_ours(h)}
        fields |= {(columns.fields[h.words], 0) for h in headings if h.words in columns.fields}
        if len(fields) > best and fields & {("done", 0), ("passes", 0), ("scan", 0)}:
            best, where = len(fields), row
    return where


class _Sheet:
    """One sheet while it is read."""

    def __init__(
        self, file: str, grid: Grid, head: int, into: Records, known: Known | None, columns: TheirColumns
    ) -> None:
        self.file, self.grid, self.head, self.into = file, grid, head, into
        self.known, self.columns = known, columns
        self.fields: dict[Key, tuple[int, Heading]] = {}
        self.theirs: set[str] = set()
        self.unknown: dict[int, str] = {}
        self.names: dict[str, int] = {}
        self.repeats = 0
        self.plan = self.by = ""
        self.day = NAN
        self.day_first: bool | None = None

    def refuse(self, finding: Finding, row: int, column: int, joint: str = "", operation: str = "") -> None:
        """Keep a refusal with its line."""
        placed = self.grid.placed(finding, row, column)
        place = f"{self.file}, {placed.facts['place']}"
        self.into.refused.append(Refused(f"{self.file}, {line(placed, _UNITS)}", place, joint, operation))

    def read(self, listed: PlanHead | None) -> None:
        """Headings, what stands above them, then the rows below."""
        if not self.headings(listed) or not self.above():
            return
        self.order_of_dates()
        columns = [column for column, _ in self.fields.values()] + list(self.unknown)
        for row in range(self.head + 1, self.grid.last + 1):
            stale = any((row, column) in self.grid.uncached for column in columns)
            scanned = "|" in str(self.grid.value(row, self.names.get("joint", 0)))
            if stale or scanned or not all(stands_for_nothing(self.grid.value(row, column)) for column in columns):
                self.row(row)

    def above(self) -> bool:
        """The plan that the sheet was printed for, and the name and day that count for its rows; False when it is of
        another plan.
        """
        labels = {plain_words(text): text for text in (PLAN_LABEL, NAME_LABEL, DATE_LABEL)}
        for row in range(1, self.head):
            label = self.grid.value(row, 1)
            said = labels.get(plain_words(label)) if isinstance(label, str) else None
            column = next((c for c in range(2, 9) if not stands_for_nothing(self.grid.value(row, c))), 0)
            if said is None or not column:
                continue
            try:
                if said == DATE_LABEL:
                    self.day = read_work_day(self.grid.stored(row, column, "date"), "date_of_work")
                elif said == NAME_LABEL:
                    self.by = self.grid.text(row, column, "by")
                else:
                    self.plan = card_text(self.grid.text(row, column, "plan").split(",")[0])
            except InputError as error:
                self.refuse(error.finding, row, column)
            if said == PLAN_LABEL and self.known and self.plan and not self.known.knows_plan(self.plan):
                facts = {"text": self.plan, "known": self.known.mine.name}
                self.refuse(Finding("record_other_plan", "", facts), row, column)
                return False
        return True

    def order_of_dates(self) -> None:
        """Whether days stand first in dates typed as numbers, where the columns of dates show it."""
        texts: list[str] = []
        for name, number in self.fields:
            if name == "date":
                column = self.fields[name, number][0]
                cells = (self.grid.value(row, column) for row in range(self.head + 1, self.grid.last + 1))
                texts += [cell for cell in cells if isinstance(cell, str)]
        self.day_first = day_comes_first(texts)
        if self.day_first is not None:
            order = "day, month, year" if self.day_first else "month, day, year"
            self.into.notes.append(
                f"{self.file}, sheet {self.grid.sheet}: its dates show the order {order}; those that could be read in"
                " two ways are read so"
            )

    def headings(self, listed: PlanHead | None) -> bool:
        """Find the columns; False when the sheet cannot be read."""
        for column in self.grid.filled(self.head):
            heading = self.grid.heading(self.head, column)
            if heading is None:
                continue
            own = self.columns.fields.get(heading.words)
            if heading.text == FIRST:
                self.repeats = column
            elif not is_ours(heading) and own is None:
                for named in fields_named(heading.text) & {"joint", "operation"}:
                    self.names.setdefault(named, column)
            elif (name := (own, 0) if own else field_of(heading)) is None:
                self.unknown[column] = heading.text
            elif name in self.fields:
                self.refuse(Finding("heading_twice", "heading", {"text": heading.text}), self.head, column)
                return False
            else:
                self.fields[name] = (column, heading)
                self.theirs |= {own} if own else set()
        if listed and self.grid.sheet == listed.sheet:
            for each in listed.columns:
                if each.field in ("joint", "operation"):
                    self.names.setdefault(each.field, column_number(each.column))
        needed = {"joint": {("scan", 0)}, "operation": {("scan", 0), ("card", 0)}}
        lacking = [
            name for name, instead in needed.items() if name not in self.names and not self.fields.keys() & instead
        ]
        if lacking:
            facts = {"text": " and ".join(name.capitalize() for name in lacking)}
            self.refuse(Finding("record_columns_missing", "heading", facts), self.head, 1)
            return False
        dated = any(name == "date" for name, _ in self.fields)
        advised = () if ("scan", 0) in self.fields else ("card",) if dated else ("card", "date")
        for text in missing(self.fields, advised):
            placed = self.grid.placed(Finding("record_column_advised", "", {"text": text}), self.head, 1)
            self.into.notes.append(f"{self.file}, {line(placed, _UNITS)}")
        return True

    def row(self, row: int) -> None:
        """One row that says something."""
        cells = RowCells(self.grid, row, self.fields, day_first=self.day_first)
        joint = operation = ""
        try:
            joint, operation = (self.named(cells, name) for name in ("joint", "operation"))
            key = self.key(cells, joint, operation)
            if key is not None:
                joint, operation = key.joint, key.operation
            entry = self.entry(cells, joint, operation, key)
        except InputError as error:
            self.refuse(error.finding, row, cells.column, joint, operation)
            return
        if entry is not None:
            self.into.entries.append(entry)

    def named(self, cells: RowCells, name: str) -> str:
        """Joint or operation as the row names it, "" where there is no such column."""
        if name not in self.names:
            return ""
        cells.column = self.names[name]
        return self.grid.text(cells.row, cells.column, name)

    def key(self, cells: RowCells, joint: str, operation: str) -> CardKey | None:
        """The key that was scanned or typed into the row, wherever it stands. Raises InputError where it names another
        row than the one it stands in.
        """
        found = None
        for name in ("scan", "done", "card"):
            text = cells.text(name)
            if not text or (name != "scan" and "|" not in text):
                continue
            found = card_key(text)
            if found is None:
                raise stop("record_key", "", text=text)
            break
        if found is None:
            if "|" not in joint or not (found := card_key(joint)):
                return None
            cells.column = self.names["joint"]
            return found
        apart = joint and " ".join(joint.split()).casefold() != " ".join(found.joint.split()).casefold()
        if apart or (operation and plain_words(operation) != plain_words(found.operation)):
            row = " ".join(filter(None, (joint, operation)))
            raise stop("record_key_other", "", text=row, other=f"{found.joint} {found.operation}")
        return found

    def operation(self, cells: RowCells, joint: str, card: str) -> str:
        """The operation of a row that does not name it: the one that its card is of."""
        found = self.known.mine.operations(card, joint) if self.known and card else []
        return found[0] if len(found) == 1 else ""

    def entry(self, cells: RowCells, joint: str, operation: str, key: CardKey | None) -> RecordEntry | None:
        """What a row says; None when it says that nothing was done, or has a card's number and nothing else. Raises
        InputError, `cells.column` says where.
        """
        row = cells.row
        if key is None and not self.says(cells):
            return None
        card = key.card if key else cells.card()
        operation = operation or self.operation(cells, joint, card)
        for name, text in (("joint", joint), ("operation", operation)):
            if not text:
                cells.column = self.names.get(name, self.names.get("joint", 1))
                raise stop("missing", name, known=())
        self.check_moved(cells, joint, operation)
        for column, heading in self.unknown.items():
            if not stands_for_nothing(self.grid.stored(row, column, "record")):
                cells.column = column
                raise stop("record_column_unknown", "", heading=heading, known=tuple(HEADINGS.values()))
        word = self.word(cells, key)
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
        if values.day != values.day:
            values = Values(day=self.day).over(values) if self.day == self.day else values
        lubricant = cells.text("lubricant")
        same = plain_words(lubricant) == AS_PLANNED
        return RecordEntry(
            joint=sys.intern(joint), operation=sys.intern(operation), whole=not named,
            as_planned=word == AS_PLANNED, passes=named, values=shared(values), own=own or NONE_STATED,
            card=sys.intern(card), lubricant="" if same else lubricant,
            lubricant_same=same or (word == AS_PLANNED and not lubricant), batch=cells.text("batch"),
            found={name: text for name in FOUND if (text := cells.text(name))} or NONE_STATED,
            boxes={each.name: text for each in BOXES if (text := cells.text(each.name))} or NONE_STATED,
            by=sys.intern(cells.text("by") or self.by), remarks=cells.text("remarks"),
            tool_number=cells.text("tool_number"),
            plan=self.plan, row=f"{self.file}, {self.grid.sheet} row {row}",
            places=RowPlaces(
                self.file, self.grid.sheet, row, self.names.get("joint", self.column_of("scan")),
                self.fields.get(("passes", 0), (1, None))[0],
            ),
        )  # fmt: skip

    def column_of(self, name: str) -> int:
        """The column of a field, the first where it has none."""
        return self.fields.get((name, 0), (1, None))[0]

    def says(self, cells: RowCells) -> bool:
        """Whether a row reports something: a word or a value. A number of a card was printed, and a day or a word in a
        column of the planner's own that means nothing here is theirs.
        """
        for name, number in self.fields:
            if name in self.theirs and (name != "done" or self.theirs_says(cells) is None):
                continue
            if number or name in VALUES:
                cell, _ = cells.stored(name, number)
                if cell is not None:
                    return True
        columns = [*self.unknown, *(column for column, _ in self.fields.values())]
        return any(not stands_for_nothing(self.grid.value(cells.row, column)) for column in self.unknown) or any(
            (cells.row, column) in self.grid.uncached for column in columns
        )

    def theirs_says(self, cells: RowCells) -> str | None:
        """What the planner's own column of states says in our words; None for any other word of theirs."""
        word = plain_words(cells.text("done"))
        return AS_PLANNED if word in self.columns.as_planned else word if word in WORDS else None

    def word(self, cells: RowCells, key: CardKey | None) -> str:
        """The word of a row: a scan says 'as planned'. Raises InputError `record_word_unknown`."""
        done = cells.text("done")
        if key is not None and (not done or card_key(done) is not None):
            return AS_PLANNED
        if "done" in self.theirs:
            return self.theirs_says(cells) or ""
        word = plain_words(done)
        if done and word not in WORDS:
            raise stop("record_word_unknown", "", text=done, known=WORDS)
        return word

    def check_moved(self, cells: RowCells, joint: str, operation: str) -> None:
        """In a planned workbook our first column repeats the row's name: rows sorted apart are seen."""
        if not self.repeats:
            return
        cells.column = self.repeats
        theirs = self.grid.text(cells.row, self.repeats, "joint")
        first, _, second = theirs.rpartition(" | ")
        if theirs and (first.casefold(), plain_words(second)) != (joint.casefold(), plain_words(operation)):
            raise stop("record_moved", "", text=f"{joint} | {operation}", other=theirs)
