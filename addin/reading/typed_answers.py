"""Open questions asked one by one on a terminal: each may be skipped, and what is answered is signed on the sheet."""

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from addin.cells.numbers import plain_text
from addin.reading.answer_sheet import SHEET, as_confirmed
from addin.reading.understood import ASKED, PROPOSED

SHOWN = 6
"""Choices that are numbered; any other may be typed."""
SKIP = "-"
_ANSWER, _UNIT, _WHY, _STATE, _BY, _CONFIRMED = 4, 5, 6, 7, 8, 9


@dataclass(frozen=True)
class AskedLine:
    """One open line: what it is about, why it is open, what is filled in, and the choices."""

    about: str
    why: str
    filled: str
    choices: tuple[str, ...]


def answer_by_line(sheet: Path, ask: Callable[[AskedLine], str], name: Callable[[], str]) -> int:
    """Ask every open line of a sheet of answers, and sign it but for those left open; the number of answers.

    `ask` gives the answer to a line: "" for what is filled in, `SKIP` to leave it open. `name` is asked once at the
    end; without one nothing is saved.
    """
    import openpyxl

    book = openpyxl.load_workbook(sheet)
    page = book[SHEET]
    lists = _lists(book, page)
    answered: dict[int, tuple[str, str]] = {}
    lines: dict[int, tuple[str, str]] = {}
    for row in range(5, page.max_row + 1):
        texts = [plain_text(page.cell(row, at).value) for at in range(1, 9)]
        answer, unit, state, by = (texts[at - 1] for at in (_ANSWER, _UNIT, _STATE, _BY))
        if by or not texts[0]:
            continue
        if state not in (PROPOSED, ASKED):
            if answer:
                lines[row] = answer, unit
            continue
        about = " ".join(text for text in texts[:2] if text)
        typed = ask(AskedLine(about, texts[_WHY - 1], answer, lists.get((row, _ANSWER), ())))
        chosen = typed or answer
        if typed == SKIP or not chosen:
            continue
        units = lists.get((row, _UNIT), ())
        if units and not unit and state == ASKED and chosen == answer:
            unit = ask(AskedLine(f"{about}: unit", texts[_WHY - 1], "", units))
            if unit in ("", SKIP):
                continue
        answered[row] = chosen, unit
    who = name() if answered else ""
    if not who:
        return 0
    signed = f"{who}, {datetime.date.today().isoformat()}"
    for row, (answer, unit) in (lines | answered).items():  # what was sure was shown with the rest
        confirmed = as_confirmed(answer, unit)
        for at, text in ((_ANSWER, answer), (_UNIT, unit), (_BY, signed), (_CONFIRMED, confirmed)):
            cell = page.cell(row, at, text or None)
            if text:
                cell.data_type = "s"
    book.save(sheet)
    return len(answered)


def _lists(book: Any, page: Any) -> dict[tuple[int, int], tuple[str, ...]]:
    """The choices of each cell, by row and column."""
    found = {}
    for rule in page.data_validations.dataValidation:
        name, _, area = rule.formula1.rpartition("!")
        texts = tuple(plain_text(cell.value) for row in book[name.strip("'")][area.replace("$", "")] for cell in row)
        for each in rule.sqref.ranges:
            for row in range(each.min_row, each.max_row + 1):
                found[row, each.min_col] = texts
    return found
