"""The template engine on templates that a contractor might bring: what is filled, what stays, what is refused."""

import hashlib
import io
import re
import struct
import zipfile
import zlib
from dataclasses import replace
from xml.etree import ElementTree

import pytest
import xlsxwriter
from openpyxl import Workbook, load_workbook
from openpyxl.drawing.image import Image
from openpyxl.worksheet.datavalidation import DataValidation

from addin.cards.stud_circle import stud_circle
from addin.forms.template import Filling, Template, TemplateError, Vocabulary
from addin.workbooks.package import open_package

KNOWN = Vocabulary(
    values=frozenset({"joint", "friction", "setpoint", "remarks", "never used"}),
    groups={"pass": frozenset({"set", "name"})},
    pictures=frozenset({"order picture"}),
    required=(("joint",),),
    exact=frozenset({"setpoint", "pass.set"}),
)


def png() -> bytes:
    """A picture of 2 x 2 grey pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", 2, 2, 8, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0\x80\x80" * 2))
        + chunk(b"IEND", b"")
    )


class Picture(Image):
    """A picture for openpyxl without an imaging library."""

    def __init__(self, anchor: str) -> None:
        self.ref, self.format, self.anchor, self.width, self.height = io.BytesIO(png()), "png", anchor, 40, 40

    def _data(self) -> bytes:
        return png()


@pytest.fixture
def own():
    """A contractor's workbook: cells by address, the rest is up to the test."""

    def make(**cells):
        book = Workbook()
        book.active.title = "Our card"
        for address, value in {"A1": "{{joint}}", **cells}.items():
            book.active[address] = value
        return book

    return make


@pytest.fixture
def fill(tmp_path):
    """Fill a workbook; returns the target."""

    def run(book, *fillings, names=("One", "Two", "Three"), vocabulary=KNOWN, **more):
        source, target = tmp_path / "own.xlsx", tmp_path / "filled.xlsx"
        if book is not None:
            book.save(source)
        target.unlink(missing_ok=True)
        template = Template(source, vocabulary, **more)
        run.written = template.write(target, zip(names, fillings, strict=False))
        run.template = template
        open_package(target)
        return target

    return run


def parts(path):
    with zipfile.ZipFile(path) as book:
        return {name: book.read(name) for name in book.namelist()}


def test_a_changed_template_and_another_vocabulary_are_looked_through_anew(own, tmp_path):
    path = tmp_path / "template.xlsx"
    own(B1="{{remarks}}").save(path)
    one = Template(path, KNOWN).form
    assert Template(path, KNOWN).form.scan is one.scan
    assert [place.token for place in one.places] == ["joint", "remarks"]

    with pytest.raises(TemplateError, match="{{remarks}}"):
        Template(path, replace(KNOWN, values=KNOWN.values - {"remarks"}))
    own(B1="{{friction}}").save(path)
    assert [place.token for place in Template(path, KNOWN).form.places] == ["joint", "friction"]


def test_token_alone_gives_a_typed_value_and_keeps_the_number_format(own, fill):
    book = own(A2="{{setpoint}}", A3="{{friction}}")
    book.active["A3"].number_format = "0.000"

    sheet = load_workbook(fill(book, Filling({"joint": "P-1", "setpoint": 12.5, "friction": 0.16})))["One"]
    assert (sheet["A2"].value, sheet["A3"].value, sheet["A3"].number_format) == (12.5, 0.16, "0.000")


def test_token_inside_text_gives_text(own, fill):
    book = own(A2="set {{ Setpoint }} psi on {{joint}}")

    sheet = load_workbook(fill(book, Filling({"joint": "P-1", "setpoint": 5200.0})))["One"]
    assert sheet["A2"].value == "set 5200 psi on P-1"


@pytest.mark.parametrize("text", ["=1+1", '=HYPERLINK("x")', "+1", "-2", "@SUM(A1)", "<b>&", "_x0041_", " a ", "ö½→"])
def test_text_of_the_list_stays_text(own, fill, text):
    sheet = load_workbook(fill(own(), Filling({"joint": text})))["One"]

    assert sheet["A1"].data_type == "s"
    # openpyxl gives the escape back as it stands in the file; a spreadsheet program reads it as `_x0041_`
    assert sheet["A1"].value == ("_x005F_x0041_" if text == "_x0041_" else text)


def test_characters_that_xml_forbids_are_shown_as_such(own, fill):
    sheet = load_workbook(fill(own(), Filling({"joint": "a\x0bb"})))["One"]

    assert sheet["A1"].value == "a\ufffdb"


def test_a_value_that_is_missing_leaves_a_blank_cell(own, fill):
    sheet = load_workbook(fill(own(A2="{{setpoint}}"), Filling({"joint": "P-1"})))["One"]

    assert sheet["A2"].value is None


def test_unknown_tokens_are_refused_with_sheet_and_cell(own, fill):
    with pytest.raises(TemplateError, match=r"sheet Our card: not known as a token: cell A2: \{\{torqe\}\}$"):
        fill(own(A2="{{torqe}}"), Filling({"joint": "P-1"}))


def test_known_tokens_without_a_place_are_listed(own, fill):
    fill(own(), Filling({"joint": "P-1"}))

    assert not fill.template.unknown
    assert "{{never used}}" in fill.template.unused
    assert "{{joint}}" not in fill.template.unused


def test_tokens_on_other_sheets_are_listed(own, fill):
    book = own()
    book.create_sheet("Cover")["A1"] = "{{setpoint}}"

    fill(book, Filling({"joint": "P-1"}))
    assert fill.template.unknown == ["{{setpoint}} (not on the first sheet)"]


def test_required_token_missing_is_refused(own, fill):
    with pytest.raises(TemplateError, match=r"^own.xlsx: no place for \{\{joint\}\}$"):
        fill(own(A1="nothing"), Filling({}))


def test_a_token_that_stands_in_a_formula_does_not_count(own, fill):
    with pytest.raises(TemplateError, match="no place"):
        fill(own(A1='="{{joint}}"'), Filling({}))


def test_repeating_rows(own, fill):
    book = own(A2="{{pass.name}}", B2="{{pass.set}}", A3="{{pass.name}}", B3="{{pass.set}}")
    rows = [{"name": "snug", "set": "by hand"}]

    sheet = load_workbook(fill(book, Filling({"joint": "P-1"}, {"pass": rows})))["One"]
    assert [cell.value for row in sheet["A2:B3"] for cell in row] == ["snug", "by hand", None, None]


def test_numbered_rows(own, fill):
    book = own(A2="{{pass.2.set}}", A3="{{pass.1.set}}")

    sheet = load_workbook(fill(book, Filling({"joint": "P-1"}, {"pass": [{"set": 1}, {"set": 2}]})))["One"]
    assert (sheet["A2"].value, sheet["A3"].value) == (2, 1)


def test_more_passes_than_rows_are_refused_and_the_rest_goes_on(own, fill):
    book = own(A2="{{pass.set}}")
    short, long = (
        Filling({"joint": "P-1"}, {"pass": [{"set": 1}]}),
        Filling({"joint": "P-2"}, {"pass": [{"set": 1}] * 3}),
    )

    target = fill(book, long, short)
    assert load_workbook(target).sheetnames == ["Two"]
    assert fill.written.refused == [(0, "the template has 1 rows for pass, the card needs 3")]


def test_a_need_without_a_place_is_refused(own, fill):
    with pytest.raises(TemplateError, match=r"no place for \{\{pass.2.set\}\}: it needs more rows"):
        fill(own(A2="{{pass.1.set}}"), Filling({"joint": "P-1"}, needs=[("pass.2.set",)]))


def test_rows_are_hidden_where_the_template_says_so(own, fill):
    book = own(
        A2="{{remarks}}{{hide row if no remarks}}",
        A3="{{pass.set}}{{hide row if no pass}}",
        A4="{{pass.set}}{{hide row if no pass}}",
    )

    filling = Filling({"joint": "P-1"}, {"pass": [{"set": 4}]})
    sheet = load_workbook(fill(book, filling))["One"]
    assert [sheet.row_dimensions[row].hidden for row in (1, 2, 3, 4)] == [False, True, False, True]
    assert sheet["A3"].value == 4


@pytest.mark.parametrize(
    ("shown", "value"), [("0", 12.5), ("0.0", 0.16), ("0%", 30), ("yyyy-mm-dd", 5200), ("0,", 5200)]
)
def test_a_number_format_must_not_change_what_is_set(own, fill, shown, value):
    book = own(A2="{{setpoint}}")
    book.active["A2"].number_format = shown

    with pytest.raises(TemplateError, match="cell A2 would not show"):
        fill(book, Filling({"joint": "P-1", "setpoint": value}))


def test_other_numbers_cut_by_their_format_are_noted(own, fill):
    book = own(A2="{{friction}}")
    book.active["A2"].number_format = "0.0"

    fill(book, Filling({"joint": "P-1", "friction": 0.16}))
    assert fill.written.notes == ["cell A2 would not show 0.16 whole, its number format is 0.0"]


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_no_number_is_refused(own, fill, value):
    with pytest.raises(TemplateError, match="not a number"):
        fill(own(A2="{{setpoint}}"), Filling({"joint": "P-1", "setpoint": value}))


def test_text_too_long_for_a_cell_is_refused(own, fill):
    with pytest.raises(TemplateError, match="longer than 32767"):
        fill(own(), Filling({"joint": "x" * 32768}))


def test_a_template_that_keeps_its_texts_in_one_table(fill, tmp_path):
    """Spreadsheet programs save texts in a part of their own; so does this library."""
    with xlsxwriter.Workbook(tmp_path / "own.xlsx") as book:
        sheet, other = book.add_worksheet("Our card"), book.add_worksheet("Cover")
        sheet.write("A1", "{{joint}}")
        sheet.write_rich_string("A2", book.add_format({"bold": True, "font_size": 14}), "{{setpoint}}", " psi")
        sheet.write_rich_string("A3", book.add_format({"bold": True}), "{{set", "point}} psi")
        sheet.write("A4", "ours")
        other.write("A1", "{{friction}}")
        other.write("A2", "{{joint}}")

    target = fill(None, *[Filling({"joint": tag, "setpoint": 5200}) for tag in ("P-1", "P-2")])
    after = load_workbook(target, rich_text=True)
    assert [after["Two"][cell].value for cell in ("A1", "A3", "A4")] == ["P-2", "5200 psi", "ours"]
    number, unit = after["Two"]["A2"].value
    assert (number.text, number.font.b, number.font.sz, str(unit)) == ("5200", True, 14, " psi")
    assert after["Cover"]["A2"].value == "{{joint}}"
    assert fill.template.unknown == ["{{friction}} (not on the first sheet)"]


def test_fonts_within_a_cell_stay(own, fill):
    from openpyxl.cell.rich_text import CellRichText, TextBlock
    from openpyxl.cell.text import InlineFont

    book = own(
        A2=CellRichText(
            TextBlock(InlineFont(b=True, sz=11), "{{joint}}"), TextBlock(InlineFont(sz=8), " at {{setpoint}}")
        )
    )

    cell = load_workbook(fill(book, Filling({"joint": "P-1", "setpoint": 7})), rich_text=True)["One"]["A2"].value
    assert [(part.text, part.font.b, part.font.sz) for part in cell] == [("P-1", True, 11), (" at 7", False, 8)]


def test_what_a_contractor_put_on_the_sheet_stays(own, fill):
    book = own(B2="{{setpoint}}")
    sheet = book.active
    sheet.merge_cells("C1:D4")
    sheet.column_dimensions["C"].width = 31.5
    sheet.row_dimensions[7].height = 44
    sheet.print_area, sheet.print_title_rows = "A1:F20", "1:2"
    sheet.page_setup.orientation, sheet.page_setup.paperSize = "landscape", 9
    sheet.page_margins.left = 0.9
    sheet.oddHeader.left.text, sheet.oddFooter.right.text = "Card of {{joint}}", "page &P"
    sheet.protection.sheet = True
    choice = DataValidation("list", formula1='"yes,no"')
    choice.add("F6")
    sheet.add_data_validation(choice)
    sheet.add_image(Picture("E5"))
    book.create_sheet("Notes")["A1"] = "ours"

    target = fill(book, Filling({"joint": "A&B"}), Filling({"joint": "P-2"}), names=("One", "Two"))
    after = load_workbook(target)
    assert after.sheetnames == ["One", "Two", "Notes"]
    for name, tag in (("One", "A&&B"), ("Two", "P-2")):
        card = after[name]
        assert [str(merged) for merged in card.merged_cells.ranges] == ["C1:D4"]
        assert card.column_dimensions["C"].width == 31.5
        assert card.row_dimensions[7].height == 44
        assert card.print_area == f"'{name}'!$A$1:$F$20"
        assert card.print_title_rows == "$1:$2"
        assert (card.page_setup.orientation, card.page_setup.paperSize) == ("landscape", 9)
        assert card.page_margins.left == 0.9
        assert card.oddHeader.left.text == f"Card of {tag}"
        assert card.oddFooter.right.text == "page &P"
        assert card.protection.sheet
        assert [str(item.sqref) for item in card.data_validations.dataValidation] == ["F6"]
    media = [data for name, data in parts(target).items() if name.startswith("xl/media/")]
    assert [hashlib.sha256(data).digest() for data in media] == [hashlib.sha256(png()).digest()]
    rels = [data for name, data in parts(target).items() if "drawings/_rels" in name]
    assert len(rels) == 2
    assert all(b"image1.png" in data for data in rels)


def test_one_sheet_is_selected(own, fill):
    target = fill(own(), *[Filling({"joint": "P-1"})] * 3)

    selected = [
        b'tabSelected="1"' in data for name, data in sorted(parts(target).items()) if "worksheets/sheet" in name
    ]
    assert sum(selected) == 1


def test_formulas_that_name_the_sheet_follow_it(own, fill):
    book = own(B1="{{setpoint}}", B2="='Our card'!B1*2", B3="=B1*2", B4="=SUM('Our card'!B1:B2)")

    after = load_workbook(fill(book, *[Filling({"joint": "P-1", "setpoint": 3})] * 2, names=("O'Hara", "Two")))
    assert [after["O'Hara"][cell].value for cell in ("B2", "B3", "B4")] == [
        "='O''Hara'!B1*2",
        "=B1*2",
        "=SUM('O''Hara'!B1:B2)",
    ]
    assert after["Two"]["B2"].value == "='Two'!B1*2"
    assert after.calculation.fullCalcOnLoad


def test_a_formula_elsewhere_that_refers_to_the_card_is_refused(own, fill):
    book = own()
    book.create_sheet("Index")["A1"] = "='Our card'!A1"

    with pytest.raises(TemplateError, match="a formula on another sheet refers to sheet 'Our card'"):
        fill(book, Filling({"joint": "P-1"}))


def test_a_table_on_the_card_is_refused(own, fill):
    from openpyxl.worksheet.table import Table

    book = own(C1="a", C2="b")
    book.active.add_table(Table(displayName="T", ref="C1:C2"))

    with pytest.raises(TemplateError, match="holds a table, which cannot be copied for each card"):
        fill(book, Filling({"joint": "P-1"}))


def test_a_chart_is_copied_and_refers_to_its_own_sheet(own, fill):
    from openpyxl.chart import LineChart, Reference

    book = own(B1=1, B2=2)
    chart = LineChart()
    chart.add_data(Reference(book.active, min_col=2, min_row=1, max_row=2))
    book.active.add_chart(chart, "D1")

    target = fill(book, *[Filling({"joint": "P-1"})] * 2)
    charts = [data.decode() for name, data in parts(target).items() if name.startswith("xl/charts/chart")]
    assert sorted(re.findall(r"<(?:c:)?f>'(\w+)'!", "".join(charts))) == ["One", "Two"]


def test_rows_grow_with_their_text(own, fill):
    from openpyxl.styles import Alignment

    book = own(A2="{{remarks}}")
    book.active["A2"].alignment = Alignment(wrap_text=True)
    book.active.row_dimensions[2].height = 15
    book.active.column_dimensions["A"].width = 13

    long, short = Filling({"joint": "P-1", "remarks": "word " * 40}), Filling({"joint": "P-1", "remarks": "word"})
    after = load_workbook(fill(book, long, short))
    # about 200 letters in a column of 13 characters: at least 15 lines of 11 points
    assert after["One"].row_dimensions[2].height > 15 * 11
    assert after["Two"].row_dimensions[2].height == 15


def test_text_without_wrap_in_a_merged_cell_is_pointed_out(own, fill):
    book = own(A2="{{remarks}}")
    book.active.merge_cells("A2:B2")

    fill(book, Filling({"joint": "P-1", "remarks": "word " * 40}))
    assert fill.written.notes == ["cell A2 may cut off its text: let it wrap or shrink to fit"]


def test_order_picture_beside_a_picture_of_the_template(own, fill):
    book = own(C3="{{order picture}}")
    book.active.merge_cells("C3:F20")
    book.active.add_image(Picture("A30"))
    filling = Filling({"joint": "P-1"}, pictures={"order picture": stud_circle([[1], [3], [2], [4]])})

    target = fill(book, filling, filling)
    drawings = [data for name, data in parts(target).items() if re.fullmatch(r"xl/drawings/drawing[\d-]+\.xml", name)]
    assert len(drawings) == 2
    for data in drawings:
        root = ElementTree.fromstring(data)
        identities = [item.get("id") for item in root.iter() if item.tag.endswith("}cNvPr")]
        assert len(identities) == len(set(identities)) > 12
        assert sum(item.tag.endswith("}pic") for item in root.iter()) == 1
    assert load_workbook(target)["One"]["C3"].value is None


def test_order_picture_on_a_sheet_that_had_no_drawing(own, fill):
    book = own(C3="{{order picture}}")
    filling = Filling({"joint": "P-1"}, pictures={"order picture": stud_circle([[1], [3], [2], [4]])})

    found = parts(fill(book, filling))
    sheet = found["xl/worksheets/sheet1.xml"].decode()
    identity = re.search(r'<drawing [^>]*r:id="(\w+)"', sheet)[1]
    assert f'Id="{identity}"' in found["xl/worksheets/_rels/sheet1.xml.rels"].decode()
    assert b"/xl/drawings/drawing1.xml" in found["[Content_Types].xml"]


def test_paper_is_exchanged_when_asked_for(own, fill):
    book = own()
    book.active.page_setup.paperSize = 9

    assert load_workbook(fill(book, Filling({"joint": "P-1"}), paper="Letter"))["One"].page_setup.paperSize == 1
    with pytest.raises(TemplateError, match="paper 'A9' is not known"):
        fill(book, Filling({"joint": "P-1"}), paper="A9")


def test_the_same_filling_gives_the_same_file(own, fill):
    book = own()
    first = fill(book, Filling({"joint": "P-1"})).read_bytes()

    assert fill(None, Filling({"joint": "P-1"})).read_bytes() == first


def test_template_and_existing_target_are_left_alone(own, tmp_path):
    source, target = tmp_path / "own.xlsx", tmp_path / "there.xlsx"
    own().save(source)
    target.write_text("mine")
    before = source.read_bytes()
    cards = [("One", Filling({"joint": "P-1"}))]

    with pytest.raises(TemplateError, match="is there already"):
        Template(source, KNOWN).write(target, cards)
    with pytest.raises(TemplateError, match="is the workbook that is read"):
        Template(source, KNOWN).write(source, cards)
    assert target.read_text() == "mine"
    assert source.read_bytes() == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["own.xlsx", "there.xlsx"]


def test_nothing_is_left_when_no_card_can_be_written(own, tmp_path):
    source = tmp_path / "own.xlsx"
    own().save(source)

    with pytest.raises(TemplateError, match="no card to write"):
        Template(source, KNOWN).write(tmp_path / "out.xlsx", [])
    assert [path.name for path in tmp_path.iterdir()] == ["own.xlsx"]


@pytest.mark.parametrize("content", [b"", b"PK", b"tag;torque\n"])
def test_files_that_are_no_workbook_are_refused_in_one_line(tmp_path, content):
    path = tmp_path / "bad.xlsx"
    path.write_bytes(content)

    with pytest.raises(TemplateError) as error:
        Template(path, KNOWN)
    assert "\n" not in str(error.value)
    assert "bad.xlsx" in str(error.value)


def test_a_template_written_with_name_space_prefixes(own, fill, tmp_path):
    """Some libraries write every element of a sheet with a prefix."""
    source = tmp_path / "own.xlsx"
    book = own(A2="{{setpoint}} psi", A3="{{setpoint}}", B1="{{order picture}}")
    book.active.merge_cells("B1:H20")
    book.active.print_area = "A1:H20"
    book.save(source)
    changed = parts(source)
    for name in ("xl/workbook.xml", "xl/worksheets/sheet1.xml"):
        text = re.sub(r"<(/?)(?=[a-zA-Z])(?![\w]+:)", r"<\1x:", changed[name].decode())
        changed[name] = text.replace(
            'xmlns="http://schemas.openxmlformats.org/spreadsheetml',
            'xmlns:x="http://schemas.openxmlformats.org/spreadsheetml',
        ).encode()
    with zipfile.ZipFile(source, "w") as rewritten:
        for name, data in changed.items():
            rewritten.writestr(name, data)

    picture = {"order picture": stud_circle([[1], [3], [2], [4]])}
    target = fill(None, *[Filling({"joint": tag, "setpoint": 7}, pictures=picture) for tag in ("P-1", "P-2")])
    for name, data in parts(target).items():
        if name.endswith((".xml", ".rels")):
            ElementTree.fromstring(data)
    after = load_workbook(target)
    assert after.sheetnames == ["One", "Two"]
    assert [after["Two"][cell].value for cell in ("A1", "A2", "A3")] == ["P-2", "7 psi", 7]
    assert after["Two"].print_area == "'Two'!$A$1:$H$20"


def test_a_document_type_declaration_is_refused(own, tmp_path):
    source = tmp_path / "own.xlsx"
    own().save(source)
    changed = parts(source)
    name = "xl/worksheets/sheet1.xml"
    changed[name] = b'<!DOCTYPE x [<!ENTITY a "b">]>' + changed[name]
    with zipfile.ZipFile(source, "w") as rewritten:
        for part, data in changed.items():
            rewritten.writestr(part, data)

    with pytest.raises(TemplateError, match="own.xlsx"):
        Template(source, KNOWN)
