"""A sheet of contents before the sheets of a workbook: plain rows of text, each linked to its sheet."""

from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from addin.forms.form_scan import MAIN, OFFICE
from addin.forms.tokens import clean
from addin.workbooks.addresses import letters

PART = "xl/worksheets/contents.xml"
_SHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
TYPE = _SHEET


@dataclass(frozen=True)
class Contents:
    """What the sheet says: its name, lines above, headings, and a row for each sheet by the position of its card.

    widths : of the columns, in characters; below : rows that stand after those, without a sheet to lead to.
    """

    name: str
    above: Sequence[str]
    headings: Sequence[str]
    widths: Sequence[float]
    rows: Sequence[Sequence[str]]
    below: Sequence[Sequence[str]] = ()


def sheet_xml(contents: Contents, sheets: Sequence[tuple[int, str]], paper: int | None) -> str:
    """The part of the sheet. sheets : those written, as (position of the card, name of the sheet)."""
    lines = [[line] for line in contents.above]
    first = len(lines) + 1
    table = [list(contents.headings), *([*contents.rows[number]] for number, _ in sheets), *map(list, contents.below)]
    links = "".join(
        f'<hyperlink ref="A{first + 1 + at}" location={quoteattr(_target(name))}/>'
        for at, (_, name) in enumerate(sheets)
    )
    columns = "".join(
        f'<col min="{at}" max="{at}" width="{width}" customWidth="1"/>' for at, width in enumerate(contents.widths, 1)
    )
    rows = "".join(_row(number, cells) for number, cells in enumerate([*lines, *table], 1))
    return (
        f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<worksheet xmlns="{MAIN}" xmlns:r="{OFFICE}">'
        '<sheetPr><pageSetUpPr fitToPage="1"/></sheetPr><sheetViews><sheetView workbookViewId="0"/></sheetViews>'
        f"<cols>{columns}</cols><sheetData>{rows}</sheetData><hyperlinks>{links}</hyperlinks>"
        '<printOptions gridLines="1"/><pageMargins left="0.5" right="0.5" top="0.5" bottom="0.6" header="0.3" '
        f'footer="0.3"/><pageSetup paperSize="{paper or 9}" fitToWidth="1" fitToHeight="0"/>'
        "<headerFooter><oddFooter>&amp;Rpage &amp;P of &amp;N</oddFooter></headerFooter></worksheet>"
    )


def _target(sheet: str) -> str:
    doubled = sheet.replace("'", "''")
    return f"'{doubled}'!A1"


def _row(number: int, cells: Sequence[str]) -> str:
    shown = "".join(
        f'<c r="{letters(at)}{number}" t="inlineStr"><is><t xml:space="preserve">{escape(clean(text))}</t></is></c>'
        for at, text in enumerate(cells, 1)
        if text
    )
    return f'<row r="{number}">{shown}</row>'
