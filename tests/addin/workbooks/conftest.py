"""Workbooks made for these tests: an invented plant's lists, and packages written part by part."""

import hashlib
import zipfile
from pathlib import Path

import pytest
import xlsxwriter

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LINK = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE_LINK = "http://schemas.openxmlformats.org/package/2006/relationships"
HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
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
            '<cellXfs count="2"><xf xfId="0"/><xf numFmtId="2" xfId="0" applyNumberFormat="1"/></cellXfs></styleSheet>'
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

    unpack = staticmethod(unpack)
    parts = staticmethod(plain_parts)
    rels = staticmethod(rels)

    @staticmethod
    def sha256(path: Path) -> str:
        return hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.fixture
def books(tmp_path: Path) -> Books:
    return Books(tmp_path)
