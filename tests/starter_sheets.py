"""What the sheets of the starter workbook share: formats, formulas with the values they show, spellings, print set-up.

Used by `make_starter.py` and `starter_functions.py`.
"""

import datetime
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import xlsxwriter

FONT, INK, LINE, TYPE, RED, GREY = "Arial", "#1F2A30", "#B9C2C6", "#FFF2B3", "#C0392B", "#8A949A"
TYPED = {"bg_color": TYPE, "border": 1, "border_color": LINE, "align": "center", "locked": False}
"""Look of the cells that are the user's."""

FREE_COLUMNS = 60
"""Columns of a protected sheet in which a user may write beside what is ours."""
ALLOWED = {"format_cells": True, "format_columns": True, "format_rows": True, "sort": True, "autofilter": True,
           "insert_hyperlinks": True}  # fmt: skip
"""What a protected sheet allows."""

Values = Mapping[tuple[str, str], Any]
"""What cells show, by sheet and address."""


class Shown(str):
    """A text that a formula shows and that stays one although it looks like a number: "1" of a numbered step."""

    def __float__(self) -> float:
        raise ValueError("a text")


class Sheets:
    """The workbook being written, with its formats, and the values that its formulas show."""

    def __init__(self, path: Path, values: Values) -> None:
        self.book = xlsxwriter.Workbook(path, {"in_memory": True})
        made = datetime.datetime(2026, 9, 14, 6)  # so that the same script gives the same bytes
        self.book.set_properties({"title": "tautsheet starter", "author": "tautsheet", "created": made})
        self.values = values
        self.size = 10
        self.formats: dict[tuple[tuple[str, Any], ...], Any] = {}

    def style(self, **properties: Any) -> Any:
        """A format; the same properties give the same one."""
        whole = {"font_name": FONT, "font_size": self.size, "valign": "vcenter", **properties}
        key = tuple(sorted(whole.items()))
        if key not in self.formats:
            self.formats[key] = self.book.add_format(whole)
        return self.formats[key]

    def head(self) -> Any:
        """Format of a heading."""
        return self.style(bold=True, font_color="#FFFFFF", bg_color=INK, border=1, border_color=LINE, text_wrap=True,
                          align="center", font_size=self.size - 1)  # fmt: skip

    def protect(self, sheet: Any, widths: Sequence[float]) -> None:
        """Keep what is written from slips; every other cell is free, also for rows copied down. There is no password.

        `widths` of the columns from the first on. To be called before cells are written: theirs are locked again.
        """
        free = self.style(locked=False)
        for column, width in enumerate(widths):
            sheet.set_column(column, column, width, free)
        sheet.set_column(len(widths), FREE_COLUMNS - 1, None, free)
        sheet.protect("", ALLOWED)

    def formula(self, sheet: Any, address: str, formula: str, style: Any, *, array: bool = False) -> None:
        """A formula with the value it shows; one over a table of cells as an array formula, so that nothing cuts it."""
        value = self.values.get((sheet.name, address), "")
        if array:
            value = Shown(value) if isinstance(value, str) else value
            sheet.write_array_formula(f"{address}:{address}", f"{{{formula}}}", style, value)
        else:
            sheet.write_formula(address, formula, style, value)


def spelt(text: str) -> str:
    """A text with the unit of torque as the program's own messages spell it.

    >>> spelt("Torque (ft-lb)")
    'Torque (lbf·ft)'
    """
    return text.replace("ft-lb", "lbf·ft")


def print_setup(sheet: Any, pages_tall: int = 0) -> None:
    sheet.set_landscape()
    sheet.set_paper(9)
    sheet.fit_to_pages(1, pages_tall)
    sheet.set_margins(0.35, 0.35, 0.4, 0.6)
    sheet.set_footer("&L&F, &A&RPage &P of &N", {"margin": 0.3})
