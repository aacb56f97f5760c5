"""Texts and cell formats as every reader of a workbook sees them: lists, wrench books and forms alike."""

import pytest

from addin.workbooks.cell_formats import CellFormat, format_of, read_formats
from addin.workbooks.markup import MAIN, Markup, MarkupError
from addin.workbooks.shared_texts import SharedTexts


def styles(inner: str) -> list[CellFormat]:
    return read_formats(Markup(f'<styleSheet xmlns="{MAIN}">{inner}</styleSheet>'.encode()))


def texts(*items: str, prefix: str = "") -> SharedTexts:
    name = f"xmlns:{prefix[:-1]}" if prefix else "xmlns"
    inner = "".join(f"<{prefix}si>{item}</{prefix}si>" for item in items)
    return SharedTexts(f'<{prefix}sst {name}="{MAIN}">{inner}</{prefix}sst>'.encode(), "list.xlsx")


def test_a_format_is_made_of_its_number_format_its_font_and_its_alignment() -> None:
    found = styles(
        '<numFmts count="1"><numFmt numFmtId="164" formatCode="0.0&quot; psi&quot;"/></numFmts>'
        '<fonts count="2"><font><sz val="10"/></font><font><b/><sz val="14.5"/></font></fonts>'
        '<cellXfs count="2"><xf numFmtId="0" fontId="0"/><xf numFmtId="164" fontId="1">'
        '<alignment wrapText="1" indent="2"/></xf></cellXfs>'
        '<dxfs count="1"><dxf><font><b/></font><numFmt numFmtId="164" formatCode="0"/></dxf></dxfs>'
    )

    assert found == [CellFormat(size=10.0), CellFormat(14.5, bold=True, wrap=True, indent=2, code='0.0" psi"')]
    assert format_of(found, None) == format_of(found, 9) == found[0]
    assert format_of([], 3) == CellFormat()


@pytest.mark.parametrize(
    ("number", "shows"), [(0, True), (3, False), (44, False), (14, False), (49, True), (999, True)]
)
def test_a_format_that_is_named_by_its_number_shows_what_it_shows(number: int, shows: bool) -> None:
    """3 is #,##0 and 44 an amount with two decimals (ISO/IEC 29500-1, 18.8.30, from memory): neither shows 12.345."""
    (found,) = styles(f'<cellXfs><xf numFmtId="{number}"/></cellXfs>')

    assert found.shows(12.345) is shows


def test_more_formats_than_a_workbook_holds_are_refused() -> None:
    with pytest.raises(MarkupError, match="has more than 70,000 formats"):
        styles("<cellXfs>" + "<xf/>" * 70_001 + "</cellXfs>")


@pytest.mark.parametrize("prefix", ["", "x:"])
def test_runs_keep_their_face_and_hints_of_pronunciation_are_left_out(prefix: str) -> None:
    t = f"{prefix}t"
    found = texts(
        f"<{prefix}r><{prefix}rPr><{prefix}b/><{prefix}sz val='9'/></{prefix}rPr><{t}>HW-</{t}></{prefix}r>"
        f"<{prefix}r><{t}>3</{t}></{prefix}r><{prefix}rPh sb='0' eb='1'><{t}>?</{t}></{prefix}rPh>",
        f"<{t}>a &amp; b</{t}>",
        prefix=prefix,
    )

    assert found.runs(0) == [('<b/><sz val="9"/>', "HW-"), (None, "3")]
    assert [*found] == ["HW-3", "a & b"]
    assert found.runs(1) == [(None, "a & b")]


@pytest.mark.parametrize(
    "text", ["<![CDATA[12 < 14]]>", "12 <!-- lbf·ft -->&lt; 14", "12 &lt; 14", "1<![CDATA[2 < 1]]>4", "12 &#60; 14"]
)
def test_marked_sections_and_comments_in_a_text_change_nothing(text: str) -> None:
    assert [*texts(f"<t>{text}</t>", f"<r><t>{text}</t></r>")] == ["12 < 14"] * 2
