"""The sheet of answers: what was understood of a list, on one sheet that a planner looks at, corrects and signs.

A line a column of the list, then what holds for the whole list, values and their meanings, rows that wait, rows left
out, and one joint spelled out. What needs a look is yellow and has a list of choices, the likeliest already filled in;
it counts once somebody has signed the sheet. A line that was signed once keeps its signature as long as nobody changes
it. `read_answers` gives back what is signed; headings are known by their text, wherever their columns stand.
"""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from addin.cells.dates import read_day
from addin.cells.numbers import Cell, error_text, is_blank, plain_text, stands_for_nothing
from addin.cells.words import line
from addin.reading.answered import unit_kind
from addin.reading.fields import BY_NAME
from addin.reading.joint_rows import read_constant
from addin.reading.understood import (
    ASKED,
    CHECKED,
    NONE,
    PROPOSED,
    Answers,
    ColumnAnswer,
    ColumnReading,
    UnderstoodList,
    first_key,
    heading_key,
    nth_key,
    shown_name,
)
from addin.workbooks.addresses import address, letters
from addin.workbooks.package import WorkbookError, open_package
from addin.workbooks.shared_texts import READER_FAULTS
from calc.findings import InputError
from calc.units import known, symbol, system

SHEET = "Answers"
NOT_USED_WORD = "not used"
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
_SIGNED_BY, _SIGNED_ON = "looked at by", "date"
_HEAD_ROWS = 3
_FREE_LINES = 3
_MOST_TAGS = 2000
_TAGS = "Joints known"
_CHOICES = "Choices"
_VERSION = "sheet of answers 1"


@dataclass(frozen=True)
class Line:
    """One answer: what it is about, the answer and its unit as they stand, who confirmed it, and where it stands."""

    about: tuple[str, ...]
    answer: str
    unit: str
    by: str
    row: int


@dataclass(frozen=True, eq=False)
class AnswerSheet:
    """A sheet of answers as read: its lines by block, its signature, and the tags of the list that it was made for."""

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

    @property
    def unsigned(self) -> bool:
        """Whether lines stand in it that nobody has signed."""
        blocks = (*self.columns, *self.whole, *self.values, *self.waiting)
        return not self.by and any(not each.by and each.answer for each in blocks)

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
        return 2 * len(self.tags & texts) >= len(self.tags)

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
        standard = False
        for each in self.whole:
            if not self._signed(each) or not each.answer:
                continue
            if each.about[0] == STANDARD_STUDS:
                standard = self._yes(each)
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
        """What a plan carries of the answers."""
        given = self.answers()
        whole = {shown_name(name): value for name, value in given.whole.items()}
        return {"file": self.file, "sha256": self.sha256, "by": given.by, "whole_list": whole,
                "standard_flange_studs": given.standard_flange_studs}  # fmt: skip

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

    def _field(self, text: str, row: int, column: str) -> str:
        wanted = heading_key(text)
        found = next((name for name in BY_NAME if shown_name(name) == wanted), None)
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
    if name is None or plain_text(book[name]["H1"].value) != _VERSION:
        raise WorkbookError(
            f"{path.name}: holds no sheet of answers; `tautsheet columns LIST --out ANSWERS.xlsx` writes one"
        )
    rows = [[cell.value for cell in row[:9]] for row in book[name].iter_rows(max_col=9)]
    tags = frozenset(
        plain_text(row[0].value).casefold()
        for row in (book[_TAGS].iter_rows(max_col=1) if _TAGS in book.sheetnames else ())
        if not is_blank(row[0].value)
    )
    return replace(_parsed(path.name, rows, tags), sha256=package.sha256)


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
    block, signed, list_name, sheet = "", "", "", ""
    for number, row in enumerate(rows, start=1):
        first = plain_text(row[0])
        key = first.casefold()
        if key in (*blocks, LEFT_OUT[0], SPELLED[0]) and plain_text(row[5]).casefold() != "":
            block = key
            continue
        if key in (LEFT_OUT[0], SPELLED[0]):
            block = key
            continue
        if number <= _HEAD_ROWS and key == _SIGNED_BY:
            signed = _signature(file, number, row)
        elif number <= _HEAD_ROWS and key == "list":
            list_name, sheet = plain_text(row[1]), plain_text(row[3])
        elif block in blocks and first:
            for at, cell in enumerate(row[:8]):
                if error := error_text(cell):
                    raise WorkbookError(f"{file}, {SHEET}!{address(number, at + 1)}: holds the error {error}")
            blocks[block].append(_line_of(block, number, row))
    columns, whole, values, waiting = (tuple(blocks[head[0]]) for head in (COLUMNS, WHOLE, VALUES, WAITING))
    return AnswerSheet(file, list_name, sheet, signed, _numbered(columns), whole, values, waiting, tags)


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
    confirmed = plain_text(row[7])
    kept = confirmed if confirmed and plain_text(row[8]) == _as_confirmed(answer, unit) else ""
    return Line(about, answer, unit, kept, number)


def _typed(cell: Cell) -> str:
    if isinstance(cell, datetime.datetime):
        cell = cell.date()
    return plain_text(cell)


def _as_confirmed(answer: str, unit: str) -> str:
    return f"{answer} {unit}".strip()


def _signature(file: str, number: int, row: Sequence[Cell]) -> str:
    """Who looked at the sheet, with the date; "" where either is missing."""
    name, day = plain_text(row[1]), row[3]
    if not name or is_blank(day):
        return ""
    where = f"{file}, {SHEET}!D{number}"
    if isinstance(day, datetime.datetime):
        signed = day.date()
    elif isinstance(day, datetime.date):
        signed = day
    else:
        try:
            signed = datetime.date.fromisoformat(plain_text(day))
        except ValueError:
            raise WorkbookError(f"{where}: '{plain_text(day)[:30]}' is no date; type it like 2026-03-14") from None
    if signed > datetime.date.today() + datetime.timedelta(days=1):  # a day for other time zones
        raise WorkbookError(f"{where}: {signed.isoformat()} lies ahead; type the date on which somebody looked at it")
    return f"{name}, {signed.isoformat()}"


# --- writing ---------------------------------------------------------------------------------------------------------

_YELLOW, _GREY, _HEAD = "FFF2B3", "F2F2F2", "D9E1E8"
_WIDTHS = (16, 34, 34, 30, 12, 60, 18, 26)


def write_answers(
    path: Path,
    read: UnderstoodList,
    list_name: str,
    *,
    before: AnswerSheet | None = None,
    tags: Sequence[str] = (),
    spelled: Sequence[str] = (),
) -> int:
    """Write the sheet of answers of a list to a new file; `before` keeps what stands in an earlier one.

    `tags` are the joints of the list, `spelled` lines that show one joint as it would be planned. Returns the number of
    lines that need a look.
    """
    import openpyxl

    book = openpyxl.Workbook()
    page = _Page(book, before)
    page.title(read, list_name)
    page.block(COLUMNS)
    for reading in read.columns:
        page.column(reading)
    page.whole_list(read)
    if read.meanings:
        page.block(VALUES)
        for meaning in read.meanings:
            page.value(meaning)
    if read.waiting:
        page.block(WAITING)
        for wait in read.waiting:
            page.waiting(wait)
    if read.left_out:
        page.block(LEFT_OUT)
        for left in read.left_out:
            rows = ", ".join(str(number) for number in left.rows[:20]) + (" ..." if len(left.rows) > 20 else "")
            page.plain((left.kind.replace("_", " "), left.text, "", "", "", left.why, rows))
    if spelled:
        page.block(SPELLED)
        for text in spelled:
            page.words(text)
    page.finish(tags)
    book.save(path)
    return page.open


class _Page:
    """The sheet while it is written, row by row."""

    def __init__(self, book: Any, before: AnswerSheet | None) -> None:
        from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

        self.sheet = book.active
        self.sheet.title = SHEET
        self.choices = book.create_sheet(_CHOICES)
        self.tags = book.create_sheet(_TAGS)
        self.row, self.open, self._lists = 0, 0, {}  # type: ignore[var-annotated]
        self.before = before
        blocks = (before.columns, before.whole, before.values, before.waiting) if before else ()
        self._kept: dict[tuple[str, ...], Line] = {
            tuple(map(heading_key, each.about)): each for b in blocks for each in b
        }
        self._by = before.by if before else ""
        self._seen: dict[str, int] = {}
        thin = Side(style="thin", color="BFBFBF")
        self._border = Border(left=thin, right=thin, top=thin, bottom=thin)
        self._wrap = Alignment(wrap_text=True, vertical="top")
        self._bold, self._plain = Font(bold=True), Font()
        self._fills = {name: PatternFill("solid", fgColor=name) for name in (_YELLOW, _GREY, _HEAD)}
        self._title = Font(bold=True, size=14)

    def title(self, read: UnderstoodList, list_name: str) -> None:
        """Head of the sheet: which list, how to answer, where to sign."""
        ws = self.sheet
        ws["A1"] = "What was understood of the list: please look at the yellow lines, then sign"
        ws["A1"].font = self._title
        ws["H1"] = _VERSION
        ws["A2"] = "list"
        self._text(2, 2, list_name)
        ws["C2"] = "sheet"
        self._text(2, 4, read.sheet)
        ws["A3"] = _SIGNED_BY
        ws["C3"] = _SIGNED_ON
        for cell in ("B3", "D3"):
            ws[cell].fill, ws[cell].border = self._fills[_YELLOW], self._border
        ws["F3"] = (
            "A filled-in answer counts once name and date stand here. To change one, choose another from the list in "
            "the cell. Lines without yellow are used as they stand; they may be changed too."
        )
        ws["F3"].alignment = self._wrap
        for cell in ("A2", "C2", "A3", "C3"):
            ws[cell].font = self._bold
        ws.row_dimensions[3].height = 45
        self.row = 4

    def block(self, head: tuple[str, ...]) -> None:
        """A heading of a block, after a blank row."""
        self.row += 2 if self.row > 4 else 1
        for at, text in enumerate(head, start=1):
            cell = self.sheet.cell(self.row, at, text or None)
            cell.font, cell.fill, cell.border, cell.alignment = self._bold, self._fills[_HEAD], self._border, self._wrap

    def _text(self, row: int, column: int, text: str) -> None:
        cell = self.sheet.cell(row, column, text or None)
        if text:
            cell.data_type = "s"  # never a formula

    def plain(self, values: Sequence[str]) -> None:
        """A line of texts."""
        self.row += 1
        for at, text in enumerate(values, start=1):
            self._text(self.row, at, text)
            self.sheet.cell(self.row, at).alignment = self._wrap
            self.sheet.cell(self.row, at).border = self._border

    def words(self, text: str) -> None:
        """A line over the whole width."""
        self.row += 1
        self._text(self.row, 1, text)
        self.sheet.merge_cells(start_row=self.row, start_column=1, end_row=self.row, end_column=8)
        self.sheet.cell(self.row, 1).alignment = self._wrap
        self.sheet.row_dimensions[self.row].height = 32

    def _answer(
        self, values: Sequence[str], about: tuple[str, ...], choices: Sequence[str], units: Sequence[str], needs: bool
    ) -> None:
        """A line with an answer in D and its unit in E; an earlier answer stays, with who confirmed it."""
        values = list(values)
        kept = self._kept.get(tuple(map(heading_key, about)))
        by = ""
        if kept is not None and (kept.answer or kept.by):
            values[3], values[4] = kept.answer, kept.unit
            by = kept.by or (self._by if self._by else "")
        self.plain([*values[:7], by])
        if by:
            self._text(self.row, 9, _as_confirmed(values[3], values[4]))
            self._text(self.row, 7, "confirmed")
        elif needs:
            self.open += 1
            for at in (4, 5, 7):
                self.sheet.cell(self.row, at).fill = self._fills[_YELLOW]
        self._choose(4, choices)
        self._choose(5, units)

    def _choose(self, column: int, choices: Sequence[str]) -> None:
        from openpyxl.worksheet.datavalidation import DataValidation

        key = tuple(choices)
        if not key:
            return
        if key not in self._lists:
            at = len(self._lists) + 1
            for number, text in enumerate(key, start=1):
                self.choices.cell(number, at, text)
            where = f"{_CHOICES}!${letters(at)}$1:${letters(at)}${len(key)}"
            rule = DataValidation("list", formula1=where, allow_blank=True, showErrorMessage=False)
            self.sheet.add_data_validation(rule)
            self._lists[key] = rule
        self._lists[key].add(f"{letters(column)}{self.row}")

    def column(self, reading: ColumnReading) -> None:
        """One column of the list."""
        taken = shown_name(reading.field) if reading.field else NOT_USED_WORD
        if reading.state == ASKED and not reading.unit_open and len(reading.candidates) != 1:
            taken = ""  # nothing is likelier than the rest: somebody has to say
        key = heading_key(reading.heading)
        self._seen[key] = self._seen.get(key, 0) + 1
        if reading.state == CHECKED and reading.field:
            taken = f"{CHECK_WORDS}{taken}"
        needs = reading.state in (PROPOSED, ASKED)
        first = [shown_name(name) for name in reading.candidates]
        kind = unit_kind(reading.field) if reading.field else ""
        units = list(known(kind)) if kind and kind != "percent" else []
        unit = reading.unit or ""
        values = "; ".join(plain_text(value)[:24] for value in reading.values[:3])
        answer = [letters(reading.at + 1), reading.heading, values, taken, unit, reading.why, reading.state]
        self._answer(answer, (nth_key(key, self._seen[key]),), _choices(first), units, needs)

    def whole_list(self, read: UnderstoodList) -> None:
        """What holds for every row that does not say otherwise."""
        self.block(WHOLE)
        facts = {fact.field: fact for fact in read.whole}
        in_columns = {each.field for each in read.columns if each.used}
        names = [*dict.fromkeys((*ASKED_OF_ALL, *facts))]
        for name in names:
            fact = facts.get(name)
            if fact is None and name in in_columns:
                continue
            value = fact.value if fact else ""
            why = fact.why if fact else "only if it is the same in every row that does not say otherwise"
            needs = fact is not None and fact.state in (PROPOSED, ASKED)
            choices = (fact.candidates if fact else ()) or _FACT_CHOICES.get(name, ())
            values = [shown_name(name), "", "", value, "", why, fact.state if fact else ""]
            self._answer(values, (shown_name(name),), choices, (), needs)
        fields = [shown_name(name) for name in BY_NAME if name not in ("joint", *names)]
        for each in (*self._more(names), *[None] * _FREE_LINES):
            values = [each.about[0] if each else "", "", "", "", "", "choose what else holds for every row", ""]
            self._answer(values, (values[0],), (), (), needs=False)
            self._choose(1, fields)
        why = "write yes where rows without studs have those of the ASME B16.5 flange of their size and class"
        self._answer([STANDARD_STUDS, "", "", "", "", why, ""], (STANDARD_STUDS,), ("yes", "no"), (), needs=False)

    def _more(self, names: Sequence[str]) -> list[Line]:
        """Facts that somebody has added to those that are asked for."""
        offered = {*map(shown_name, names), STANDARD_STUDS}
        lines = self.before.whole if self.before else ()
        return [each for each in lines if each.answer and heading_key(each.about[0]) not in offered]

    def value(self, meaning: Any) -> None:
        """A value of the list that needs a meaning."""
        needs = meaning.state in (PROPOSED, ASKED)
        about = (shown_name(meaning.field), meaning.text)
        values = [about[0], meaning.text, str(meaning.count), meaning.meaning, "", meaning.why, meaning.state]
        self._answer(values, about, meaning.candidates, (), needs)

    def waiting(self, wait: Any) -> None:
        """A joint that waits until somebody frees it."""
        about = (wait.joint, wait.operation, wait.words)
        values = ["waits", wait.joint, wait.operation, "", "", wait.words, str(wait.row)]
        self._answer(values, about, ("yes", "no"), (), needs=False)

    def finish(self, tags: Sequence[str]) -> None:
        """Widths, print set-up, the hidden sheets."""
        ws = self.sheet
        for at, width in enumerate(_WIDTHS, start=1):
            ws.column_dimensions[letters(at)].width = width
        ws.column_dimensions["I"].hidden = True
        ws.page_setup.orientation, ws.page_setup.paperSize = "landscape", 9
        ws.page_setup.fitToWidth, ws.page_setup.fitToHeight = 1, 0
        ws.sheet_properties.pageSetUpPr.fitToPage = True
        ws.print_area = f"A1:H{self.row}"
        ws.freeze_panes = "A4"
        ws.oddFooter.center.text = "Page &P of &N"
        for number, tag in enumerate(dict.fromkeys(tags[:_MOST_TAGS]), start=1):
            self.tags.cell(number, 1, tag).data_type = "s"
        self.choices.sheet_state = self.tags.sheet_state = "hidden"


_FACT_CHOICES: Mapping[str, tuple[str, ...]] = {
    "operation": ("final make-up", "test make-up", "break", "retighten"),
    "method": ("hydraulic", "hand", "other"),
    "area": ("tensile", "root B1.1", "root ISO"),
    "at_once": ("1", "2", "4"),
}


def _choices(first: Sequence[str]) -> tuple[str, ...]:
    """What a column may be taken as: the candidates first, then not used, checked against, then every field."""
    checks = [f"{CHECK_WORDS}{shown_name(name)}" for name in TARGETS]
    rest = [shown_name(name) for name in BY_NAME if shown_name(name) not in first]
    return tuple(dict.fromkeys([*first, NOT_USED_WORD, *checks, *rest]))
