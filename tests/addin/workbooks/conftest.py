"""Workbooks made for these tests: an invented plant's lists, and packages written part by part."""

import datetime
import hashlib
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest
import xlsxwriter
from openpyxl.utils import column_index_from_string, get_column_letter

from addin.workbooks.package import WorkbookError
from addin.workbooks.writeback import OutCell, OutColumn, Style, WriteReport, write_columns

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LINK = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE_LINK = "http://schemas.openxmlformats.org/package/2006/relationships"
HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
PLAIN = Style()
SHEET_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml"


def rels(*links: tuple[str, str, str]) -> str:
    """A part of relationships from (id, last word of the type, target)."""
    inner = "".join(f'<Relationship Id="{i}" Type="{LINK}/{kind}" Target="{target}"/>' for i, kind, target in links)
    return f'{HEAD}<Relationships xmlns="{PACKAGE_LINK}">{inner}</Relationships>'


def plain_parts(sheet: str, *, after: str = "", styles: bool = True) -> dict[str, bytes]:
    """The parts of a small workbook whose only sheet, Joints, has the given part, or the given rows in a plain part."""
    if "<worksheet" not in sheet and ":worksheet" not in sheet:
        sheet = f'{HEAD}<worksheet xmlns="{MAIN}"><sheetData>{sheet}</sheetData>{after}</worksheet>'
    types = (
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Default Extension="xml" ContentType="application/xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{SHEET_TYPE}.sheet.main+xml"/>'
        f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{SHEET_TYPE}.worksheet+xml"/>'
        f'<Override PartName="/xl/styles.xml" ContentType="{SHEET_TYPE}.styles+xml"/>'
    )
    links = [("rId1", "worksheet", "worksheets/sheet1.xml")] + ([("rId2", "styles", "styles.xml")] if styles else [])
    parts = {
        "[Content_Types].xml": (
            f'{HEAD}<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">{types}</Types>'
        ),
        "_rels/.rels": rels(("rId1", "officeDocument", "xl/workbook.xml")),
        "xl/workbook.xml": (
            f'{HEAD}<workbook xmlns="{MAIN}" xmlns:r="{LINK}"><sheets><sheet name="Joints" sheetId="1" r:id="rId1"/>'
            "</sheets></workbook>"
        ),
        "xl/_rels/workbook.xml.rels": rels(*links),
        "xl/worksheets/sheet1.xml": sheet,
    }
    if styles:
        parts["xl/styles.xml"] = (
            f'{HEAD}<styleSheet xmlns="{MAIN}"><fonts count="1"><font><sz val="11"/></font></fonts>'
            '<fills count="2"><fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/>'
            '</fill></fills><borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs>'
            '<cellXfs count="2"><xf xfId="0"/><xf numFmtId="2" xfId="0" applyNumberFormat="1"/></cellXfs>'
            '<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>'
        )
    return {name: text.encode() for name, text in parts.items()}


def pack(path: Path, parts: dict[str, bytes]) -> Path:
    """A package of these parts."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return path


def unpack(path: Path) -> dict[str, bytes]:
    """All parts of a package."""
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def joint_list(path: Path, rows: int = 5) -> Path:
    """A short list with a heading row, a formula with a cached value, and a format."""
    with xlsxwriter.Workbook(path) as book:
        book.set_properties({"created": datetime.datetime(2026, 1, 1)})  # the same bytes every time
        sheet = book.add_worksheet("Joints")
        two = book.add_format({"num_format": "0.00"})
        sheet.write_row(0, 0, ["Joint", "Operation", "Studs", "Torque (ft-lb)", "Per stud"])
        for row in range(1, rows + 1):
            sheet.write_row(row, 0, [f"V-10{row}-N1", "reassembly", 8, 600.5 + row])
            sheet.write_formula(row, 4, f"=D{row + 1}/C{row + 1}", two, (600.5 + row) / 8)
    return path


class Books:
    """Builders of workbooks in one temporary folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def plain(self, sheet: str, name: str = "list.xlsx", **more: str) -> Path:
        return pack(self.folder / name, plain_parts(sheet, **more))

    def joints(self, name: str = "list.xlsx", rows: int = 5) -> Path:
        return joint_list(self.folder / name, rows)

    def changed(self, source: Path, name: str = "changed.xlsx", **parts: bytes) -> Path:
        return pack(self.folder / name, {**unpack(source), **parts})

    def pack(self, parts: dict[str, bytes], name: str = "list.xlsx") -> Path:
        return pack(self.folder / name, parts)

    def write(self, source: Path, columns: list[OutColumn], **more) -> tuple[Path, WriteReport]:
        """Write into planned.xlsx of the folder, and see that nothing else has changed there."""
        target = self.folder / f"planned{source.suffix}"
        target.unlink(missing_ok=True)
        before = self.sha256(source)
        try:
            report = write_columns(source, "Joints", columns, target, **more)
        except WorkbookError as error:
            if target.exists() or "\n" in str(error):
                raise AssertionError("a refusal wrote something, or has several lines") from error
            raise
        finally:
            assert self.sha256(source) == before
            assert not list(self.folder.glob(".tautsheet-*"))
        assert report.source_sha256 == before
        assert report.sha256 == self.sha256(target)
        return target, report

    @staticmethod
    def out(letter: str, cells: dict, width: float | None = None, style: Style = PLAIN) -> OutColumn:
        """A column of values in one style."""
        return OutColumn(letter, {row: OutCell(value, style) for row, value in cells.items()}, width)

    @staticmethod
    def part(path: Path, name: str = "xl/worksheets/sheet1.xml") -> bytes:
        with zipfile.ZipFile(path) as archive:
            return archive.read(name)

    def root(self, path: Path) -> ElementTree.Element:
        """The sheet part as another parser reads it."""
        return ElementTree.fromstring(self.part(path))

    def cells(self, path: Path) -> list[tuple[str, str, str | None]]:
        """Every cell in the order of the sheet part: address, text of its content, type."""
        found = []
        row_number = 0
        for row in self.root(path).iter(f"{{{MAIN}}}row"):
            row_number = int(row.get("r", row_number + 1))
            column = 0
            for cell in row:
                name = cell.get("r", "").rstrip("0123456789")
                column = column_index_from_string(name) if name else column + 1
                found.append((f"{get_column_letter(column)}{row_number}", "".join(cell.itertext()), cell.get("t")))
        return found

    unpack = staticmethod(unpack)
    parts = staticmethod(plain_parts)
    rels = staticmethod(rels)

    @staticmethod
    def sha256(path: Path) -> str:
        return hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.fixture
def books(tmp_path: Path) -> Books:
    return Books(tmp_path)
