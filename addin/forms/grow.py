"""Rows added to a template sheet where a list is longer than the rows made for it.

The last row of the list is repeated; whatever stands below moves down. Everything that refers to rows by their number
(merged cells, conditional formats, drop-downs, print areas, charts, pictures) is brought along.
"""

import re
from collections.abc import Sequence

from addin.forms.tokens import TemplateError

Added = Sequence[tuple[int, int]]
"""Rows added: (the row that was repeated, how often), by the numbers of the template, the lowest row first."""

_REFERENCE = re.compile(
    r"(?<![\w.$])(\$?[A-Z]{1,3}\$?)(\d{1,7})(?::(\$?[A-Z]{1,3}\$?)(\d{1,7}))?(?![\w.(!])",
)
_ROWS = re.compile(r"(?<![\w.$:])(\$?)(\d{1,7}):(\$?)(\d{1,7})(?![\w.:])")


def moved(text: str, added: Added) -> str:
    """References of a formula or a range after rows were added; a range that ends at a repeated row grows with it.

    >>> moved("A3:C12 B20", [(12, 5)]), moved("'Kit'!$A$1:$L$30", [(12, 5)]), moved("$1:$4", [(12, 5)])
    ('A3:C17 B25', "'Kit'!$A$1:$L$35", '$1:$4')
    """
    for row, count in added:

        def cell(match: re.Match[str], row: int = row, count: int = count) -> str:
            column, first, second, last = match.groups()
            start = _start(int(first), row, count)
            return f"{column}{start}" + (f":{second}{_end(int(last), row, count)}" if second else "")

        def rows(match: re.Match[str], row: int = row, count: int = count) -> str:
            mark, first, second, last = match.groups()
            return f"{mark}{_start(int(first), row, count)}:{second}{_end(int(last), row, count)}"

        text = _ROWS.sub(rows, _REFERENCE.sub(cell, text))
    return text


def _start(number: int, row: int, count: int) -> int:
    return number + count if number > row else number


def _end(number: int, row: int, count: int) -> int:
    return number + count if number >= row else number


def grow(xml: bytes, added: Added) -> bytes:
    """A sheet part with rows added. Raises TemplateError where the sheet has formulas, which are not rewritten."""
    text = xml.decode()
    if re.search(r"<(?:\w+:)?f[\s>/]", text):
        raise TemplateError("a sheet with formulas cannot be given more rows: make as many rows as the list needs")
    for row, count in added:
        text = _grow(text, row, count)
    return text.encode()


def _grow(text: str, row: int, count: int) -> str:
    one = [(row, count)]
    begin = re.search(rf'<(?:\w+:)?row\s(?:[^>]*\s)?r="{row}"[^>]*>', text)
    if begin is None:
        raise TemplateError(f"row {row} of the sheet has no number; save it once in a spreadsheet program")
    end = re.compile(r"</(?:\w+:)?row>").search(text, begin.start())
    stop = re.compile(r"</(?:\w+:)?sheetData>").search(text, begin.start())
    if end is None or stop is None:
        raise TemplateError("the sheet is damaged: a row does not end")
    repeated = text[begin.start() : end.end()]
    clones = "".join(_renumbered(repeated, number) for number in range(1, count + 1))
    below = _renumbered(text[end.end() : stop.start()], count)
    head = re.sub(r'(<(?:\w+:)?dimension\s[^>]*ref=")([^"]*)', lambda m: m[1] + moved(m[2], one), text[: end.end()])
    return head + clones + below + _tail(text[stop.start() :], row, count)


def _renumbered(rows: str, by: int) -> str:
    """Rows with their cells, some rows further down."""
    rows = re.sub(r'(<(?:\w+:)?row\s(?:[^>]*\s)?r=")(\d+)', lambda m: m[1] + str(int(m[2]) + by), rows)
    return re.sub(r'(<(?:\w+:)?c\s(?:[^>]*\s)?r="[A-Z]+)(\d+)', lambda m: m[1] + str(int(m[2]) + by), rows)


def _tail(text: str, row: int, count: int) -> str:
    """What comes after the rows of a sheet."""
    one = [(row, count)]

    def merge(match: re.Match[str]) -> str:
        first, last = (int(number) for number in re.findall(r"\d+", match[2])) if ":" in match[2] else (0, 0)
        if first == last == row:
            copies = (re.sub(r"\d+", str(row + number), match[2]) for number in range(count + 1))
            return "".join(match[1] + copy + match[3] for copy in copies)
        return match[1] + moved(match[2], one) + match[3]

    text = re.sub(r'(<(?:\w+:)?mergeCell\s+ref=")([^"]*)("\s*/>)', merge, text)
    merges = len(re.findall(r"<(?:\w+:)?mergeCell\s", text))
    text = re.sub(r'(<(?:\w+:)?mergeCells\b[^>]*\scount=")\d+', lambda m: m[1] + str(merges), text)
    text = re.sub(
        r"(<(?:\w+:)?(?:conditionalFormatting|dataValidation|protectedRange|ignoredError|hyperlink|autoFilter)\b[^>]*?"
        r'\s(?:sqref|ref)=")([^"]*)',
        lambda m: m[1] + moved(m[2], one),
        text,
    )
    formulas = r"(<(?:\w+:)?(?:formula|formula1|formula2)>)([^<]*)(<)"
    text = re.sub(formulas, lambda m: m[1] + moved(m[2], one) + m[3], text)
    breaks = re.search(r"<(?:\w+:)?rowBreaks\b.*?</(?:\w+:)?rowBreaks>", text, flags=re.DOTALL)
    if breaks:
        shifted = re.sub(r'(\sid=")(\d+)', lambda m: m[1] + str(_end(int(m[2]), row, count)), breaks[0])
        text = text.replace(breaks[0], shifted, 1)
    return text


def attached(xml: str, added: Added) -> str:
    """A part that hangs on a sheet (drawing, chart, comments) after rows were added to the sheet."""
    for row, count in added:

        def lower(match: re.Match[str], row: int = row, count: int = count) -> str:
            return match[1] + str(_end(int(match[2]), row, count)) + match[3]

        # counted from 0, so what stands below has this number or a higher one
        xml = re.sub(r"(<(?:\w+:)?[Rr]ow>)(\d+)(</)", lower, xml)
    xml = re.sub(r"(<(?:\w+:)?f>)([^<]*)(<)", lambda m: m[1] + moved(m[2], added) + m[3], xml)
    return re.sub(r'(<(?:\w+:)?comment\s[^>]*\bref=")([^"]*)', lambda m: m[1] + moved(m[2], added), xml)
