"""The sheets Lubricants, Why and Example calibration of the starter workbook. Used by `make_starter.py`."""

from typing import Any

from starter_sheets import FONT, INK, LINE, RED, TYPED, Sheets, print_setup, spelt

from addin.functions.examples import CALIBRATION

PRODUCTS_FIRST, PRODUCTS_LAST = 5, 54
"""Rows of the products."""
PRODUCTS = f"Lubricants!$A${PRODUCTS_FIRST}:$F${PRODUCTS_LAST}"
STEP_ROWS, STEP_COLUMNS = 20, 7
STOPS = 40
"""Stops that are listed."""
EXAMPLE = f"'Example calibration'!$A$4:$B${3 + len(CALIBRATION)}"


def nut_factor(cell: str) -> str:
    """The nut factor of a joint: a number as typed, or the nominal one of the product that is named."""
    found = f"VLOOKUP(TRIM({cell}),{PRODUCTS},{{}},FALSE)"
    named = f'IF({found.format(6)}="ok",{found.format(3)},"{{}} "&{found.format(6)})'.replace("{}", "lubricant:")
    return f'IF(OR(ISNUMBER({cell}),{cell}=""),{cell},IFERROR({named},{cell}))'


def lubricants_sheet(sheets: Sheets) -> None:
    """Products with their nut factors: low, nominal, high, and where they are from."""
    sheet = sheets.book.add_worksheet("Lubricants")
    sheet.hide_gridlines(2)
    sheet.set_row(0, 26)
    sheet.write("A1", "Lubricants and their nut factors", sheets.style(font_size=16, bold=True))
    about = (
        "Yours to fill: values of the maker or of the site, for the studs, nuts and washers really used. A product "
        "that stands here may be typed under Nut factor on the sheet Joints: its nominal value is used, low and high "
        "on Why."
    )
    sheet.merge_range("A2:F2", about, sheets.style(text_wrap=True))
    sheet.set_row(1, 30)
    headings = (("Product", 30), ("Low", 10), ("Nut factor", 10), ("High", 10), ("Source", 44), ("Check", 44))
    sheets.protect(sheet, [width for _, width in headings])
    for column, (heading, _) in enumerate(headings):
        sheet.write(PRODUCTS_FIRST - 2, column, heading, sheets.head())
    for row in range(PRODUCTS_FIRST, PRODUCTS_LAST + 1):
        for column in range(5):
            extra: dict[str, Any] = {"num_format": "0.000"} if 0 < column < 4 else {"align": "left"}
            sheet.write_blank(row - 1, column, None, sheets.style(**{**TYPED, **extra}))
        check = (
            f'=IF(COUNTA(A{row}:E{row})=0,"",IF(A{row}="","product is missing",IF(COUNT(B{row}:D{row})<3,'
            f'"low, nut factor and high are needed, as numbers",IF(OR(B{row}>C{row},C{row}>D{row}),'
            f'"must rise: low, nut factor, high",IF(E{row}="","source is missing",'
            f'IF(COUNTIF(A${PRODUCTS_FIRST}:A${PRODUCTS_LAST},A{row})>1,"stands twice","ok"))))))'
        )
        sheets.formula(sheet, f"F{row}", check, sheets.style(border=1, border_color=LINE))
    look = {"type": "formula", "criteria": f'=AND(F{PRODUCTS_FIRST}<>"",F{PRODUCTS_FIRST}<>"ok")',
            "format": sheets.book.add_format({"font_color": RED, "bold": True})}  # fmt: skip
    sheet.conditional_format(f"F{PRODUCTS_FIRST}:F{PRODUCTS_LAST}", look)
    sheet.freeze_panes(PRODUCTS_FIRST - 1, 1)
    sheet.repeat_rows(PRODUCTS_FIRST - 2)
    print_setup(sheet)


def why_sheet(sheets: Sheets, first: int, most: int, table: str, ready: str) -> None:
    """The working of a row that is chosen, its preload by low and high friction, and every stop with a link.

    `first` is the first row of the joints, `most` how many rows are looked through, `ready` the cell that says why the
    calibration cannot be used.
    """
    sheet = sheets.book.add_worksheet("Why")
    sheet.hide_gridlines(2)
    sheets.protect(sheet, (8, 42, 9, 34, 16, 10, 44))
    sheet.set_row(0, 26)
    sheet.write("A1", "Why: the working of one row, and every row that stopped", sheets.style(font_size=16, bold=True))
    sheet.write("A3", "Row", sheets.style(align="right"))
    sheet.write("B3", 1, sheets.style(**TYPED))
    sheet.data_validation("B3", {"validate": "integer", "criteria": "between", "minimum": 1, "maximum": most})
    last = first + most - 1

    def of(letter: str) -> str:
        return f"INDEX(Joints!${letter}${first}:${letter}${last},$B$3)"

    sheet.write("C3", "as column A of the sheet Joints counts", sheets.style())
    shown = f'=IF({of("B")}="","no joint in this row",{of("B")}&": "&{of("R")})'
    sheets.formula(sheet, "D3", shown, sheets.style(bold=True))
    friction = nut_factor(of("F"))
    blocks = (
        ("Torque", f"working(\"torque_from_preload\",{of('G')},{of('C')},{friction},Joints!$M$3)", '""'),
        ("Pressure", f"working(\"setpoint\",{of('I')},{table},Joints!$M$3,Joints!$M$4,\"nearest\",Joints!$M$5)", ready),
    )  # fmt: skip
    row = 5
    for title, call, unless in blocks:
        sheet.write(f"A{row}", title, sheets.style(bold=True, font_color=INK))
        for i in range(1, STEP_ROWS + 1):
            for k in range(1, STEP_COLUMNS + 1):
                style = sheets.head() if i == 1 else sheets.style(border=1, border_color=LINE, text_wrap=k in (2, 4, 7))
                address = f"{'ABCDEFG'[k - 1]}{row + i}"
                told = unless if (i, k) == (2, 2) else '""'
                sheets.formula(
                    sheet, address, f'=IF({unless}<>"",{told},IFERROR(INDEX({call},{i},{k})&"",""))', style, array=True
                )
        row += STEP_ROWS + 2
    row = friction_block(sheets, sheet, row, of)
    sheet.write(f"A{row}", "Rows that stopped", sheets.style(bold=True, font_color=INK))
    for column, text in enumerate(("Row", "Joint: go there", "", "Why")):
        sheet.write(row, column, text, sheets.head())
    border = sheets.style(border=1, border_color=LINE, text_wrap=True)
    link = sheets.style(border=1, border_color=LINE, font_color=INK, underline=1, font_name=FONT)
    for number in range(1, STOPS + 1):
        at = row + 1 + number
        found = f"MATCH({number},Joints!$W${first}:$W${last},0)"
        sheets.formula(sheet, f"A{at}", f'=IFERROR({found},"")', border)
        there = f'HYPERLINK("#Joints!B"&(A{at}+{first - 1}),INDEX(Joints!$B${first}:$B${last},A{at})&"")'
        sheets.formula(sheet, f"B{at}", f'=IF(A{at}="","",{there})', link)
        sheet.write_blank(f"C{at}", None, border)
        sheet.merge_range(f"D{at}:G{at}", "", border)
        sheets.formula(sheet, f"D{at}", f'=IF(A{at}="","",INDEX(Joints!$S${first}:$S${last},A{at}))', border)
    end = row + 2 + STOPS
    count = f"MAX(Joints!$W${first}:$W${last})"
    more = f'=IF({count}>{STOPS},"More rows have stopped: "&{count}&" in all","")'
    sheets.formula(sheet, f"A{end}", more, sheets.style(bold=True, font_color=RED))
    print_setup(sheet)


def friction_block(sheets: Sheets, sheet: Any, row: int, of: Any) -> int:
    """The preload that the row's torque gives by low, nominal and high friction of its product."""
    sheet.write(f"A{row}", "Preload that this torque gives", sheets.style(bold=True, font_color=INK))
    border = {"border": 1, "border_color": LINE}
    for column, text in enumerate(("", "Friction of the product", "Nut factor", "Preload per stud")):
        sheet.write(row, column, text, sheets.head())
    for number, (name, column) in enumerate((("low", 2), ("nominal", 3), ("high", 4)), start=2):
        at = row + number
        found = f"VLOOKUP(TRIM({of('F')}),{PRODUCTS},{{}},FALSE)"
        factor = f'IF({found.format(6)}="ok",{found.format(column)},"")'
        sheet.write_blank(f"A{at}", None, sheets.style(**border))
        sheet.write(f"B{at}", name, sheets.style(**border))
        sheets.formula(sheet, f"C{at}", f'=IFERROR({factor},"no product")', sheets.style(**border, align="center"))
        preload = f"preload_from_torque({of('I')},{of('C')},C{at},Joints!$M$3)"
        style = sheets.style(**border, num_format="#,##0", align="right")
        sheets.formula(sheet, f"D{at}", f'=IF(ISNUMBER(C{at}),{preload},"")', style)
    return row + 6


def example_calibration_sheet(sheets: Sheets) -> None:
    """An invented calibration, to be copied for trying the workbook."""
    sheet = sheets.book.add_worksheet("Example calibration")
    sheet.hide_gridlines(2)
    sheet.set_column("A:B", 20)
    sheet.set_row(0, 26)
    sheet.write("A1", "Example of an invented wrench", sheets.style(font_size=16, bold=True, font_color=RED))
    about = (
        f"Only for trying: copy A4:B{3 + len(CALIBRATION)} into the yellow cells of the sheet Calibration, type "
        f"{len(CALIBRATION) - 1} under Points on the certificate, and EX-1 twice as the wrench. Never set a pump by it."
    )
    sheet.write("A2", about, sheets.style(bold=True))
    look = {"border": 1, "border_color": LINE, "align": "center", "num_format": "#,##0", "locked": False}
    for row, cells in enumerate(CALIBRATION, start=3):
        for column, value in enumerate(cells):
            style = sheets.style(**look, bold=row == 3)
            sheet.write(row, column, spelt(value) if isinstance(value, str) else value, style)
    print_setup(sheet, pages_tall=1)
