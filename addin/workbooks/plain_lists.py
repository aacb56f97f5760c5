"""Lists that are text files with separators, brought into a new .xlsx first."""

import csv
import io
import re
import zipfile
from collections.abc import Sequence
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from addin.workbooks.addresses import address
from addin.workbooks.package import WorkbookError

TEXTS = (".csv", ".tsv", ".txt")
_SEPARATORS = ";\t,|"
_NUMBER = re.compile(r"-?(?:0|[1-9]\d{0,14})(?:\.\d{1,15})?")
_MOST_BYTES = 64 * 1024 * 1024
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_REL = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_XML = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_PARTS = {
    "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}/content-types"><Default Extension="rels" '
    f'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    f'<Override PartName="/xl/workbook.xml" ContentType="{_TYPE}.sheet.main+xml"/>'
    f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{_TYPE}.worksheet+xml"/>'
    f'<Override PartName="/xl/styles.xml" ContentType="{_TYPE}.styles+xml"/></Types>',
    "_rels/.rels": f'<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="rId1" '
    f'Type="{_REL}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
    "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="rId1" '
    f'Type="{_REL}/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="rId2" Type="{_REL}/styles" '
    'Target="styles.xml"/></Relationships>',
    "xl/styles.xml": f'<styleSheet xmlns="{_MAIN}"><fonts count="1"><font><sz val="11"/><name val="Calibri"/></font>'
    '</fonts><fills count="2"><fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/>'
    '</fill></fills><borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border></borders>'
    '<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs><cellXfs count="1">'
    '<xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/></cellXfs></styleSheet>',
}


def is_text(path: Path) -> bool:
    """Whether a list is a text file with separators, by its ending."""
    return path.suffix.lower() in TEXTS


def as_workbook(path: Path, folder: Path) -> Path:
    """A text file as a new .xlsx in a folder, the same bytes each time.

    Raises WorkbookError for what cannot be read.
    """
    target = folder / f"{path.stem}.xlsx"
    target.write_bytes(_workbook(rows_of(path), path.stem))
    return target


def rows_of(path: Path) -> list[list[str]]:
    """The cells of a text file with separators, as they stand.

    Raises WorkbookError for a file that cannot be read, is too large, or holds no text.
    """
    try:
        content = path.read_bytes()
    except OSError as error:
        raise WorkbookError(f"{path.name}: cannot be read: {error.strerror or error}") from error
    if len(content) > _MOST_BYTES:
        raise WorkbookError(f"{path.name}: is larger than {_MOST_BYTES // 2**20} MiB")
    text = _text(path, content)
    if not text.strip():
        raise WorkbookError(f"{path.name}: is empty")
    first = [line for line in text.splitlines() if line.strip()][:50]
    middle = len(first) // 2
    counts = {mark: sorted(line.count(mark) for line in first)[middle] for mark in _SEPARATORS} if first else {}
    separator = max(counts, key=lambda mark: counts[mark], default=",")
    try:
        return list(csv.reader(io.StringIO(text), delimiter=separator))
    except csv.Error as error:
        raise WorkbookError(f"{path.name}: cannot be read as a text with separators: {error}") from error


def _text(path: Path, content: bytes) -> str:
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return content.decode("utf-16", "replace")
    if b"\0" in content[:4096]:
        raise WorkbookError(f"{path.name}: is no text file with separators")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", "replace")


def _workbook(rows: Sequence[Sequence[str]], name: str) -> bytes:
    """A workbook of one sheet; numbers that can be read in one way are numbers, everything else stays text."""
    title = re.sub(r"[\[\]:*?/\\']", "-", name)[:31] or "List"
    lines = []
    for number, row in enumerate(rows, 1):
        cells = "".join(_cell(number, at, text) for at, text in enumerate(row, 1) if text.strip())
        if cells:
            lines.append(f'<row r="{number}">{cells}</row>')
    parts = _PARTS | {
        "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_REL}"><sheets><sheet name={quoteattr(title)} '
        'sheetId="1" r:id="rId1"/></sheets></workbook>',
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{_MAIN}"><sheetData>{"".join(lines)}</sheetData></worksheet>',
    }
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for part, content in parts.items():
            archive.writestr(zipfile.ZipInfo(part, (1980, 1, 1, 0, 0, 0)), _XML + content, zipfile.ZIP_DEFLATED)
    return made.getvalue()


def _cell(row: int, column: int, text: str) -> str:
    where, plain = address(row, column), text.strip()
    if _NUMBER.fullmatch(plain):
        return f'<c r="{where}"><v>{plain}</v></c>'
    shown = escape("".join(mark for mark in plain if mark >= " " or mark in "\t\n"))
    return f'<c r="{where}" t="inlineStr"><is><t xml:space="preserve">{shown}</t></is></c>'
