"""The cell formats of a workbook as its readers see them: number format, size of the letters, wrapping."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from addin.workbooks.markup import Markup, MarkupError, Tag

MOST = 70_000
"""Most cell formats and number formats; spreadsheet programs hold about 65,000, from memory."""
_AMOUNTS = {41: "#,##0", 42: "#,##0", 43: "#,##0.00", 44: "#,##0.00"}
"""Formats of amounts in their digits alone; openpyxl's table runs their parts together."""


@dataclass(frozen=True, slots=True)
class CellFormat:
    """The part of one cell format that decides what is seen."""

    size: float = 11.0
    """Of the letters, in points."""
    bold: bool = False
    wrap: bool = False
    shrink: bool = False
    indent: int = 0
    code: str = "General"
    """The number format."""

    def shows(self, number: float) -> bool:
        """Whether the number format shows the number with all its digits.

        >>> CellFormat(code="0.0").shows(12.5), CellFormat(code="0").shows(12.5), CellFormat(code="0%").shows(30)
        (True, False, False)
        """
        decimals = decimals_shown(self.code)
        return decimals is not None and abs(round(number, decimals) - number) <= 1e-9 * abs(number)


def read_formats(markup: Markup) -> list[CellFormat]:
    """The cell formats of a styles part, in the order in which cells refer to them.

    Raises MarkupError for more than a workbook holds.
    """
    from openpyxl.styles.numbers import BUILTIN_FORMATS

    known_codes = BUILTIN_FORMATS | _AMOUNTS
    codes: dict[str, str] = {}
    fonts: list[CellFormat] = []
    found: list[CellFormat] = []
    known: dict[CellFormat, CellFormat] = {}
    inside = ""
    for tag in markup.tags():
        if tag.name in ("fonts", "cellXfs"):
            inside = "" if tag.closing or tag.empty else tag.name
        elif tag.closing:
            continue
        elif tag.name == "numFmt":
            given = tag.attributes()
            codes[given.get("numFmtId", "")] = given.get("formatCode", "")[:1000]
        elif inside == "fonts":
            if tag.name == "font":
                fonts.append(CellFormat())
            elif tag.name == "sz" and fonts:
                fonts[-1] = replace(fonts[-1], size=_number(tag, "val", 11.0))
            elif tag.name == "b" and fonts:
                fonts[-1] = replace(fonts[-1], bold=_true(tag, "val", "1"))
        elif inside == "cellXfs" and tag.name == "xf":
            given = tag.attributes()
            number, font = given.get("numFmtId", "0"), int(_number(tag, "fontId", 0.0))
            built_in = known_codes.get(int(number), "General") if number.isascii() and number.isdigit() else ""
            face = fonts[font] if 0 <= font < len(fonts) else CellFormat()
            found.append(replace(face, code=codes.get(number) or built_in or "General"))
        elif inside == "cellXfs" and tag.name == "alignment" and found:
            wrap, shrink = _true(tag, "wrapText"), _true(tag, "shrinkToFit")
            found[-1] = replace(found[-1], wrap=wrap, shrink=shrink, indent=int(_number(tag, "indent", 0.0)))
        if found:
            found[-1] = known.setdefault(found[-1], found[-1])
        if max(len(found), len(codes), len(fonts)) > MOST:
            raise MarkupError(f"has more than {MOST:,} formats")
    return found


def format_of(formats: Sequence[CellFormat], index: int | None) -> CellFormat:
    """The format of a cell that names one, else the first of the workbook."""
    at = 0 if index is None or not 0 <= index < len(formats) else index
    return formats[at] if formats else CellFormat()


def _number(tag: Tag, name: str, usual: float) -> float:
    """A number of a tag; the usual one where none can be read or used."""
    text = tag.attributes().get(name, "")
    return float(text) if re.fullmatch(r"[0-9]{1,5}(\.[0-9]{1,12})?", text) else usual


def _true(tag: Tag, name: str, usual: str = "0") -> bool:
    return tag.attributes().get(name, usual) in ("1", "true")


def decimals_shown(code: str) -> int | None:
    """Decimals that a number format shows, or None where it does not show the plain number (dates, per cent, scaled).

    >>> decimals_shown("General"), decimals_shown("#,##0.00"), decimals_shown("0%"), decimals_shown("yyyy-mm-dd")
    (99, 2, None, None)
    """
    if code in ("General", "@", ""):
        return 99
    plain = _without_literals(code.split(";")[0])
    if any(letter in plain.lower() for letter in "dmyhs%/") or not any(mark in plain for mark in "0#?"):
        return None
    if "e" in plain.lower():
        return 0
    whole, _, decimals = plain.partition(".")
    if (decimals or whole).rstrip().endswith(","):
        return None
    return len(decimals) - len(decimals.lstrip("0#?"))


def _without_literals(code: str) -> str:
    kept, position = "", 0
    while position < len(code):
        mark = code[position]
        if mark in '"[':
            close = code.find('"' if mark == '"' else "]", position + 1)
            position = len(code) if close < 0 else close + 1
        elif mark in "\\_*":
            position += 2
        else:
            kept += mark
            position += 1
    return kept
