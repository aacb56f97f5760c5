"""Sources of the fidelity suite: workbooks with everything that a reader and writer of whole workbooks would lose."""

import csv
import hashlib
import shutil
import struct
import subprocess
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from openpyxl.comments import Comment
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import PatternFill
from openpyxl.worksheet.datavalidation import DataValidation

from addin.workbooks.writeback import NOT_AVAILABLE, OutCell, OutColumn, Style, WriteReport, write_columns

OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
MICROSOFT = "http://schemas.microsoft.com/office"
ROWS = 12
CACHED = 4711.25
"""Cached value of the formulas; none of them would give it, so whoever shows it has not calculated."""

FEATURES = {
    "text box": ("xl/drawings/drawing", b'txBox="1"'),
    "button": ("xl/drawings/vmlDrawing", b'ObjectType="Button"'),
    "form control": ("xl/ctrlProps/", b"formControlPr"),
    "embedded object": ("xl/embeddings/", b"\xd0\xcf\x11\xe0"),
    "header picture": ("xl/worksheets/sheet", b"<legacyDrawingHF"),
    "slicer": ("xl/slicers/", b"<slicers"),
    "note": ("xl/comments", b"as built"),
    "threaded comment": ("xl/threadedComments/", b"ThreadedComments"),
    "custom XML": ("customXml/item1.xml", b"workOrder"),
    "sensitivity label": ("docMetadata/LabelInfo.xml", b"labelList"),
    "connection": ("xl/connections.xml", b"<connections"),
    "ribbon": ("customUI/customUI14.xml", b"<customUI"),
    "printer settings": ("xl/printerSettings/", b"\x00P\x00"),
    "in-cell picture": ("xl/richData/", b"rvData"),
    "sparkline": ("xl/worksheets/sheet", b"sparklineGroup"),
    "extended validation": ("xl/worksheets/sheet", b"x14:dataValidation "),
    "extended data bar": ("xl/worksheets/sheet", b"x14:dataBar"),
    "protected range": ("xl/worksheets/sheet", b"<protectedRange "),
    "dynamic array": ("xl/worksheets/sheet", b' cm="1"'),
    "macros": ("xl/vbaProject.bin", b"\xd0\xcf\x11\xe0"),
    "cached value": ("xl/worksheets/sheet", b"<v>4711.25</v>"),
    "rich text": ("xl/sharedStrings.xml", b"<rPr>"),
    "picture": ("xl/media/", b"PNG"),
    "chart": ("xl/charts/", b"chartSpace"),
    "external link": ("xl/externalLinks/", b"externalBook"),
}


def picture() -> bytes:
    """A small PNG."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = b"".join(b"\0" + bytes([row * 8, 90, 160]) * 16 for row in range(16))
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", 16, 16, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")


def xlsxwriter_book(path: Path) -> Path:
    """Everything that XlsxWriter can make; with macros when the name ends in .xlsm."""
    image = path.with_suffix(".png")
    image.write_bytes(picture())
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Joints")
        lists = book.add_worksheet("Lists")
        lists.write_column("A1", ["hydraulic", "hand", "tensioned"])
        lists.hide()
        bold, two = book.add_format({"bold": True}), book.add_format({"num_format": "0.00", "border": 1})
        sheet.write_row(0, 0, ["Joint", "Method", "Studs", "Torque (ft-lb)", "Per stud"], bold)
        for row in range(1, ROWS):
            sheet.write_row(row, 0, [f"=V-{row}", "hydraulic", 8, 600.5 + row])
            sheet.write_formula(row, 4, f"=D{row + 1}/C{row + 1}", two, CACHED)
        sheet.write_rich_string("A2", "V-1 ", bold, "north")
        sheet.write_dynamic_array_formula("AA2:AA4", "=SORT(C2:C4)", None, CACHED)
        sheet.data_validation("B2:B12", {"validate": "list", "source": "=Lists!$A$1:$A$3"})
        sheet.conditional_format("D2:D12", {"type": "data_bar", "data_bar_2010": True, "bar_solid": True})
        sheet.conditional_format("C2:C12", {"type": "cell", "criteria": ">", "value": 12, "format": bold})
        sheet.add_sparkline("F2", {"range": "Joints!C2:D2"})
        sheet.insert_textbox("AC2", "Read the procedure first", {"width": 200, "height": 60})
        sheet.insert_button("AC8", {"macro": "Plan", "caption": "Plan"})
        sheet.insert_image("AC12", image)
        sheet.embed_image("AB2", image)
        sheet.write_comment("A3", "as built")
        sheet.set_header("&C&[Picture]", {"image_center": image})
        sheet.add_table("AE1:AF5", {"name": "Pumps", "columns": [{"header": "Pump"}, {"header": "Gauge"}]})
        sheet.autofilter("A1:E12")
        sheet.freeze_panes(1, 1)
        sheet.set_column("A:A", 18)
        sheet.write_url("AG2", "https://plant.invalid/procedure")
        chart = book.add_chart({"type": "column"})
        chart.add_series({"values": "=Joints!$D$2:$D$12"})
        sheet.insert_chart("AC20", chart)
        book.define_name("Torques", "=Joints!$D$2:$D$12")
        if path.suffix == ".xlsm":
            macros = path.with_suffix(".bin")
            macros.write_bytes(bytes.fromhex("D0CF11E0A1B11AE1") + bytes(range(256)) * 20)
            book.add_vba_project(macros)
    image.unlink()
    return path


def openpyxl_book(path: Path) -> Path:
    """A workbook as openpyxl writes it: formulas without cached values, styles of its own."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Joints"
    sheet.append(["Joint", "Method", "Studs", "Torque (ft-lb)", "Per stud"])
    for row in range(2, ROWS + 1):
        sheet.append([f"V-{row}", "hand", 8, 600.5, f"=D{row}/C{row}"])
    sheet.merge_cells("A14:E14")
    sheet["A3"].comment = Comment("as built", "planner")
    rule = DataValidation(type="list", formula1='"hand,hydraulic"')
    rule.add("B2:B12")
    sheet.add_data_validation(rule)
    sheet.conditional_formatting.add("D2:D12", CellIsRule("greaterThan", ["700"], fill=PatternFill("solid", "FFCC99")))
    sheet.column_dimensions["D"].width = 17
    book.create_sheet("Notes")["A1"] = "kept"
    book.save(path)
    return path


FLAT = """<?xml version="1.0" encoding="UTF-8"?>
<office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
 xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"
 xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"
 xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2"
 office:version="1.2" office:mimetype="application/vnd.oasis.opendocument.spreadsheet"><office:body><office:spreadsheet>
<table:table table:name="Joints">{}</table:table></office:spreadsheet></office:body></office:document>"""


def flat_document(path: Path) -> Path:
    """A list in the office's own plain form, for the office to turn into a workbook."""
    rows = ["Joint", "Method", "Studs", "Torque (ft-lb)", "Per stud"]
    text = '<table:table-cell office:value-type="string"><text:p>{}</text:p></table:table-cell>'
    number = '<table:table-cell office:value-type="float" office:value="{}"/>'
    formula = '<table:table-cell table:formula="of:=[.D{0}]/[.C{0}]" office:value-type="float" office:value="75"/>'
    body = "<table:table-row>" + "".join(text.format(name) for name in rows) + "</table:table-row>"
    for row in range(2, ROWS + 1):
        body += "<table:table-row>" + text.format(f"V-{row}") + text.format("hand") + number.format(8)
        body += number.format(600 + row) + formula.format(row) + "</table:table-row>"
    path.write_text(FLAT.format(body), encoding="utf-8")
    return path


def office(soffice: str, home: Path, to: str, outdir: Path, *files: Path) -> None:
    """One headless run of the office over all files, with a profile of its own."""
    subprocess.run(
        [
            soffice,
            f"-env:UserInstallation={home.as_uri()}",
            "--headless",
            "--convert-to",
            to,
            "--outdir",
            outdir,
            *files,
        ],
        check=True,
        capture_output=True,
        timeout=240,
    )


def with_injected_parts(parts: dict[str, bytes]) -> dict[str, bytes]:
    """The parts of `xlsxwriter_book` with what only office programs write put in by hand."""
    parts = dict(parts)
    ole = bytes.fromhex("D0CF11E0A1B11AE1") + b"\0" * 2000
    new = {
        "xl/embeddings/oleObject1.bin": (ole, "application/vnd.openxmlformats-officedocument.oleObject"),
        "xl/printerSettings/printerSettings1.bin": ("Plotter".encode("utf-16-le") + b"\x00P\x00" * 40, ""),
        "xl/ctrlProps/ctrlProp1.xml": (
            f'<formControlPr xmlns="{MICROSOFT}/spreadsheetml/2009/9/main" objectType="CheckBox" checked="Checked"/>',
            "application/vnd.ms-excel.controlproperties+xml",
        ),
        "xl/slicers/slicer1.xml": (
            f'<slicers xmlns="{MICROSOFT}/spreadsheetml/2009/9/main"><slicer name="Pump" cache="Slicer_Pump" '
            'rowHeight="241300"/></slicers>',
            "application/vnd.ms-excel.slicer+xml",
        ),
        "xl/slicerCaches/slicerCache1.xml": (
            f'<slicerCacheDefinition xmlns="{MICROSOFT}/spreadsheetml/2009/9/main" name="Slicer_Pump" '
            'sourceName="Pump"/>',
            "application/vnd.ms-excel.slicerCache+xml",
        ),
        "xl/threadedComments/threadedComment1.xml": (
            f'<ThreadedComments xmlns="{MICROSOFT}/spreadsheetml/2018/threadedcomments"><threadedComment ref="A4" '
            'dT="2026-01-05T08:00:00.00" personId="{00000000-0000-4000-8000-000000000001}" '
            'id="{00000000-0000-4000-8000-000000000002}"><text>check the gasket</text></threadedComment>'
            "</ThreadedComments>",
            "application/vnd.ms-excel.threadedcomments+xml",
        ),
        "xl/persons/person.xml": (
            f'<personList xmlns="{MICROSOFT}/spreadsheetml/2018/threadedcomments"><person displayName="Planner" '
            'id="{00000000-0000-4000-8000-000000000001}" userId="planner" providerId="None"/></personList>',
            "application/vnd.ms-excel.person+xml",
        ),
        "xl/connections.xml": (
            '<connections xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><connection id="1" '
            'name="register" type="5" refreshedVersion="8"/></connections>',
            "application/vnd.openxmlformats-officedocument.spreadsheetml.connections+xml",
        ),
        "xl/externalLinks/externalLink1.xml": (
            '<externalLink xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><externalBook '
            f'xmlns:r="{OFFICE}" r:id="rId1"><sheetNames><sheetName val="Old"/></sheetNames></externalBook>'
            "</externalLink>",
            "application/vnd.openxmlformats-officedocument.spreadsheetml.externalLink+xml",
        ),
        "customXml/item1.xml": ('<workOrder xmlns="urn:plant"><number>4500</number></workOrder>', ""),
        "customXml/itemProps1.xml": (
            '<ds:datastoreItem xmlns:ds="http://schemas.openxmlformats.org/officeDocument/2006/customXml" '
            'ds:itemID="{00000000-0000-4000-8000-000000000003}"/>',
            "application/vnd.openxmlformats-officedocument.customXmlProperties+xml",
        ),
        "docMetadata/LabelInfo.xml": (
            f'<clbl:labelList xmlns:clbl="{MICROSOFT}/2020/mipLabelMetadata"><clbl:label '
            'id="{00000000-0000-4000-8000-000000000004}" enabled="1" method="Privileged"/></clbl:labelList>',
            "application/vnd.ms-office.classificationlabels+xml",
        ),
        "customUI/customUI14.xml": (
            f'<customUI xmlns="{MICROSOFT}/2009/07/customui"><ribbon><tabs><tab id="t" label="Plant"/></tabs></ribbon>'
            "</customUI>",
            "",
        ),
    }
    types = '<Default Extension="bin" ContentType="application/octet-stream"/>'
    for name, (content, kind) in new.items():
        parts[name] = content.encode() if isinstance(content, str) else content
        if kind:
            types += f'<Override PartName="/{name}" ContentType="{kind}"/>'
    parts["customXml/_rels/item1.xml.rels"] = _rels(f"{OFFICE}/customXmlProps", "itemProps1.xml")
    parts["xl/externalLinks/_rels/externalLink1.xml.rels"] = _rels(
        f"{OFFICE}/externalLinkPath", "file:///old.xlsx", ' TargetMode="External"'
    )
    content_types = parts["[Content_Types].xml"]
    if b'Extension="bin"' in content_types:
        types = types.partition("/>")[2]
    parts["[Content_Types].xml"] = content_types.replace(b"</Types>", types.encode() + b"</Types>")
    _link(parts, "_rels/.rels", "u1", f"{MICROSOFT}/2007/relationships/ui/extensibility", "customUI/customUI14.xml")
    _link(
        parts,
        "_rels/.rels",
        "u2",
        f"{MICROSOFT}/2020/02/relationships/classificationlabels",
        "docMetadata/LabelInfo.xml",
    )
    book = "xl/_rels/workbook.xml.rels"
    _link(parts, book, "w1", f"{OFFICE}/connections", "connections.xml")
    _link(parts, book, "w2", f"{OFFICE}/externalLink", "externalLinks/externalLink1.xml")
    _link(parts, book, "w3", f"{OFFICE}/customXml", "../customXml/item1.xml")
    _link(parts, book, "w4", f"{MICROSOFT}/2017/10/relationships/person", "persons/person.xml")
    _link(parts, book, "w5", f"{MICROSOFT}/2007/relationships/slicerCache", "slicerCaches/slicerCache1.xml")
    sheet = "xl/worksheets/_rels/sheet1.xml.rels"
    _link(parts, sheet, "s1", f"{OFFICE}/oleObject", "../embeddings/oleObject1.bin")
    _link(parts, sheet, "s2", f"{OFFICE}/printerSettings", "../printerSettings/printerSettings1.bin")
    _link(parts, sheet, "s3", f"{OFFICE}/ctrlProp", "../ctrlProps/ctrlProp1.xml")
    _link(parts, sheet, "s4", f"{MICROSOFT}/2007/relationships/slicer", "../slicers/slicer1.xml")
    _link(
        parts,
        sheet,
        "s5",
        f"{MICROSOFT}/2017/10/relationships/threadedComment",
        "../threadedComments/threadedComment1.xml",
    )
    parts["xl/workbook.xml"] = parts["xl/workbook.xml"].replace(
        b"</sheets>", b'</sheets><externalReferences><externalReference r:id="w2"/></externalReferences>'
    )
    part = parts["xl/worksheets/sheet1.xml"]
    part = part.replace(
        b"</sheetData>",
        b'</sheetData><protectedRanges><protectedRange sqref="A2:B3" name="Keep"/></protectedRanges>',
    )
    part = part.replace(b"<headerFooter", b'<pageSetup orientation="landscape" r:id="s2"/><headerFooter')
    alternate = (
        '<mc:AlternateContent xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006" '
        f'xmlns:x14="{MICROSOFT}/spreadsheetml/2009/9/main"><mc:Choice Requires="x14">{{}}</mc:Choice>'
        "</mc:AlternateContent>"
    )
    objects = alternate.format(
        '<oleObjects><oleObject progId="Package" shapeId="1099" r:id="s1"/></oleObjects>'
    ) + alternate.format('<controls><control shapeId="1100" r:id="s3" name="Box"/></controls>')
    part = part.replace(b"<tableParts", objects.encode() + b"<tableParts")
    more = (
        f'<ext uri="{{CCE6A557-97BC-4b89-ADB6-D9C93CAAB3DF}}" xmlns:x14="{MICROSOFT}/spreadsheetml/2009/9/main">'
        f'<x14:dataValidations xmlns:xm="{MICROSOFT}/excel/2006/main" count="1"><x14:dataValidation type="list" '
        'allowBlank="1"><x14:formula1><xm:f>Lists!$A$1:$A$3</xm:f></x14:formula1><xm:sqref>AH2:AH9</xm:sqref>'
        "</x14:dataValidation></x14:dataValidations></ext>"
        f'<ext uri="{{A8765BA9-456A-4dab-B4F3-ACF838C121DE}}" xmlns:x14="{MICROSOFT}/spreadsheetml/2009/9/main">'
        '<x14:slicerList><x14:slicer r:id="s4"/></x14:slicerList></ext>'
    )
    parts["xl/worksheets/sheet1.xml"] = part.replace(b"</extLst></worksheet>", more.encode() + b"</extLst></worksheet>")
    return parts


def _rels(kind: str, target: str, more: str = "") -> bytes:
    return (
        '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
        f'<Relationship Id="rId1" Type="{kind}" Target="{target}"{more}/></Relationships>'
    ).encode()


def _link(parts: dict[str, bytes], rels: str, name: str, kind: str, target: str) -> None:
    link = f'<Relationship Id="{name}" Type="{kind}" Target="{target}"/></Relationships>'
    parts[rels] = parts[rels].replace(b"</Relationships>", link.encode())


HEADING = Style(bold=True, wrap=True, fill=True)
RESULTS = [
    OutColumn(
        "H", {1: OutCell("Joint", HEADING)} | {row: OutCell(f"=V-{row}", Style()) for row in range(2, ROWS + 1)}, 14
    ),
    OutColumn(
        "I",
        {1: OutCell("Pressure (psi)", HEADING)}
        | {row: OutCell(4250.5 + row, Style("#,##0.0")) for row in range(2, ROWS)}
        | {ROWS: OutCell(NOT_AVAILABLE, Style("#,##0.0"))},
    ),
    OutColumn("K", {1: OutCell("Message", HEADING), ROWS: OutCell("no wrench fits", Style(wrap=True))}, 50),
]


@dataclass(frozen=True)
class Case:
    """One workbook before and after."""

    source: Path
    target: Path
    report: WriteReport
    source_sha256: str


@dataclass(frozen=True)
class Suite:
    """All workbooks, and what the office shows of the written ones, row by row; None without an office."""

    cases: dict[str, Case]
    shown: dict[str, list[list[str]]] | None


def sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def made_books(folder: Path) -> list[Path]:
    """The workbooks that need no office."""
    sources = [
        xlsxwriter_book(folder / "made.xlsx"),
        xlsxwriter_book(folder / "macros.xlsm"),
        openpyxl_book(folder / "openpyxl.xlsx"),
    ]
    for name, start in (("injected.xlsx", "made.xlsx"), ("injected.xlsm", "macros.xlsm")):
        with zipfile.ZipFile(folder / start) as archive:
            parts = with_injected_parts({part: archive.read(part) for part in archive.namelist()})
        with zipfile.ZipFile(folder / name, "w", zipfile.ZIP_DEFLATED) as archive:
            for part, content in parts.items():
                archive.writestr(part, content)
        sources.append(folder / name)
    return sources


@pytest.fixture
def rich(tmp_path) -> list[Path]:
    """The workbooks of the suite that need no office."""
    return made_books(tmp_path)


@pytest.fixture(scope="session")
def results() -> list[OutColumn]:
    return RESULTS


@pytest.fixture(scope="session")
def suite(tmp_path_factory) -> Suite:
    folder = tmp_path_factory.mktemp("fidelity")
    soffice = shutil.which("soffice")
    sources = made_books(folder)
    if soffice:
        office(soffice, folder / "home", "xlsx", folder, flat_document(folder / "office.fods"))
        sources.append(folder / "office.xlsx")
    written = folder / "written"
    written.mkdir()
    cases = {}
    for source in sources:
        before = sha256(source)
        target = written / source.name
        cases[source.name] = Case(source, target, write_columns(source, "Joints", RESULTS, target), before)
    shown = None
    if soffice:
        targets = [case.target for name, case in cases.items() if name != "macros.xlsm"]
        renamed = [written / f"{path.stem}-{path.suffix[1:]}{path.suffix}" for path in targets]
        for path, other in zip(targets, renamed, strict=True):
            shutil.copy(path, other)
        filtered = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,1"
        office(soffice, folder / "home", filtered, folder / "shown", *renamed)
        shown = {}
        for path, other in zip(targets, renamed, strict=True):
            [text] = (folder / "shown").glob(f"{other.stem}*.csv")
            with text.open(encoding="utf-8", newline="") as file:
                shown[path.name] = list(csv.reader(file))
    return Suite(cases, shown)


@pytest.fixture(scope="session")
def features() -> dict[str, tuple[str, bytes]]:
    return FEATURES


@pytest.fixture(scope="session")
def cached() -> float:
    return CACHED
