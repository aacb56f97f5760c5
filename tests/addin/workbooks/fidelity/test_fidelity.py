"""Workbooks full of what planners keep in them come back with results beside the list and nothing else changed."""

import hashlib
import re
import zipfile
from xml.etree import ElementTree

import openpyxl
import pytest
from openpyxl.worksheet.formula import ArrayFormula

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
NAMES = ["made.xlsx", "macros.xlsm", "openpyxl.xlsx", "injected.xlsx", "injected.xlsm", "office.xlsx"]
OURS = re.compile(r"[HIK]([1-9]|1[0-2])")
SHEET = "xl/worksheets/sheet1.xml"


@pytest.fixture
def case(suite, request):
    if request.param not in suite.cases:
        pytest.skip("soffice is not installed: no workbook of its making")
    return suite.cases[request.param]


every_case = pytest.mark.parametrize("case", NAMES, indirect=True)


def hashes(path):
    with zipfile.ZipFile(path) as archive:
        return {name: hashlib.sha256(archive.read(name)).hexdigest() for name in archive.namelist()}


def packed(path):
    """The packed bytes of every part, as they stand in the file."""
    raw = path.read_bytes()
    found = {}
    with zipfile.ZipFile(path) as archive:
        for entry in archive.infolist():
            start = entry.header_offset
            start += 30 + int.from_bytes(raw[start + 26 : start + 28], "little")
            start += int.from_bytes(raw[entry.header_offset + 28 : entry.header_offset + 30], "little")
            found[entry.filename] = raw[start : start + entry.compress_size]
    return found


def test_the_sources_have_every_feature(suite, features):
    """Otherwise the suite would prove nothing."""
    missing = set(features)
    for case in suite.cases.values():
        with zipfile.ZipFile(case.source) as archive:
            for name in archive.namelist():
                content = archive.read(name)
                missing -= {
                    word for word, (part, mark) in features.items() if name.startswith(part) and mark in content
                }
    assert missing == set()


@every_case
def test_every_feature_of_the_source_is_in_the_target(case, features):
    def present(path):
        with zipfile.ZipFile(path) as archive:
            parts = {name: archive.read(name) for name in archive.namelist()}
        return {
            word: sum(content.count(mark) for name, content in parts.items() if name.startswith(part))
            for word, (part, mark) in features.items()
        }

    assert present(case.target) == present(case.source)


@every_case
def test_the_source_is_unchanged(case):
    assert hashlib.sha256(case.source.read_bytes()).hexdigest() == case.source_sha256 == case.report.source_sha256


@every_case
def test_every_other_part_is_the_same_to_the_byte(case):
    before, after = hashes(case.source), hashes(case.target)
    assert list(before) == list(after)
    changed = {name for name in before if before[name] != after[name]}
    assert changed == set(case.report.changed_parts) == {SHEET, "xl/styles.xml"}
    assert case.report.kept_parts == len(before) - 2
    old, new = packed(case.source), packed(case.target)
    assert all(old[name] == new[name] for name in old if name not in changed)


@every_case
def test_the_sheet_part_differs_in_our_cells_only(case):
    """With our cells, our column widths and the used range taken out, both parts say the same."""

    def canonical(path):
        with zipfile.ZipFile(path) as archive:
            root = ElementTree.fromstring(archive.read(SHEET))
        for row in root.iter(f"{MAIN}row"):
            row.attrib.pop("spans", None)
            for cell in list(row):
                if OURS.fullmatch(cell.get("r", "")):
                    row.remove(cell)
        root.find(f"{MAIN}dimension").attrib.clear()
        for cols in root.findall(f"{MAIN}cols"):
            root.remove(cols)
        return ElementTree.canonicalize(ElementTree.tostring(root))

    assert canonical(case.source) == canonical(case.target)


@every_case
def test_bytes_of_rows_are_kept_as_they_were(case):
    """Our cells cut out of the text leave the text of the source."""
    with zipfile.ZipFile(case.source) as old, zipfile.ZipFile(case.target) as new:
        before, after = (
            re.search(rb"<sheetData>.*</sheetData>.*", archive.read(SHEET), re.DOTALL)[0] for archive in (old, new)
        )
    cut = re.sub(rb'<c r="[HIK](?:[1-9]|1[0-2])"(?:(?!</?c[ >]).)*?(?:</c>|/>(?=<c |</row>))', b"", after)
    spans = re.compile(rb' spans="[^"]*"')
    assert spans.sub(b"", cut) == spans.sub(b"", before)


@every_case
def test_formats_keep_their_places(case):
    with zipfile.ZipFile(case.source) as old, zipfile.ZipFile(case.target) as new:
        before, after = (ElementTree.fromstring(archive.read("xl/styles.xml")) for archive in (old, new))
    names = [each.tag for each in before]
    assert [each.tag for each in after if each.tag in names] == names
    for each in before:
        other = after.find(each.tag)
        kept = [ElementTree.canonicalize(ElementTree.tostring(one)) for one in each]
        assert [ElementTree.canonicalize(ElementTree.tostring(one)) for one in other][: len(kept)] == kept
        if each.tag not in (f"{MAIN}{name}" for name in ("numFmts", "fonts", "fills", "cellXfs")):
            assert len(other) == len(kept)


def read(sheet):
    """Cells with anything in them: value, or text and range of an array formula, and number format."""
    for row in sheet.iter_rows():
        for cell in row:
            value = cell.value
            if isinstance(value, ArrayFormula):
                value = (value.ref, value.text)
            if (value, cell.number_format) != (None, "General"):
                yield cell.coordinate, (value, cell.number_format)


@every_case
@pytest.mark.filterwarnings("ignore:.*not supported and will be removed")
@pytest.mark.parametrize("data_only", [True, False], ids=["values", "formulas"])
def test_openpyxl_reads_the_same_and_our_cells(case, data_only):
    before = openpyxl.load_workbook(case.source, data_only=data_only)
    after = openpyxl.load_workbook(case.target, data_only=data_only)
    assert before.sheetnames == after.sheetnames
    for name in before.sheetnames:
        if not hasattr(before[name], "iter_rows"):
            continue
        old, new = (dict(read(book[name])) for book in (before, after))
        ours = {place for place in new if name == "Joints" and OURS.fullmatch(place)}
        assert {place: seen for place, seen in new.items() if place not in ours} == old
    sheet = after["Joints"]
    assert (sheet["H2"].value, sheet["H2"].data_type) == ("=V-2", "s")
    assert (sheet["I2"].value, sheet["I2"].number_format) == (4252.5, "#,##0.0")
    assert (sheet["I12"].value, sheet["I12"].data_type) == ("#N/A", "e")
    assert sheet["K12"].value == "no wrench fits"


@pytest.mark.filterwarnings("ignore:.*not supported and will be removed")
def test_cached_values_are_still_there_for_the_reader(suite, cached):
    for name in ("made.xlsx", "injected.xlsm"):
        sheet = openpyxl.load_workbook(suite.cases[name].target, data_only=True)["Joints"]
        assert [sheet[f"E{row}"].value for row in range(2, 13)] == [cached] * 11
        assert sheet["AA2"].value == cached


def test_the_office_opens_every_workbook_and_shows_cached_values(suite, cached):
    if suite.shown is None:
        pytest.skip("soffice is not installed: not opened in an office program")
    assert set(suite.shown) == set(suite.cases) - {"macros.xlsm"}
    for name, rows in suite.shown.items():
        assert rows[0][7:11] == ["Joint", "Pressure (psi)", "", "Message"]
        assert [text.replace(",", "") for text in rows[1][7:9]] == ["=V-2", "4252.5"]
        assert rows[11][7:11] == ["=V-12", "#N/A", "", "no wrench fits"]
        if name in ("made.xlsx", "injected.xlsx", "injected.xlsm"):
            assert [row[4] for row in rows[1:12]] == [f"{cached:.2f}"] * 11
        else:
            assert float(rows[2][4]) > 70  # calculated by the office


def test_warnings_say_nothing_about_what_is_far_away(suite):
    assert all(case.report.warnings == [] for case in suite.cases.values())
