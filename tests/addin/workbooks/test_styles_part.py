from xml.etree import ElementTree

import openpyxl
import pytest

from addin.workbooks.markup import MAIN
from addin.workbooks.writeback import OutCell, OutColumn, Style

HEADING = Style(bold=True, wrap=True, fill=True)


def test_formats_keep_their_places_and_are_counted(books):
    source = books.joints()
    styles = [Style("0.00"), Style("#,##0"), Style('0.0" psi"'), Style("0.000", bold=True), Style(fill=True, wrap=True)]
    columns = [OutColumn("G", {row: OutCell(1234.5, style) for row, style in enumerate(styles, 2)})]
    target, _ = books.write(source, columns)
    old, new = (ElementTree.fromstring(books.unpack(path)["xl/styles.xml"]) for path in (source, target))
    for name in ("fonts", "fills", "cellXfs", "borders", "cellStyleXfs", "cellStyles", "dxfs"):
        before, after = old.find(f"{{{MAIN}}}{name}"), new.find(f"{{{MAIN}}}{name}")
        assert int(after.get("count")) == len(after)
        assert [ElementTree.tostring(each) for each in before] == [
            ElementTree.tostring(each) for each in after[: len(before)]
        ]
    sheet = openpyxl.load_workbook(target)["Joints"]
    assert [sheet[f"G{row}"].number_format for row in range(2, 7)] == [style.number_format for style in styles[:4]] + [
        "General"
    ]
    assert [sheet[f"G{row}"].font.b for row in range(2, 7)] == [False, False, False, True, False]
    assert sheet["G5"].font.name == sheet["A1"].font.name
    assert [sheet[f"G{row}"].fill.fill_type for row in (5, 6)] == [None, "solid"]
    assert sheet["E2"].number_format == "0.00"


@pytest.mark.parametrize(
    "styles",
    [
        '<s:styleSheet xmlns:s="{}"><s:fonts count="1"><s:font/></s:fonts><s:fills><s:fill/></s:fills>'
        '<s:cellXfs count="1"><s:xf/></s:cellXfs></s:styleSheet>',
        '<!-- <cellXfs> --><styleSheet xmlns="{}"><numFmts count="1"><numFmt numFmtId="200" '
        'formatCode="0.0&quot; x&quot;"/></numFmts><fonts><font><b/></font></fonts><fills count="1"><fill/></fills>'
        "<cellXfs><!-- <xf/> --><xf/></cellXfs></styleSheet>",
    ],
)
def test_styles_parts_of_other_programs(books, styles):
    parts = books.parts("")
    parts["xl/styles.xml"] = styles.format(MAIN).encode()
    source = books.pack(parts)
    cell = OutCell(1, Style('0.0" x"', bold=True, fill=True))
    target, report = books.write(source, [OutColumn("B", {2: cell})])
    assert report.warnings == []
    root = ElementTree.fromstring(books.unpack(target)["xl/styles.xml"])
    formats = root.find(f"{{{MAIN}}}cellXfs")
    assert len(formats) == 2
    number = {each.get("numFmtId"): each.get("formatCode") for each in root.iter(f"{{{MAIN}}}numFmt")}
    assert number[formats[1].get("numFmtId")] == '0.0" x"'
    assert len(number) == 1
    font = root.find(f"{{{MAIN}}}fonts")[int(formats[1].get("fontId"))]
    assert font.find(f"{{{MAIN}}}b") is not None
    assert int(formats[1].get("fillId")) == 2  # the first two places are reserved
    assert f's="{len(formats) - 1}"' in books.part(target).decode()


@pytest.mark.parametrize("styles", [None, b"<styleSheet/>", f'<styleSheet xmlns="{"urn:a"}"/>'.encode()])
def test_without_usable_styles_results_are_written_plain(books, styles):
    parts = books.parts("", styles=styles is not None)
    if styles:
        parts["xl/styles.xml"] = styles
    target, report = books.write(books.pack(parts), [books.out("B", {2: 1.5}, style=HEADING)])
    assert books.cells(target) == [("B2", "1.5", None)]
    assert "without number formats" in report.warnings[0]
    assert report.changed_parts == ("xl/worksheets/sheet1.xml",)
