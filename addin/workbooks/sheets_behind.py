"""Sheets of our own behind those of a workbook: every part stays, but for the lists of sheets and formats."""

import datetime
import posixpath
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any, BinaryIO
from xml.sax.saxutils import escape, quoteattr

from addin.workbooks.addresses import address, letters
from addin.workbooks.markup import MAIN, Markup, MarkupError
from addin.workbooks.new_file import write_new
from addin.workbooks.package import Package, WorkbookError, open_package
from addin.workbooks.styles_part import StyleError, StylesPart
from addin.workbooks.zip_copy import copy_with_changes

_RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_WORKSHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
_DAY_0 = datetime.date(1899, 12, 30)


def put_behind(source: Path, sheets: Sequence[Any], target: Path) -> None:
    """A copy of a workbook with worksheets of openpyxl as its last sheets; those of the same name are replaced.

    Of an openpyxl sheet are written: cells, bold fonts, fills, borders, wrapped texts, widths, merged cells, lists of
    choices, and links
    inside the workbook, and whether it is hidden.

    Raises WorkbookError, and leaves nothing behind, when the workbook is not as a spreadsheet writes it.
    """
    package = open_package(source)
    new = _parts(package, sheets)

    def write(file: BinaryIO) -> None:
        with source.open("rb") as original:
            copy_with_changes(original, new, file)

    def check(temporary: Path) -> None:
        written = open_package(temporary)
        wanted = {sheet.title for sheet in sheets}
        if not wanted <= {each.name for each in written.sheets}:
            raise WorkbookError(f"{target}: not written: its sheets do not read back as they should")
        changed = [p for p in package.parts if p not in new and written.parts[p].sha256 != package.parts[p].sha256]
        if changed:
            raise WorkbookError(f"{target}: not written: part {changed[0]} was not kept")

    write_new(target, write, check)


def _parts(package: Package, sheets: Sequence[Any]) -> dict[str, bytes]:
    styles = None
    if package.styles is not None:
        try:
            styles = StylesPart(package.read(package.styles))
        except StyleError:
            styles = None
    new: dict[str, bytes] = {}
    added: list[tuple[Any, str]] = []
    there = {each.name.casefold(): each.part for each in package.sheets}
    folder = posixpath.dirname(package.workbook)
    for sheet in sheets:
        part = there.get(sheet.title.casefold(), "")
        if not part:
            number = 1
            while (part := posixpath.join(folder, f"worksheets/own{number}.xml")) in {*package.parts, *new}:
                number += 1
            added.append((sheet, part))
        new[part] = _sheet(sheet, styles, package.date1904)
    if styles is not None and package.styles is not None:
        new[package.styles] = styles.patched()
    if added:
        new |= _listed(package, added, folder)
    return new


def _listed(package: Package, added: Sequence[tuple[Any, str]], folder: str) -> dict[str, bytes]:
    """The three parts that list sheets: types, relations, the workbook itself."""
    types, rels = "[Content_Types].xml", posixpath.join(folder, "_rels", posixpath.basename(package.workbook) + ".rels")
    content, relations, book = (package.read(part) for part in (types, rels, package.workbook))
    ids = {int(n) for n in re.findall(rb"\bId=[\"']rId(\d+)[\"']", relations)}
    numbers = {int(n) for n in re.findall(rb"\bsheetId=[\"'](\d+)[\"']", book)}
    first_id, first_number = max(ids, default=0) + 1, max(numbers, default=0) + 1
    overrides, links, lines = b"", b"", b""
    prefix, at = _end_of_sheets(package, book)
    for k, (sheet, part) in enumerate(added):
        overrides += f'<Override PartName="/{part}" ContentType="{_WORKSHEET}"/>'.encode()
        inside = posixpath.relpath(part, folder)
        links += f'<Relationship Id="rId{first_id + k}" Type="{_RELATIONS}/worksheet" Target="{inside}"/>'.encode()
        hidden = ' state="hidden"' if sheet.sheet_state != "visible" else ""
        named = f'name={quoteattr(sheet.title)} sheetId="{first_number + k}"{hidden}'
        tag = f'sheet xmlns:r="{_RELATIONS}" {named} r:id="rId{first_id + k}"/>'
        lines += b"<" + prefix + tag.encode()
    return {
        types: _before_end(content, b"Types", overrides),
        rels: _before_end(relations, b"Relationships", links),
        package.workbook: book[:at] + lines + book[at:],
    }


def _before_end(content: bytes, root: bytes, more: bytes) -> bytes:
    end = re.search(rb"</(\w+:)?" + root + rb"\s*>\s*$", content)
    if end is None or end[1]:
        raise WorkbookError(f"the list of {root.decode().lower()} of the workbook is not as a spreadsheet writes it")
    return content[: end.start()] + more + content[end.start() :]


def _end_of_sheets(package: Package, book: bytes) -> tuple[bytes, int]:
    """The prefix of the workbook part, and where its list of sheets ends."""
    try:
        markup = Markup(book, root="workbook", namespace=MAIN)
    except MarkupError as error:
        raise WorkbookError(f"{package.path.name}: part {package.workbook} {error}") from error
    for tag in markup.tags():
        if tag.prefix == markup.prefix and tag.name == "sheets" and tag.closing:
            return markup.prefix, tag.start
    raise WorkbookError(f"{package.path.name}: part {package.workbook} has no list of sheets")


def _sheet(sheet: Any, styles: StylesPart | None, date1904: bool) -> bytes:
    """The part of one sheet."""
    rows = []
    for number, row in enumerate(sheet.iter_rows(), 1):
        cells = "".join(_cell(cell, styles, date1904) for cell in row if cell.value is not None or cell.has_style)
        height = sheet.row_dimensions[number].height
        high = f' ht="{height:g}" customHeight="1"' if height else ""
        if cells or high:
            rows.append(f'<row r="{number}"{high}>{cells}</row>')
    columns = "".join(
        f'<col min="{at}" max="{at}" width="{each.width:g}" customWidth="1" hidden="{int(each.hidden)}"/>'
        for at in range(1, 40)
        if (each := sheet.column_dimensions.get(letters(at))) is not None
    )
    frozen = sheet.freeze_panes
    top = int(re.sub(r"\D", "", frozen)) - 1 if frozen else 0
    pane = f'<pane ySplit="{top}" topLeftCell="{frozen}" activePane="bottomLeft" state="frozen"/>' if top else ""
    merged = "".join(f'<mergeCell ref="{each.coord}"/>' for each in sheet.merged_cells.ranges)
    rules = "".join(
        f'<dataValidation type="list" allowBlank="1" sqref="{each.sqref}"><formula1>{escape(each.formula1)}</formula1>'
        "</dataValidation>"
        for each in sheet.data_validations.dataValidation
    )
    count = len(sheet.data_validations.dataValidation)
    return (
        f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<worksheet xmlns="{MAIN}">'
        '<sheetPr><pageSetUpPr fitToPage="1"/></sheetPr>'
        f'<sheetViews><sheetView workbookViewId="0">{pane}</sheetView></sheetViews>'
        + (f"<cols>{columns}</cols>" if columns else "")
        + f"<sheetData>{''.join(rows)}</sheetData>"
        + (f'<mergeCells count="{len(sheet.merged_cells.ranges)}">{merged}</mergeCells>' if merged else "")
        + (f'<dataValidations count="{count}">{rules}</dataValidations>' if rules else "")
        + _links(sheet)
        + '<pageSetup paperSize="9" orientation="landscape" fitToWidth="1" fitToHeight="0"/>'
        "<headerFooter><oddFooter>&amp;CPage &amp;P of &amp;N</oddFooter></headerFooter></worksheet>"
    ).encode()


def _links(sheet: Any) -> str:
    """Links to cells of the same workbook."""
    links = [
        f'<hyperlink ref="{cell.coordinate}" location={quoteattr(cell.hyperlink.location)}/>'
        for row in sheet.iter_rows() for cell in row if cell.hyperlink and cell.hyperlink.location
    ]  # fmt: skip
    return f"<hyperlinks>{''.join(links)}</hyperlinks>" if links else ""


def _cell(cell: Any, styles: StylesPart | None, date1904: bool) -> str:
    where, value = address(cell.row, cell.column), cell.value
    date = isinstance(value, (datetime.date, datetime.datetime))
    style = f' s="{_style(cell, styles, date=date)}"' if styles is not None else ""
    if value is None:
        return f'<c r="{where}"{style}/>'
    if date:
        day = value.date() if isinstance(value, datetime.datetime) else value
        return f'<c r="{where}"{style}><v>{(day - _DAY_0).days - (1462 if date1904 else 0)}</v></c>'
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return f'<c r="{where}"{style}><v>{value!r}</v></c>'
    return f'<c r="{where}"{style} t="inlineStr"><is><t xml:space="preserve">{escape(str(value))}</t></is></c>'


def _style(cell: Any, styles: StylesPart, *, date: bool) -> int:
    fill = cell.fill.fgColor.rgb[-6:] if cell.fill.fill_type == "solid" else ""
    return styles.look(
        bold=bool(cell.font.b),
        wrap=bool(cell.alignment.wrap_text),
        fill=fill,
        lined=cell.border.left.style is not None,
        number_format="yyyy-mm-dd" if date else "General",
    )
