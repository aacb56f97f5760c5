"""Makes templates/joint card.xlsx. Run once; from then on the template is a workbook that people adapt by hand.

python tests/make_card_template.py
"""

from pathlib import Path

from openpyxl import Workbook
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

TARGET = Path(__file__).resolve().parent.parent / "templates" / "joint card.xlsx"

COLUMNS = 24
COLUMN_WIDTH = 4.3  # about 8 mm
PASSES, SHOWN_PER_WRENCH, WRENCHES, ALTERNATES = 12, 8, 4, 3
GREY = PatternFill("solid", fgColor="E4E4E4")
LABEL = "404040"
THIN, HAIR, THICK = Side("thin", "000000"), Side("hair", "000000"), Side("medium", "000000")


def runs(*parts: tuple[str, float, bool]) -> CellRichText:
    """Text in several sizes: (text, size, bold)."""
    return CellRichText(*(TextBlock(InlineFont(rFont="Arial", sz=size, b=bold), text) for text, size, bold in parts))


def with_other(text: str, other: str, bold: bool = True, size: float = 10, mark: str = "   ") -> CellRichText:
    """A quantity with the same in the other system of units, smaller; blank unless both are asked for."""
    return runs((text, size, bold), (mark + other, 8 if size == 10 else 7.5, False))


class Page:
    """A sheet written from the top down, in merged cells on a fine grid."""

    def __init__(self, sheet: Worksheet) -> None:
        self.sheet, self.row = sheet, 0

    def next(self, height: float) -> None:
        self.row += 1
        self.sheet.row_dimensions[self.row].height = height

    def put(self, first, last, text, size=10.0, *, bold=False, align="left", upright="center", wrap=True, shrink=False,
            fill=None, color="000000", box=None, rows=1, start=None, indent=0):  # fmt: skip
        """Text from column first to last, `rows` rows down from row `start` (this row)."""
        top = start or self.row
        bottom = top + rows - 1
        cell = self.sheet.cell(top, first)
        cell.value = text
        cell.font = Font(name="Arial", size=size, bold=bold, color=color)
        cell.alignment = Alignment(align, upright, wrap_text=wrap and not shrink, shrink_to_fit=shrink, indent=indent)
        if (first, top) != (last, bottom):
            self.sheet.merge_cells(start_row=top, start_column=first, end_row=bottom, end_column=last)
        for row in range(top, bottom + 1):
            for column in range(first, last + 1):
                each = self.sheet.cell(row, column)
                if fill:
                    each.fill = fill
                if box:
                    each.border = Border(
                        left=box if column == first else None,
                        right=box if column == last else None,
                        top=box if row == top else None,
                        bottom=box if row == bottom else None,
                    )

    def rule(self, side: Side) -> None:
        for column in range(1, COLUMNS + 1):
            self.sheet.cell(self.row, column).border = Border(bottom=side)

    def section(self, first, last, text, height=None):
        if height:
            self.next(height)
        self.put(first, last, text, 8.5, bold=True, fill=GREY, wrap=False)

    def pair(self, first, last, label, text, **more):
        self.put(first, first + 2, label, 8, color=LABEL, wrap=False)
        self.put(first + 3, last, text, 10, **more)


def identity(page: Page) -> None:
    page.next(31)
    page.put(1, 15, "{{joint}}", 22, bold=True, upright="top")
    page.put(16, 24, "{{operation}}", 20, bold=True, align="right", upright="top", shrink=True)
    page.next(17)
    page.put(1, 15, "{{place}}", 10)
    page.put(16, 24, "card {{card}}", 12, bold=True, align="right", shrink=True)
    page.next(14)
    page.put(1, 15, "list {{list}}, sheet {{sheet}}, row {{row}}", 8, color=LABEL)
    page.put(16, 24, "date {{date}}", 10, align="right", shrink=True)
    page.rule(THICK)
    page.next(5)
    page.next(29)
    page.put(1, 24, "{{notice}}{{hide row if no notice}}", 10.5, bold=True, box=THICK, indent=1)
    page.next(5)
    page.put(1, 1, "{{hide row if no notice}}", 5)
    page.next(17)
    page.put(1, 3, "This joint:{{hide row if no attention}}", 9.5, bold=True, upright="top")
    page.put(4, 24, "{{attention}}", 9.5, bold=True, upright="top")


def data(page: Page) -> None:
    page.next(13)
    page.section(1, 12, "Studs and target")
    page.section(13, 24, "Wrench")
    left = [
        ("studs", "{{studs}} × {{thread}}, {{grade}}", True),
        ("nut", "{{across flats}} {{across flats unit}} across flats, {{nut series}}", True),
        ("gasket", "{{gasket}}", False),
        ("lubricant", "{{lubricant}}", True),
        ("friction", "{{friction}}", False),
        ("target", "{{target}}", False),
        ("preload", with_other("{{preload}} {{preload unit}}", "{{preload other}}", False), False),
    ]
    right = [
        ("wrench", "{{wrench}}", True),
        ("link", "{{link}}", True),
        ("gauge, pump", "{{gauge}}  {{pump}}", True),
        ("setpoint", "{{setpoint}} {{setpoint unit}}", True),
        ("gives", "{{torque at setpoint}} {{torque at setpoint unit}} {{difference}}", False),
        ("rated", "{{ratings}}", False),
        ("backup wrench", "{{backup wrench}}", False),
    ]
    for (label, text, bold), (label_2, text_2, bold_2) in zip(left, right, strict=True):
        page.next(15.5)
        page.pair(1, 12, label, text, bold=bold)
        page.pair(13, 24, label_2, text_2, bold=bold_2)
    page.next(15.5)
    page.pair(1, 12, "final torque", with_other("{{torque}} {{torque unit}}", "{{torque other}}"), bold=True)
    page.pair(13, 24, "certificate", "{{certificate}}")
    page.next(14)
    page.put(1, 3, "limits{{hide row if no limits}}", 8, color=LABEL, wrap=False)
    page.put(4, 24, "{{limits}}", 9)
    page.next(14)
    page.put(1, 3, "remarks{{hide row if no remarks}}", 8, color=LABEL, wrap=False)
    page.put(4, 24, "{{remarks}}", 9)
    page.next(5)


def passes(page: Page) -> None:
    head = {"bold": True, "fill": GREY, "align": "center", "box": THIN}
    page.next(17)
    top = page.row
    page.next(15)
    page.put(1, 5, "Pass", 9, rows=2, start=top, **head)
    page.put(6, 6, "%", 9, rows=2, start=top, **head)
    page.put(7, 8, "torque\n{{torque unit}}", 8, rows=2, start=top, **head)
    page.put(9, 13, "{{set heading}}\n{{set unit}}", 10.5, rows=2, start=top, **(head | {"box": THICK}))
    page.put(14, 15, "{{at set heading}}", 7.5, rows=2, start=top, **head)
    page.put(16, 19, "gap at o'clock", 8, start=top, **head)
    for column, hour in zip(range(16, 20), (12, 3, 6, 9), strict=True):
        page.put(column, column, hour, 9, **head)
    page.put(20, 22, "done by, time", 8, rows=2, start=top, **head)
    page.put(23, 24, "witness or hold", 8, rows=2, start=top, **head)
    first = page.row + 1
    for _ in range(PASSES):
        page.next(33)
        words = runs(("{{pass.name}}{{hide row if no pass}}", 11, True), ("\n{{pass.how}}", 8.5, False))
        page.put(1, 5, words, 9, box=THIN, indent=1)
        page.put(6, 6, "{{pass.percent}}", 10, align="center", shrink=True, box=THIN)
        torque = with_other("{{pass.torque}}", "{{pass.torque other}}", False, 12, "\n")
        at = with_other("{{pass.torque_at}}", "{{pass.torque at other}}", False, 12, "\n")
        page.put(7, 8, torque, 12, align="center", shrink=True, box=THIN)
        page.put(9, 13, "{{pass.set}}", 28, bold=True, align="center", shrink=True, box=THICK)
        page.put(14, 15, at, 12, align="center", shrink=True, box=THIN)
        for column in (16, 17, 18, 19):
            page.put(column, column, None, box=THIN)
        page.put(20, 22, None, box=THIN)
        page.put(23, 24, None, box=THIN)
    # words in place of a figure stand on grey, so that nobody writes a figure in
    area = f"I{first}:M{page.row}"
    words_only = FormulaRule([f"ISTEXT($I{first})"], fill=PatternFill("solid", bgColor="E4E4E4", fgColor="E4E4E4"))
    page.sheet.conditional_formatting.add(area, words_only)
    page.next(27)
    page.put(1, 24, "{{rule}}", 9, bold=True)
    wrench_rows(page, "wrench", "wrenches heading", WRENCHES, 33, (13, 8, 17))
    wrench_rows(page, "alternate", "alternates heading", ALTERNATES, 30, (11, 7, 13))
    page.next(5)


def wrench_rows(page: Page, group: str, heading: str, count: int, height: float, sizes: tuple[float, ...]) -> None:
    """Rows of wrenches, each with its pressure in every pass; hidden where there are none."""
    page.next(14)
    page.put(1, 24, f"{{{{{heading}}}}}{{{{hide row if no {heading}}}}}", 8.5, bold=True, fill=GREY, box=THIN)
    page.next(12)
    page.put(1, 3, f"wrench{{{{hide row if no {heading}}}}}", 7.5, fill=GREY, align="center", wrap=False, box=THIN)
    page.put(4, 8, "link, gauge, pump", 7.5, fill=GREY, wrap=False, box=THIN, indent=1)
    for number in range(1, SHOWN_PER_WRENCH + 1):
        column = 7 + 2 * number
        page.put(column, column + 1, f"{{{{pass.{number}.name}}}}", 8, bold=True, fill=GREY, align="center",
                 shrink=True, box=THIN)  # fmt: skip
    name_size, words_size, pressure_size = sizes
    bold = group == "wrench"
    for _ in range(count):
        page.next(height)
        name = runs((f"{{{{{group}.wrench}}}}", name_size, True), (f"\n{{{{{group}.setpoint_unit}}}}", 9, False))
        page.put(1, 3, name, name_size, align="center", box=THIN)
        page.put(4, 8, f"{{{{{group}.words}}}}{{{{hide row if no {group}}}}}", words_size, box=THIN, indent=1)
        for number in range(1, SHOWN_PER_WRENCH + 1):
            column = 7 + 2 * number
            page.put(column, column + 1, f"{{{{{group}.pressure_{number}}}}}", pressure_size, bold=bold, align="center",
                     shrink=True, box=THIN)  # fmt: skip


def order(page: Page) -> None:
    page.next(13)
    top = page.row
    page.section(11, 24, "{{order heading}}")
    page.next(76)
    page.put(11, 24, "{{order}}", 13, bold=True, upright="top")
    for label, text, height in (
        ("circular", "{{circular}}{{hide row if no circular}}", 14),
        ("side turned", "{{turned side}}", 15),
        ("stud 1", "{{stud 1}}", 15),
    ):
        page.next(height)
        page.pair(11, 24, label, text, bold=label == "stud 1")
    page.next(13)
    page.section(11, 24, "Before and while working")
    page.next(80)
    page.put(11, 24, "{{cautions}}", 8.5, upright="top")
    page.put(
        1, 10, "{{order_picture}}{{no_picture}}", 9, color=LABEL, align="center", rows=page.row - top + 1, start=top
    )
    page.next(11)
    page.put(
        1,
        10,
        "{{picture_legend}}",
        7,
        color=LABEL,
        align="center",
        shrink=True,
    )


def signatures(page: Page) -> None:
    for label in ("Tightened by", "Witness", "Hold points"):
        page.next(21)
        page.put(1, 4, label, 8.5, bold=True, box=THIN, wrap=False, indent=1)
        for first, last, word in (
            (5, 10, "name"),
            (11, 15, "qualification"),
            (16, 20, "signature"),
            (21, 24, "date, time"),
        ):
            page.put(first, last, word, 6.5, color=LABEL, upright="top", box=THIN, wrap=False)
    page.next(21)
    page.put(1, 4, "Lubricant batch", 8.5, bold=True, box=THIN, wrap=False, indent=1)
    page.put(5, 10, None, box=THIN)
    page.put(11, 24, "remarks", 6.5, color=LABEL, upright="top", box=THIN, wrap=False)
    page.next(14)
    page.put(1, 24, "{{supports}}   {{joint}}, {{operation}}, card {{card}}, {{program}}", 7.5, color=LABEL)


def make(target: Path = TARGET) -> None:
    """Write the template."""
    book = Workbook()
    book._named_styles["Normal"].font = Font(name="Arial", size=10)
    sheet = book.active
    sheet.title = "Joint card"
    sheet.sheet_view.showGridLines = False
    for column in range(1, COLUMNS + 1):
        sheet.column_dimensions[get_column_letter(column)].width = COLUMN_WIDTH
    page = Page(sheet)
    for part in (identity, data, passes, order, signatures):
        part(page)
    sheet.print_area = f"A1:{get_column_letter(COLUMNS)}{page.row}"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_A4
    sheet.page_setup.orientation = "portrait"
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.page_setup.fitToWidth = sheet.page_setup.fitToHeight = 1
    sheet.page_setup.blackAndWhite = True
    sheet.print_options.horizontalCentered = True
    margins = sheet.page_margins
    margins.left = margins.right = 0.32
    margins.top = margins.bottom = 0.32
    margins.header = margins.footer = 0.15
    book.properties.creator = "tautsheet"
    book.properties.title = "Joint card"
    target.parent.mkdir(exist_ok=True)
    book.save(target)


if __name__ == "__main__":
    make()
