"""Whether the parts of a workbook keep the order of elements, the counts and the indices that ISO/IEC 29500-1 asks for.

The orders are those of the types CT_Worksheet, CT_Workbook, CT_Stylesheet, CT_Table, CT_Dxf, CT_ScatterChart and
CT_BarChart, from memory. It is no validator: attributes are looked at only where they point at something.
"""

import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

ORDERS = {
    "worksheet": "sheetPr dimension sheetViews sheetFormatPr cols sheetData sheetCalcPr sheetProtection protectedRanges"
    " scenarios autoFilter sortState dataConsolidate customSheetViews mergeCells phoneticPr conditionalFormatting"
    " dataValidations hyperlinks printOptions pageMargins pageSetup headerFooter rowBreaks colBreaks customProperties"
    " cellWatches ignoredErrors smartTags drawing legacyDrawing legacyDrawingHF drawingHF picture oleObjects controls"
    " webPublishItems tableParts extLst",
    "workbook": "fileVersion fileSharing workbookPr workbookProtection bookViews sheets functionGroups"
    " externalReferences definedNames calcPr oleSize customWorkbookViews pivotCaches smartTagPr smartTagTypes"
    " webPublishing fileRecoveryPr webPublishObjects extLst",
    "styleSheet": "numFmts fonts fills borders cellStyleXfs cellXfs cellStyles dxfs tableStyles colors extLst",
    "table": "autoFilter sortState tableColumns tableStyleInfo extLst",
    "dxf": "font numFmt fill alignment border protection extLst",
    "scatterChart": "scatterStyle varyColors ser dLbls axId extLst",
    "lineChart": "grouping varyColors ser dLbls dropLines hiLowLines upDownBars marker smooth axId extLst",
    "barChart": "barDir grouping varyColors ser dLbls gapWidth overlap serLines axId extLst",
}
NEEDED = {"scatterChart": ("scatterStyle", "axId"), "barChart": ("barDir", "axId"), "workbook": ("sheets",),
          "table": ("tableColumns",), "worksheet": ("sheetData",)}  # fmt: skip

_INDICES = (("fontId", "fonts"), ("fillId", "fills"), ("borderId", "borders"), ("xfId", "cellStyleXfs"))


def faults(path: Path) -> list[str]:
    """Each fault as part and sentence; none where the workbook is in order."""
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist() if name.endswith((".xml", ".rels"))}
    trees = {name: ElementTree.fromstring(content) for name, content in parts.items()}
    found = [f"{name}: {text}" for name, tree in trees.items() for text in _order(tree)]
    styles = next((tree for name, tree in trees.items() if _local(tree) == "styleSheet"), None)
    sizes = {_local(child): len(child) for child in styles} if styles is not None else {}
    if styles is not None:
        found += [f"styles: {text}" for text in _styles(styles, sizes)]
    for name, tree in trees.items():
        if _local(tree) == "worksheet":
            found += [f"{name}: {text}" for text in _sheet(tree, sizes)]
        if _local(tree) == "table":
            found += [f"{name}: {text}" for text in _table(tree)]
    types = parts.get("[Content_Types].xml", b"").decode()
    names = [name for name in parts if name.startswith("xl/worksheets/sheet")]
    found += [f"{name}: has no content type" for name in names if f'PartName="/{name}"' not in types]
    return found


def _local(element: ElementTree.Element) -> str:
    return element.tag.rpartition("}")[2]


def _order(tree: ElementTree.Element) -> Iterator[str]:
    for element in tree.iter():
        order = ORDERS.get(_local(element), "").split()
        if not order:
            continue
        names = [_local(child) for child in element if _local(child) != "AlternateContent"]
        places = [order.index(name) for name in names if name in order]
        if strange := [name for name in names if name not in order]:
            yield f"{_local(element)} holds {strange[0]}"
        if places != sorted(places):
            yield f"elements of {_local(element)} are out of order: {' '.join(names)}"
        for name in NEEDED.get(_local(element), ()):
            if name not in names:
                yield f"{_local(element)} lacks {name}"


def _styles(styles: ElementTree.Element, sizes: dict[str, int]) -> Iterator[str]:
    for child in styles:
        if child.get("count") not in (None, str(len(child))):
            yield f"{_local(child)} says count {child.get('count')} and has {len(child)}"
    for xf in styles.iter():
        if _local(xf) == "xf":
            for name, of in (
                ("fontId", "fonts"),
                ("fillId", "fills"),
                ("borderId", "borders"),
                ("xfId", "cellStyleXfs"),
            ):
                if int(xf.get(name, "0")) >= max(1, sizes.get(of, 0)):
                    yield f"a format has {name} {xf.get(name)} of {sizes.get(of, 0)}"


def _sheet(sheet: ElementTree.Element, sizes: dict[str, int]) -> Iterator[str]:
    row_before = 0
    for row in sheet.iter(f"{sheet.tag[: sheet.tag.index('}') + 1]}row"):
        number = int(row.get("r", row_before + 1))
        if number <= row_before:
            yield f"row {number} after row {row_before}"
        row_before = number
        before = 0
        for cell in row:
            column = 0
            for letter in re.sub(r"\d", "", cell.get("r", "")):
                column = column * 26 + ord(letter) - 64
            if column and column <= before:
                yield f"cell {cell.get('r')} is out of order"
            before = column or before + 1
            if int(cell.get("s", "0")) >= max(1, sizes.get("cellXfs", 0)):
                yield f"cell {cell.get('r')} has format {cell.get('s')} of {sizes.get('cellXfs', 0)}"
    last = 0
    for element in sheet.iter():
        if _local(element) == "col":
            if int(element.get("min", "0")) <= last:
                yield f"column formats overlap at {element.get('min')}"
            last = int(element.get("max", "0"))
        elif _local(element) == "cfRule":
            if element.get("dxfId") and int(element.get("dxfId", "0")) >= sizes.get("dxfs", 0):
                yield f"a conditional format has look {element.get('dxfId')} of {sizes.get('dxfs', 0)}"
            if int(element.get("priority", "1")) < 1:
                yield "a conditional format has no priority"


def _table(table: ElementTree.Element) -> Iterator[str]:
    columns = next(child for child in table if _local(child) == "tableColumns")
    names = [column.get("name", "").casefold() for column in columns]
    if len(set(names)) < len(names) or not all(names):
        yield f"names of columns are not different: {names}"
    if len({column.get("id") for column in columns}) < len(names):
        yield "two columns have one id"
    left, right = (re.sub(r"\d", "", end) for end in table.get("ref", "").split(":"))
    wide = [0, 0]
    for k, text in enumerate((left, right)):
        for letter in text:
            wide[k] = wide[k] * 26 + ord(letter) - 64
    if wide[1] - wide[0] + 1 != len(names):
        yield f"{table.get('ref')} has {len(names)} columns"
