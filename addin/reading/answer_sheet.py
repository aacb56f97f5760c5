"""The sheet of answers: what was understood of a list, on one sheet that a planner looks at, corrects and signs.

A line a column of the list, then what holds for the whole list, values and their meanings, rows that wait, rows left
out, and one joint spelled out. What needs a look is yellow and has a list of choices, the likeliest already filled in;
it counts once somebody has signed the sheet. A line that was signed once keeps its signature as long as nobody changes
it. `read_answers` gives back what is signed; headings are known by their text, wherever their columns stand.
"""

import datetime
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from addin.cells.dates import read_day
from addin.cells.numbers import Cell, error_text, is_blank, plain_text, stands_for_nothing
from addin.cells.words import line
from addin.reading.answered import unit_kind
from addin.reading.fields import BY_NAME
from addin.reading.flange_rows import NO_STANDARD, STANDARDS, standard_named
from addin.reading.joint_rows import read_constant
from addin.reading.own_columns import ANSWERS_MARK
from addin.reading.understood import (
    BY_THE_BOOK,
    LIST_SHEET,
    NONE,
    PITCH,
    Answers,
    ColumnAnswer,
    first_key,
    heading_key,
    nth_key,
    shown_name,
    stored_name,
)
from addin.workbooks.addresses import address
from addin.workbooks.package import Package, WorkbookError, open_package
from addin.workbooks.shared_texts import READER_FAULTS
from calc.findings import InputError
from calc.units import symbol, system

SHEET = "Answers"
NOT_USED_WORD = "not used"
PITCH_WORD = "thread pitch"
COARSE = "coarse"
CHECK_WORDS = "checked against "
TARGETS = ("torque", "load", "stress", "percent")
COLUMNS = ("column", "heading", "first values", "taken as", "unit", "why", "state", "confirmed by, date")
WHOLE = ("whole list", "", "", "answer", "", "why", "state", "confirmed by, date")
VALUES = ("value in", "value", "rows", "means", "", "why", "state", "confirmed by, date")
WAITING = ("waits", "joint", "operation", "free it? write yes", "", "words in the list", "row", "confirmed by, date")
LEFT_OUT = ("rows left out", "", "", "", "", "why", "rows", "")
SPELLED = ("one joint as it would be planned", "", "", "", "", "", "", "")
STANDARD_STUDS = "studs of the standard flange"
ASKED_OF_ALL = ("operation", "method", "lubricant", "nut_factor", "area", "date", "at_once")
"""What a list often states once for all its rows; a blank answer states nothing."""
SIGNED_BY, SIGNED_ON = "looked at by", "date"
_HEAD_ROWS = 3
FREE_LINES = 3
MOST_TAGS = 2000
TAGS = "Answers, joints known"
CHOICES = "Answers, choices"
SHEETS = (SHEET, CHOICES, TAGS)
"""The sheet of answers, and the hidden ones that it needs."""
_SIGNATURE = re.compile(r"\S.*, \d{4}-\d\d-\d\d")
"""Who confirmed an answer, and when: a name alone confirms nothing."""
NOT_SIGNED = " (not signed)"
"""What stands behind a name that signs nothing."""
NO_SHEET = "holds no sheet of answers"


@dataclass(frozen=True)
class Line:
    """One answer: what it is about, the answer and its unit as they stand, who confirmed it, and where it stands.

    `named` is who stands beside it without having confirmed it: a name typed there, or that of an answer since changed.
    `typed`: it is not what the program wrote there, nor what somebody confirmed.
    """

    about: tuple[str, ...]
    answer: str
    unit: str
    by: str
    row: int
    named: str = ""
    typed: bool = False


@dataclass(frozen=True, eq=False)
class AnswerSheet:
    """A sheet of answers as read: its lines by block, its signature, and the tags of the list that it was made for.

    `half` is a signature that lacks its name or its date: both as they stand.
    """

    file: str
    list_name: str
    sheet: str
    by: str
    columns: tuple[Line, ...] = ()
    whole: tuple[Line, ...] = ()
    values: tuple[Line, ...] = ()
    waiting: tuple[Line, ...] = ()
    tags: frozenset[str] = field(default_factory=frozenset)
    sha256: str = ""
    path: Path | None = None
    half: tuple[str, str] = ("", "")

    def signs_nothing(self) -> list[str]:
        """Names and dates that sign nothing, each with its cell."""
        name, day = self.half
        said = [f"B3: {name} has signed without a date in D3"] if name else []
        said += [f"D3: {day}, but no name stands in B3"] if day else []
        lines = () if self.by else (*self.columns, *self.whole, *self.values, *self.waiting)
        rows = [each for each in lines if each.named]
        if rows:
            names = ", ".join(dict.fromkeys(each.named for each in rows))
            cells = ", ".join(f"H{each.row}" for each in rows[:3]) + (
                f" and {len(rows) - 3} more" if len(rows) > 3 else ""
            )
            said.append(f"{cells}: {names} beside an answer signs nothing")
        return said

    @property
    def unsigned(self) -> bool:
        """Whether lines stand in it that nobody has signed."""
        blocks = (*self.columns, *self.whole, *self.values, *self.waiting)
        return not self.by and any(not each.by and each.answer for each in blocks)

    def not_signed(self, stated: Iterable[str] = ()) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Cells with answers that somebody typed and nobody has signed: of columns and the whole list, and of rows;
        `stated` are fields that were given otherwise.
        """
        names = {shown_name(name) for name in stated}
        whole = [each for each in self.whole if each.about[0] not in names]
        ours, rows = ((*self.columns, *whole), (*self.values, *self.waiting))
        cells = [tuple(f"{SHEET}!D{each.row}" for each in block if each.typed and not self._signed(each))
                 for block in (ours, rows)]  # fmt: skip
        return cells[0], cells[1]

    def headings(self) -> set[str]:
        """The headings that are answered, as they are compared."""
        return {first_key(each.about[0]) for each in self.columns}

    def belongs_to(self, headings: Sequence[str], cells: Sequence[Sequence[Cell]]) -> bool:
        """Whether it was made for this list: all headings it uses are there, and at least half of its joints."""
        there = {heading_key(text) for text in headings}
        if not all(first_key(each.about[0]) in there for each in self.columns if each.answer != NOT_USED_WORD):
            return False
        if not self.tags:
            return True
        texts = {plain_text(cell).casefold() for row in cells for cell in row if cell is not None}
        known = sum(
            tag in texts or any(tag[:k] in texts and tag[k + 1 :] in texts for k, sign in enumerate(tag) if sign == " ")
            for tag in self.tags  # "V-101 N2" may stand in two columns
        )
        return 2 * known >= len(self.tags)

    def sheet_of_list(self, package: Package) -> tuple[str | None, str]:
        """The sheet that holds the list, where that is settled, and the one that was taken as the likeliest."""
        names = {each.name.casefold(): each.name for each in package.sheets}
        made_for = names.get(self.sheet.casefold())
        asked = self._of_sheets()
        if asked is None:
            return made_for, ""
        return (names.get(asked.answer.casefold()), "") if self._told(asked) else (None, made_for or "")

    def check_sheet(self, package: Package) -> None:
        """Raises WorkbookError for an answer that names no sheet of the workbook it was made for."""
        asked, names = self._of_sheets(), [each.name for each in package.sheets]
        if asked and self._told(asked) and asked.answer.casefold() not in map(str.casefold, names):
            raise WorkbookError(
                f"{self._cell(asked.row, 'D')}: no sheet '{asked.answer[:40]}'; sheets: {', '.join(names)}"
            )

    def of_any_sheet(self) -> "AnswerSheet":
        """The same for another list, whose sheets it knows nothing of."""
        return replace(self, sheet="", whole=tuple(each for each in self.whole if each is not self._of_sheets()))

    def _of_sheets(self) -> Line | None:
        return next((each for each in self.whole if each.about[0] == LIST_SHEET), None)

    def _told(self, each: Line) -> bool:
        return bool(each.answer) and self._signed(each)

    def answers(self, *, same: bool = True, accept: bool = False) -> Answers:
        """What is signed. For another list (`same` false) meanings of headings come back as proposals, nothing else.

        Raises WorkbookError, with the cell, for an answer that cannot be understood.
        """
        columns: dict[str, ColumnAnswer] = {}
        for each in self.columns:
            if self._signed(each) and (answer := self._column(each)):
                columns[each.about[0]] = answer if same else replace(answer, unit="", proposal=True)
        if not same:
            return Answers(columns, by=self._name(), accept=accept)
        whole: dict[str, str | float] = {}
        standard = ""
        for each in self.whole:
            if not self._signed(each) or not each.answer:
                continue
            if each.about[0] == LIST_SHEET:
                whole[LIST_SHEET] = each.answer
            elif each.about[0] == STANDARD_STUDS:
                standard = self._standard(each)
            else:
                name = self._field(each.about[0], each.row, "A")
                whole[name] = self._fact(name, each)
        meanings = {
            (self._field(each.about[0], each.row, "A"), each.about[1].casefold()): each.answer
            for each in self.values
            if self._signed(each) and each.answer
        }
        freed = frozenset(
            (each.about[0], each.about[1], each.about[2])
            for each in self.waiting
            if self._signed(each) and each.answer and self._yes(each)
        )
        return Answers(columns, whole, meanings, freed, self._name(), accept, self.sheet, standard)

    def as_json(self) -> dict[str, Any]:
        """What a plan carries of the answers: what is signed, in a form that `kept_answers` reads."""
        given = self.answers()
        whole = {shown_name(name): value for name, value in given.whole.items()}
        lines = {
            name: [[*each.about, each.answer, each.unit, each.by or self.by] for each in block if self._signed(each)]
            for name, block in (("columns", self.columns), ("values", self.values), ("facts", self.whole))
        }
        return {"file": self.file, "sha256": self.sha256, "sheet": self.sheet, "by": given.by, "whole_list": whole,
                "standard_flange_studs": given.standard_flange_studs, **lines}  # fmt: skip

    def _signed(self, each: Line) -> bool:
        return bool(self.by or each.by)

    def _name(self) -> str:
        return self.by or next((each.by for each in (*self.columns, *self.whole) if each.by), "")

    def _cell(self, row: int, column: str) -> str:
        return f"{self.file}, {SHEET}!{column}{row}"

    def _yes(self, each: Line) -> bool:
        word = each.answer.casefold()
        if word not in ("yes", "no"):
            raise WorkbookError(f"{self._cell(each.row, 'D')}: write yes or no, got '{each.answer[:40]}'")
        return word == "yes"

    def _standard(self, each: Line) -> str:
        named = standard_named(each.answer)
        if not named and each.answer.casefold() != NO_STANDARD:
            known = ", ".join(STANDARDS)
            raise WorkbookError(
                f"{self._cell(each.row, 'D')}: name the standard of the flanges ({known}) or write no, got '{each.answer[:40]}'"
            )
        return named or NO_STANDARD

    def _field(self, text: str, row: int, column: str) -> str:
        wanted = heading_key(text)
        if wanted == PITCH_WORD:
            return PITCH
        found = next((name for name in BY_NAME if wanted in (shown_name(name), stored_name(name))), None)
        if found is None:
            raise WorkbookError(
                f"{self._cell(row, column)}: '{text[:40]}' is no field; choose one of the list, or '{NOT_USED_WORD}'"
            )
        return found

    def _column(self, each: Line) -> ColumnAnswer | None:
        word = heading_key(each.answer)
        if not word:
            return None
        if word in (NOT_USED_WORD, NONE):
            return ColumnAnswer(NONE)
        checked = word.startswith(CHECK_WORDS)
        name = self._field(word.removeprefix(CHECK_WORDS), each.row, "D")
        if checked and name not in TARGETS:
            raise WorkbookError(
                f"{self._cell(each.row, 'D')}: only {', '.join(TARGETS)} can be checked against the plan"
            )
        kind, unit = unit_kind(name), each.unit
        if unit and kind == "":
            raise WorkbookError(f"{self._cell(each.row, 'E')}: {shown_name(name)} has no unit, got '{unit[:20]}'")
        if unit:
            try:
                unit = symbol(kind, unit)
            except InputError as error:
                raise WorkbookError(f"{self._cell(each.row, 'E')}: {line(error.finding, system('US'))}") from None
        return ColumnAnswer(name, unit, checked)

    def _fact(self, name: str, each: Line) -> str:
        if name == PITCH:  # of metric sizes that stand without one
            if heading_key(each.answer) != COARSE:
                raise WorkbookError(
                    f"{self._cell(each.row, 'D')}: write {COARSE}, or each pitch with its thread in the list"
                )
            return COARSE
        if name == "method" and heading_key(each.answer) == BY_THE_BOOK:
            return BY_THE_BOOK
        try:
            read_constant(name, each.answer)
        except InputError as error:
            raise WorkbookError(f"{self._cell(each.row, 'D')}: {line(error.finding, system('US'))}") from None
        return each.answer


def settings_of(given: Answers | None, stated: Mapping[str, Any], name: str) -> dict[str, Any]:
    """What holds for rows that do not say otherwise: wrenches together, and the date as a day number.

    `stated` are those given elsewhere. Raises WorkbookError where both state one and differ.
    """
    whole = given.whole if given else {}
    found: dict[str, Any] = {}
    if "at_once" in whole:
        found["at_once"] = int(float(whole["at_once"]))
    if "date" in whole:
        found["date"] = read_day(str(whole["date"]), "date")
    for key, value in stated.items():
        if found.setdefault(key, value) != value:
            raise WorkbookError(
                f"{name}: {shown_name(key)} of the whole list differs from the one given; leave one out"
            )
    return found


# --- reading ---------------------------------------------------------------------------------------------------------


def read_answers(path: Path) -> AnswerSheet:
    """Read a sheet of answers behind the gate. Raises WorkbookError for a workbook that holds none."""
    import openpyxl

    path = Path(path)
    package = open_package(path)
    try:
        book = openpyxl.load_workbook(path, data_only=True)
    except READER_FAULTS as error:
        raise WorkbookError(f"{path.name}: cannot be read as a workbook ({type(error).__name__})") from error
    name = next((each for each in reversed(book.sheetnames) if each.casefold() == SHEET.casefold()), None)
    if name is None or plain_text(book[name]["H1"].value) != ANSWERS_MARK:
        raise WorkbookError(f"{path.name}: {NO_SHEET}; `tautsheet columns LIST --out ANSWERS.xlsx` writes one")
    rows = [[cell.value for cell in row[:9]] for row in book[name].iter_rows(max_col=9)]
    tags = frozenset(
        plain_text(row[0].value).casefold()
        for row in (book[TAGS].iter_rows(max_col=1) if TAGS in book.sheetnames else ())
        if not is_blank(row[0].value)
    )
    return replace(_parsed(path.name, rows, tags), sha256=package.sha256, path=path)


def answers_in(path: Path) -> AnswerSheet | None:
    """The sheet of answers among the sheets of a list's workbook, None where there is none."""
    if not any(each.name.casefold() == SHEET.casefold() for each in open_package(Path(path)).sheets):
        return None
    try:
        return read_answers(path)
    except WorkbookError as error:
        if NO_SHEET in str(error):
            return None
        raise


def kept_answers(file: str, kept: Mapping[str, Any], tags: Iterable[str]) -> AnswerSheet | None:
    """The answers that an older plan was made with, for a new list; None where that plan kept none.

    `file` names the plan, `tags` are its joints.
    """
    if not kept or "columns" not in kept:
        return None
    columns = tuple(Line((row[0],), row[1], row[2], row[3], 0) for row in kept["columns"])
    values = tuple(Line((row[0], row[1]), row[2], row[3], row[4], 0) for row in kept["values"])
    facts = tuple(Line((row[0],), row[1], row[2], row[3], 0) for row in kept["facts"])
    known = frozenset(tag.casefold() for tag in tags)
    return AnswerSheet(file, "", str(kept.get("sheet", "")), "", columns, facts, values, (), known)


def same_answers(one: Path, other: Path) -> bool:
    """Whether two sheets of answers hold the same, but for the signature: a new one has none yet."""
    return _cells(one) == _cells(other)


def _cells(path: Path) -> dict[tuple[str, str], str]:
    import openpyxl

    book = openpyxl.load_workbook(path, data_only=True)
    return {
        (sheet.title, cell.coordinate): plain_text(cell.value)
        for sheet in book.worksheets
        for row in sheet.iter_rows()
        for cell in row
        if not is_blank(cell.value) and (sheet.title, cell.coordinate) not in ((SHEET, "B3"), (SHEET, "D3"))
    }


def _parsed(file: str, rows: Sequence[Sequence[Cell]], tags: frozenset[str]) -> AnswerSheet:
    blocks: dict[str, list[Line]] = {head[0]: [] for head in (COLUMNS, WHOLE, VALUES, WAITING)}
    heads = {head[:6] for head in (COLUMNS, WHOLE, VALUES, WAITING, LEFT_OUT, SPELLED)}
    block, signed, list_name, sheet = "", "", "", ""
    half = ("", "")
    for number, row in enumerate(rows, start=1):
        first = plain_text(row[0])
        key = first.casefold()
        if tuple(plain_text(cell) for cell in row[:6]) in heads:
            block = key
            continue
        if number <= _HEAD_ROWS and key == SIGNED_BY:
            signed = _signature(file, number, row)
            half = ("", "") if signed else (plain_text(row[1]), _typed(row[3]))
        elif number <= _HEAD_ROWS and key == "list":
            list_name, sheet = plain_text(row[1]), plain_text(row[3])
        elif block in blocks and first:
            for at, cell in enumerate(row[:8]):
                if error := error_text(cell):
                    raise WorkbookError(f"{file}, {SHEET}!{address(number, at + 1)}: holds the error {error}")
            blocks[block].append(_line_of(block, number, row))
    columns, whole, values, waiting = (tuple(blocks[head[0]]) for head in (COLUMNS, WHOLE, VALUES, WAITING))
    return AnswerSheet(file, list_name, sheet, signed, _numbered(columns), whole, values, waiting, tags, half=half)


def _numbered(lines: Sequence[Line]) -> tuple[Line, ...]:
    """A heading that stands several times is told apart by its number."""
    seen: dict[str, int] = {}
    out = []
    for each in lines:
        key = heading_key(each.about[0])
        seen[key] = seen.get(key, 0) + 1
        out.append(replace(each, about=(nth_key(key, seen[key]),)))
    return tuple(out)


def _line_of(block: str, number: int, row: Sequence[Cell]) -> Line:
    about = {
        COLUMNS[0]: (plain_text(row[1]),),
        WHOLE[0]: (plain_text(row[0]),),
        VALUES[0]: (plain_text(row[0]), plain_text(row[1])),
        WAITING[0]: (plain_text(row[1]), plain_text(row[2]), plain_text(row[5])),
    }[block]
    answer = "" if stands_for_nothing(row[3]) and block != COLUMNS[0] else _typed(row[3])
    unit = plain_text(row[4]) if block == COLUMNS[0] else ""
    confirmed, written = plain_text(row[7]), plain_text(row[8])
    kept = confirmed if _SIGNATURE.fullmatch(confirmed) and written == as_confirmed(answer, unit) else ""
    named = "" if kept else confirmed.removesuffix(NOT_SIGNED)
    return Line(about, answer, unit, kept, number, named, bool(written) and written != as_written(answer, unit))


def _typed(cell: Cell) -> str:
    if isinstance(cell, datetime.datetime):
        cell = cell.date()
    return plain_text(cell)


def as_confirmed(answer: str, unit: str) -> str:
    """An answer as it stood when somebody confirmed it."""
    return f"{answer} {unit}".strip()


NOTHING = "(blank)"
"""How a blank answer is remembered."""


def as_written(answer: str, unit: str) -> str:
    """An answer as the program wrote it, or as somebody confirmed it: what stands there later is held against it."""
    return as_confirmed(answer, unit) or NOTHING


def _signature(file: str, number: int, row: Sequence[Cell]) -> str:
    """Who looked at the sheet, with the date; "" where either is missing."""
    name, day = plain_text(row[1]), row[3]
    if not name or is_blank(day):
        return ""
    where = f"{file}, {SHEET}!D{number}"
    try:
        signed = datetime.date.fromordinal(int(read_day(day, "date")))
    except InputError as error:
        two = error.finding.code == "date_ambiguous"
        text = "may be two days" if two else "is no date"
        raise WorkbookError(f"{where}: '{_typed(day)[:30]}' {text}; type it like 2026-03-14 or 14 Mar 2026") from None
    if signed > datetime.date.today() + datetime.timedelta(days=1):  # a day for other time zones
        raise WorkbookError(f"{where}: {signed.isoformat()} lies ahead; type the date on which somebody looked at it")
    return f"{name}, {signed.isoformat()}"
