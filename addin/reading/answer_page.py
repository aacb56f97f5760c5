"""Writes the sheet of answers: a line a column, the whole list, values, rows that wait or are left out, one joint."""

import math
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path
from typing import Any

from addin.cells.numbers import plain_text
from addin.reading.answer_sheet import (
    ASKED_OF_ALL,
    CHECK_WORDS,
    CHOICES,
    COLUMNS,
    FREE_LINES,
    LEFT_OUT,
    MOST_TAGS,
    NOT_SIGNED,
    NOT_USED_WORD,
    PITCH_WORD,
    SHEET,
    SIGNED_BY,
    SIGNED_ON,
    SPELLED,
    STANDARD_STUDS,
    TAGS,
    TARGETS,
    VALUES,
    WAITING,
    WHOLE,
    AnswerSheet,
    Line,
    as_written,
)
from addin.reading.answered import unit_kind
from addin.reading.fields import BY_NAME
from addin.reading.flange_rows import NO_STANDARD, STANDARDS
from addin.reading.own_columns import ANSWERS_MARK
from addin.reading.understood import (
    ASKED,
    CHECKED,
    LIST_SHEET,
    NONE,
    PITCH,
    PROPOSED,
    ColumnReading,
    UnderstoodList,
    heading_key,
    nth_key,
    shown_name,
)
from addin.workbooks.addresses import letters
from calc.units import known

_YELLOW, _GREY, _HEAD = "FFF2B3", "F2F2F2", "D9E1E8"
_WIDTHS = (15, 24, 24, 25, 9, 52, 12, 19)
_LINE, _LEAST = 14.5, 15.0
"""Height of a line of text, and of the lowest row. [points]"""


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
    book, left_open = answer_book(read, list_name, before=before, tags=tags, spelled=spelled)
    book.save(path)
    return left_open


def answer_book(
    read: UnderstoodList, list_name: str, *, before: AnswerSheet | None = None, tags: Sequence[str] = (),
    spelled: Sequence[str] = (),
) -> tuple[Any, int]:  # fmt: skip
    """The sheet of answers as a workbook of openpyxl, and the number of its lines that need a look."""
    import openpyxl

    book = openpyxl.Workbook()
    page = _Page(book, before)
    page.title(read, list_name)
    page.block(COLUMNS)
    for reading in read.columns:
        page.column(reading)
    page.whole_list(read)
    told = {(shown_name(each.field), heading_key(each.text)) for each in read.meanings}
    kept = _kept(before.values if before else (), told)
    if read.meanings or kept:
        page.block(VALUES)
        for meaning in read.meanings:
            page.value(meaning)
        for line in kept:
            page.kept(line, [*line.about, "", line.answer, "", "as answered", ""])
    waiting = {tuple(map(heading_key, (each.joint, each.operation, each.words))) for each in read.waiting}
    freed = _kept(before.waiting if before else (), waiting)
    if read.waiting or freed:
        page.block(WAITING)
        for wait in read.waiting:
            page.waiting(wait)
        for line in freed:
            page.kept(line, ["waits", *line.about[:2], line.answer, "", line.about[2], ""])
    if read.left_out:
        page.block(LEFT_OUT)
        for left in read.left_out:
            rows = ", ".join(str(number) for number in left.rows[:20]) + (" ..." if len(left.rows) > 20 else "")
            why = _LEFT.get(left.kind, left.why)
            page.plain((left.kind.replace("_", " "), left.text, "", "", "", why, rows))
    if spelled:
        page.block(SPELLED)
        for text in spelled:
            page.words(text)
    page.finish(tags)
    return book, page.open


_LEFT = {
    "notes_below": "taken as notes, not as joints", "total_row": "a total", "headings_repeated": "the headings again",
    "group_row": "a heading of the joints below it", "numbering_row": "numbers of the columns",
    "row_without_tag": "names no joint, thread or target", "code_table": "a table of codes",
}  # fmt: skip


def _kept(lines: Sequence[Line], told: Collection[tuple[str, ...]]) -> list[Line]:
    """Answers about what needs no look any more: they stay, so that it does not come back."""
    return [each for each in lines if each.answer and tuple(map(heading_key, each.about)) not in told]


class _Page:
    """The sheet while it is written, row by row."""

    def __init__(self, book: Any, before: AnswerSheet | None) -> None:
        from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

        self.sheet = book.active
        self.sheet.title = SHEET
        self.choices = book.create_sheet(CHOICES)
        self.tags = book.create_sheet(TAGS)
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
        self._bold, self._grey = Font(name="Calibri", bold=True), Font(name="Calibri", color="7F7F7F")
        self._fills = {name: PatternFill("solid", fgColor=name) for name in (_YELLOW, _GREY, _HEAD)}
        self._title = Font(name="Calibri", bold=True, size=14)

    def title(self, read: UnderstoodList, list_name: str) -> None:
        """Head of the sheet: which list, how to answer, where to sign."""
        ws = self.sheet
        ws["A1"] = "What was understood of the list"  # with what is to be done, once that is counted
        ws["A1"].font = self._title
        ws["H1"] = ANSWERS_MARK
        ws["A2"] = "list"
        self._text(2, 2, list_name)
        ws["C2"] = "sheet"
        self._text(2, 4, read.sheet)
        ws["A3"] = SIGNED_BY
        ws["C3"] = SIGNED_ON
        for at, text in zip((2, 4), self.before.half if self.before else ("", ""), strict=True):
            self._text(3, at, text)  # half a signature stays for whoever completes it
        for cell in ("B3", "D3"):
            ws[cell].fill, ws[cell].border = self._fills[_YELLOW], self._border
        ws["E3"] = (
            "1. Fill in or look at the yellow cells below; each has a list to choose from. 2. Type your name and the date "
            "here: only then answers count. 3. Save, close, plan again. Lines without yellow are used as they stand; what "
            "is changed later is signed anew."
        )
        ws.merge_cells("E3:H3")
        ws["E3"].alignment = self._wrap
        for cell in ("A2", "C2", "A3", "C3"):
            ws[cell].font = self._bold
        for cell in ("A3", "B3", "C3", "D3"):
            ws[cell].alignment = self._wrap
        ws.row_dimensions[3].height = 3 * _LINE
        self.row = 4

    def block(self, head: tuple[str, ...]) -> None:
        """A heading of a block, after a blank row."""
        self.row += 2 if self.row > 4 else 1
        for at, text in enumerate(head, start=1):
            cell = self.sheet.cell(self.row, at, text or None)
            cell.font, cell.fill, cell.border, cell.alignment = self._bold, self._fills[_HEAD], self._border, self._wrap
        if not any(head[1:]):
            self.sheet.merge_cells(start_row=self.row, start_column=1, end_row=self.row, end_column=8)
        else:
            self._high(head)

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
        self._high(values)

    def _high(self, values: Sequence[str]) -> None:
        """Make the row as high as its longest text needs: programs that open it do not."""
        lines = max((_lines(text, width) for text, width in zip(values, _WIDTHS, strict=False) if text), default=1)
        self.sheet.row_dimensions[self.row].height = max(_LEAST, lines * _LINE)

    def words(self, text: str) -> None:
        """A line over the whole width."""
        self.row += 1
        self._text(self.row, 1, text)
        self.sheet.merge_cells(start_row=self.row, start_column=1, end_row=self.row, end_column=8)
        self.sheet.cell(self.row, 1).alignment = self._wrap
        self.sheet.row_dimensions[self.row].height = max(_LEAST, _lines(text, sum(_WIDTHS)) * _LINE)

    def _answer(
        self, values: Sequence[str], about: tuple[str, ...], choices: Sequence[str], units: Sequence[str], needs: bool,
        unit_open: bool = False,
    ) -> None:  # fmt: skip
        """A line with an answer in D and its unit in E; an earlier answer stays, with who confirmed it."""
        values = list(values)
        written = as_written(values[3], values[4])
        kept = self._kept.get(tuple(map(heading_key, about)))
        by = named = ""
        if kept is not None and (kept.answer or kept.by or kept.typed):
            values[3], values[4] = kept.answer, kept.unit
            by = kept.by or (self._by if self._by and kept.answer else "")
            written = as_written(values[3], values[4]) if by else written
            needs |= kept.typed  # somebody wrote it, and nobody has signed it
        if kept is not None and kept.named and not by:
            named = f"{kept.named}{NOT_SIGNED}"
        self.plain([*values[:7], by or named])
        self._text(self.row, 9, written)
        if by:
            self._text(self.row, 7, "confirmed")
        elif needs:
            self.open += 1
            self.sheet.cell(self.row, 5 if unit_open else 4).fill = self._fills[_YELLOW]
        if by or not needs:
            for at in (6, 7):
                self.sheet.cell(self.row, at).font = self._grey
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
            where = f"'{CHOICES}'!${letters(at)}$1:${letters(at)}${len(key)}"
            rule = DataValidation("list", formula1=where, allow_blank=True, showErrorMessage=False)
            self.sheet.add_data_validation(rule)
            self._lists[key] = rule
        self._lists[key].add(f"{letters(column)}{self.row}")

    def column(self, reading: ColumnReading) -> None:
        """One column of the list."""
        taken = _taken(reading.field)
        if reading.state == ASKED and not reading.unit_open and len(reading.candidates) != 1:
            taken = ""  # nothing is likelier than the rest: somebody has to say
        key = heading_key(reading.heading)
        self._seen[key] = self._seen.get(key, 0) + 1
        if reading.state == CHECKED and reading.field:
            taken = f"{CHECK_WORDS}{taken}"
        needs = reading.state in (PROPOSED, ASKED) and not reading.area_open  # its area is asked for the whole list
        first = [NOT_USED_WORD if name == NONE else shown_name(name) for name in reading.candidates]
        kind = unit_kind(reading.field) if reading.field else ""
        units = list(known(kind)) if kind and kind != "percent" else []
        unit = reading.unit or ""
        values = "; ".join(plain_text(value)[:24] for value in reading.values[:3])
        answer = [letters(reading.at + 1), reading.heading, values, taken, unit, reading.why, reading.state]
        open_unit = reading.unit_open and reading.state == ASKED
        self._answer(answer, (nth_key(key, self._seen[key]),), _choices(first), units, needs, open_unit)

    def whole_list(self, read: UnderstoodList) -> None:
        """What holds for every row that does not say otherwise."""
        self.block(WHOLE)
        facts = {fact.field: fact for fact in read.whole}
        standard = facts.pop(STANDARD_STUDS, None)
        in_columns = {each.field for each in read.columns if each.used}
        first = (LIST_SHEET,) if LIST_SHEET in facts else ()
        names = [*dict.fromkeys((*first, *ASKED_OF_ALL, *facts))]
        for name in names:
            fact = facts.get(name)
            if fact is None and name in in_columns:
                continue
            value = fact.value if fact else ""
            why = fact.why if fact else "only if it is the same in every row that does not say otherwise"
            needs = fact is not None and fact.state in (PROPOSED, ASKED)
            choices = (fact.candidates if fact else ()) or _FACT_CHOICES.get(name, ())
            shown = PITCH_WORD if name == PITCH else shown_name(name)
            values = [shown, "", "", value, "", why, fact.state if fact else ""]
            self._answer(values, (shown,), choices, (), needs)
        fields = [shown_name(name) for name in BY_NAME if name not in ("joint", *names)]
        for each in (*self._more(names), *[None] * FREE_LINES):
            values = [each.about[0] if each else "", "", "", "", "", "choose what else holds for every row", ""]
            self._answer(values, (values[0],), (), (), needs=False)
            self._choose(1, fields)
        if standard or {"size", "rating"} <= in_columns:
            why = standard.why if standard else "name the standard where rows without studs have those of its flanges"
            values = [STANDARD_STUDS, "", "", "", "", why, standard.state if standard else ""]
            self._answer(values, (STANDARD_STUDS,), (*STANDARDS, NO_STANDARD), (), needs=standard is not None)

    def _more(self, names: Sequence[str]) -> list[Line]:
        """Facts that somebody has added to those that are asked for."""
        offered = {*(PITCH_WORD if name == PITCH else shown_name(name) for name in names), STANDARD_STUDS}
        lines = self.before.whole if self.before else ()
        return [each for each in lines if each.answer and heading_key(each.about[0]) not in offered]

    def value(self, meaning: Any) -> None:
        """A value of the list that needs a meaning."""
        needs = meaning.state in (PROPOSED, ASKED)
        about = (shown_name(meaning.field), meaning.text)
        values = [about[0], meaning.text, str(meaning.count), meaning.meaning, "", meaning.why, meaning.state]
        self._answer(values, about, meaning.candidates, (), needs)

    def kept(self, line: Line, values: Sequence[str]) -> None:
        """An answer that needs no look any more, and stays."""
        self._answer(values, line.about, (), (), needs=False)

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
        todo = f"{self.open} yellow cell{'s' * (self.open != 1)} to fill in or to look at, then sign" if self.open else (
            "nothing is open" if self._by or self.before else "nothing is open; sign to confirm it"
        )  # fmt: skip
        ws["A1"] = f"What was understood of the list: {todo}"
        margins = ws.page_margins
        margins.left = margins.right = 0.4
        margins.top, margins.bottom, margins.footer = 0.5, 0.8, 0.3
        ws.page_setup.orientation, ws.page_setup.paperSize = "landscape", 9
        ws.page_setup.fitToWidth, ws.page_setup.fitToHeight = 1, 0
        ws.sheet_properties.pageSetUpPr.fitToPage = True
        ws.print_area = f"A1:H{self.row}"
        ws.freeze_panes = "A4"
        ws.oddFooter.center.text = "Page &P of &N"
        for number, tag in enumerate(dict.fromkeys(tags[:MOST_TAGS]), start=1):
            self.tags.cell(number, 1, tag).data_type = "s"
        self.choices.sheet_state = self.tags.sheet_state = "hidden"


_FACT_CHOICES: Mapping[str, tuple[str, ...]] = {
    "operation": ("final make-up", "test make-up", "break", "retighten"),
    "method": ("hydraulic", "hand", "other"),
    "area": ("tensile", "root B1.1", "root ISO"),
    "at_once": ("1", "2", "4"),
}


def _lines(text: str, width: float) -> int:
    """Lines that a text takes in a column of a width, words kept whole."""
    return sum(max(1, math.ceil(0.9 * len(part) / width)) for part in text.split("\n"))


def _taken(field: str | None) -> str:
    return NOT_USED_WORD if field is None else PITCH_WORD if field == PITCH else shown_name(field)


def _choices(first: Sequence[str]) -> tuple[str, ...]:
    """What a column may be taken as: the candidates first, then not used, checked against, then every field."""
    checks = [f"{CHECK_WORDS}{shown_name(name)}" for name in TARGETS]
    rest = [shown_name(name) for name in BY_NAME if shown_name(name) not in first]
    return tuple(dict.fromkeys([*first, NOT_USED_WORD, *checks, *rest]))
