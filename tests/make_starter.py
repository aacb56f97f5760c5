"""Writes `templates/starter.xlsx`: a workbook with live formulas of our functions, for its user to fill and change.

Run `python tests/make_starter.py` after a change here or of a function's name, help or example. It needs LibreOffice,
which calculates the workbook once, so that programs that show a file without calculating it show something too.
"""

import datetime
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import xlsxwriter
from xlsxwriter.utility import xl_col_to_name, xl_rowcol_to_cell

from addin.hosts.libreoffice.office import Office
from addin.worksheet.cell import REQUIRED, Function, answer
from addin.worksheet.examples import CALIBRATION, EXAMPLES
from addin.worksheet.functions import FUNCTIONS

STARTER = Path(__file__).parents[1] / "templates" / "starter.xlsx"
FONT, INK, LINE, TYPE, RED, GREY = "Arial", "#1F2A30", "#B9C2C6", "#FFF2B3", "#C0392B", "#6B7780"

FIRST, ROWS = 10, 12
"""First row of the joints as a spreadsheet counts, and how many rows there are."""
LETTERS = "ABCDEFGHIJKLMNOPQRST"
"""Columns of the joints."""
TABLE_FIRST, TABLE_LAST = 9, 33
"""Rows of the calibration sheet to paste into, headings first."""
TABLE = f"Calibration!$A${TABLE_FIRST}:$B${TABLE_LAST}"
FINDINGS = 8
GAUGE = '="Set on the pump gauge ("&IF(OR($K$2="US",$K$2="SI psi"),"psi","bar")&")"'

Values = Mapping[tuple[str, str], Any]
"""What cells show, by sheet and address."""

JOINTS: list[list[Any]] = [  # of an invented plant
    ["R-1 side nozzle", "1 5/8", "A193 B7", 50000, 0.15],
    ["R-1 top nozzle", "1 3/4", "A193 B16", 50000, 0.15],
    ["E-101 channel", "1 7/8", "A193 B7", 45000, 0.15],
    ["E-101 shell", "1 3/4", "A193 B7", 52500, 0.15],
    ["E-102 channel", "1 1/2", "A193 B7", 50000, 0.15],
    ["V-2 inlet", "2", "A193 B7", 45000, 0.15],
    ["R-1 manway", "2 1/2", "A193 B7", 50000, 0.17],
    ["V-2 outlet", "1 5/8", "A193 B7", "345 MPa", 0.15],
]
LINKS = (2.375, 2.5625, 2.75, 2.9375, 3.125, 3.875)
"""Sizes of the links that belong to the wrench. [in]"""

NOT_CHECKED = (
    "Not checked on this sheet: dates of certificates, ratings of pump, hose and gauge, limits of gasket, flange and "
    "stud while tightening, room for the wrench, break-out, what each stud keeps when its neighbours are tightened.",
    "joint_plan and the command 'tautsheet plan' check dates and ratings; preload_limits, breakout_check and "
    "link_clearance check theirs. What nobody enters, nobody checks.",
    "Before work: joint isolated, depressurised, drained and released; nothing above its rated pressure; hands clear "
    "of the reaction point. This supports the site's procedure, local codes and licensed practice; it replaces none.",
)

BY_HAND = (
    "'other means' under a pass: its torque is below the lowest certified point of the wrench. Passes after 3, and "
    "their patterns: pass_table."
)
STOPS = (
    "A cell that begins with STOP is text: SUM and MAX pass over it. Use the last three columns in your own formulas; "
    "they show #N/A for a row that has stopped."
)
BRACKETS = (
    "Arguments in [brackets] may be left out. A function that answers with a table needs room below and to the right "
    "of its cell; tables of the examples stand in the sheet Example data."
)


class Sheets:
    """The workbook being written, with its formats, and the values that its formulas show."""

    def __init__(self, path: Path, values: Values) -> None:
        self.book = xlsxwriter.Workbook(path, {"in_memory": True})
        made = datetime.datetime(2026, 9, 14, 6)  # so that the same script gives the same bytes
        self.book.set_properties({"title": "tautsheet starter", "author": "tautsheet", "created": made})
        self.values = values
        self.formats: dict[tuple[tuple[str, Any], ...], Any] = {}

    def style(self, **properties: Any) -> Any:
        """A format; the same properties give the same one."""
        whole = {"font_name": FONT, "font_size": 9, "valign": "vcenter", **properties}
        key = tuple(sorted(whole.items()))
        if key not in self.formats:
            self.formats[key] = self.book.add_format(whole)
        return self.formats[key]

    def formula(self, sheet: Any, address: str, formula: str, style: Any, *, array: bool = False) -> None:
        """A formula with the value it shows; one over a table of cells as an array formula, so that nothing cuts it."""
        value = self.values.get((sheet.name, address), "")
        if array:
            sheet.write_array_formula(f"{address}:{address}", f"{{{formula}}}", style, value)
        else:
            sheet.write_formula(address, formula, style, value)


def build(path: Path, values: Values) -> None:
    """Write the workbook; `values` are what its formulas show."""
    sheets = Sheets(path, values)
    joints_sheet(sheets)
    calibration_sheet(sheets)
    functions_sheet(sheets)
    sheets.book.close()


def joints_sheet(sheets: Sheets) -> None:
    sheet = sheets.book.add_worksheet("Joints")
    sheet.hide_gridlines(2)
    plain = sheets.style()
    typed = {"bg_color": TYPE, "border": 1, "border_color": LINE, "align": "center"}
    sheet.set_row(0, 26)
    sheet.write("A1", "Torque and pump pressure for one wrench", sheets.style(font_size=16, bold=True))
    steps = (
        "Paste the wrench's calibration table into the yellow cells of the sheet Calibration.",
        "Type joints into the yellow cells below, a row each. A stress may carry its unit: 345 MPa.",
        "Set the pump gauge to the pressures under Pass 1 to 3. A red row has stopped: read why.",
    )
    for number, step in enumerate(steps, start=1):
        sheet.write(number, 0, str(number), sheets.style(bold=True, align="center"))
        sheet.write(number, 1, step, plain)
    settings = (
        ("K2", "Units", "US", "Unit system: US (in, lbf, ft-lb, psi) or SI (mm, kN, N·m, bar)."),
        ("K3", "Gauge mark every", 100, "Step between two marks of the pump gauge, in psi, or bar for SI."),
        ("K4", "Torque may differ (%)", 3, "Most that rounding to a mark may change the torque."),
        ("K5", "Passes", "PCC-1 legacy", "Scheme of passes, or own percentages like 30/60/100/100."),
        ("K6", "Stress area", "root B1.1", "The area that the stress stands on: tensile, root B1.1 or root ISO."),
        ("K7", "Nuts of metric studs", None, "Nut series as its standard names it, e.g. ISO 4032. Inch: heavy hex."),
    )
    for address, label, value, note in settings:
        row = int(address[1:])
        sheet.merge_range(row - 1, 7, row - 1, 9, label, sheets.style(align="right"))
        sheet.merge_range(row - 1, 10, row - 1, 11, "" if value is None else value, sheets.style(**typed))
        sheet.write_comment(address, note)
    sheet.write("B6", "Type here", sheets.style(**typed, bold=True))
    sheet.write("C6", "Yellow cells are yours. All others calculate.", plain)
    groups = ((1, 5, "Yours"), (6, 10, "Calculated"), (11, 14, GAUGE), (15, 16, "Result"),
              (17, 19, "For your own formulas"))  # fmt: skip
    for first, last, text in groups:
        style = sheets.style(bold=True, align="center", bottom=2, bottom_color=INK)
        sheet.merge_range(FIRST - 3, first, FIRST - 3, last, "", style)
        address = xl_rowcol_to_cell(FIRST - 3, first)
        if text.startswith("="):
            sheets.formula(sheet, address, text, style)
        else:
            sheet.write(address, text, style)
    heading_cells(sheets, sheet)
    for number in range(1, ROWS + 1):
        joint_row(sheets, sheet, number, typed)
    last = FIRST + ROWS - 1
    stopped = sheets.book.add_format({"font_color": RED, "bold": True})
    sheet.conditional_format(f"A{FIRST}:Q{last}", {"type": "formula", "criteria": f'=$P{FIRST}="STOP"',
                                                  "format": stopped})  # fmt: skip
    sheet.conditional_format(f"R{FIRST}:T{last}", {"type": "formula", "criteria": f"=ISNA(R{FIRST})",
                                                  "format": sheets.book.add_format({"font_color": GREY})})  # fmt: skip
    small = sheets.style(font_color=GREY)
    sheet.merge_range(last, 0, last, 19, BY_HAND, small)
    for i, text in enumerate(NOT_CHECKED):
        row = last + 2 + i
        sheet.merge_range(row, 0, row, 19, text, sheets.style(bold=i == 0, font_color=INK if i == 0 else GREY))
        sheet.set_row(row, 16)
    sheet.merge_range(last + 6, 0, last + 6, 19, STOPS, small)
    sheet.data_validation("K2", {"validate": "list", "source": ["US", "SI", "US bar", "SI psi"]})
    sheet.data_validation("K6", {"validate": "list", "source": ["tensile", "root B1.1", "root ISO"]})
    sheet.freeze_panes(FIRST - 1, 2)
    print_setup(sheet)


def heading_cells(sheets: Sheets, sheet: Any) -> None:
    si = 'LEFT($K$2,2)="SI"'
    headings: list[tuple[str, float]] = [
        ("Row", 5), ("Joint", 17), ("Stud size", 9), ("Grade", 11),
        (f'="Stress ("&IF({si},"MPa","psi")&")"', 10), ("Nut factor", 7),
        (f'="Preload per stud ("&IF({si},"kN","lbf")&")"', 10), ("Part of yield (%)", 8),
        (f'="Torque ("&IF({si},"N·m","ft-lb")&")"', 9), (f'="Nut across flats ("&IF({si},"mm","in")&")"', 9),
        ("Link", 9), ("Full torque", 9), ("Pass 1", 11), ("Pass 2", 11), ("Pass 3", 11),
        ("Status", 9), ("Why it stopped", 48), ("Preload", 9), ("Torque", 9), ("Pressure", 9),
    ]  # fmt: skip
    head = sheets.style(bold=True, font_color="#FFFFFF", bg_color=INK, border=1, border_color=LINE, text_wrap=True,
                        align="center")  # fmt: skip
    sheet.set_row(FIRST - 2, 38)
    for column, (heading, width) in enumerate(headings):
        sheet.set_column(column, column, width)
        address = xl_rowcol_to_cell(FIRST - 2, column)
        if heading.startswith("="):
            sheets.formula(sheet, address, heading, head)
        else:
            sheet.write(address, heading, head)


def joint_row(sheets: Sheets, sheet: Any, number: int, typed: dict[str, Any]) -> None:
    row = FIRST + number - 1
    border = {"border": 1, "border_color": LINE}
    centre = {**border, "align": "center"}
    sheet.write(f"A{row}", number, sheets.style(**centre, font_color=GREY))
    values = JOINTS[number - 1] if number <= len(JOINTS) else [None] * 5
    formats: list[dict[str, Any]] = [{"align": "left"}, {"num_format": "@"}, {"align": "left"}, {"num_format": "#,##0"},
                                     {"num_format": "0.00"}]  # fmt: skip
    for column, (value, extra) in enumerate(zip(values, formats, strict=True), start=1):
        address = xl_rowcol_to_cell(row - 1, column)
        style = sheets.style(**{**typed, **extra})
        if value is None:
            sheet.write_blank(address, None, style)
        elif isinstance(value, str):
            sheet.write_string(address, value, style)
        else:
            sheet.write_number(address, value, style)
    empty = f"COUNTA($B{row}:$F{row})=0"
    passes = f'pass_table($I{row},{TABLE},$K$2,$K$5,$K$3,"nearest",$K$4)'
    links = f"SUMPRODUCT((ABS(Calibration!$D$5:$I$5-J{row})<0.002)*1)>0"
    formulas: list[tuple[str, str, dict[str, Any], bool]] = [
        ("G", f"preload_from_stress($E{row},$C{row},$K$2,$K$6)", {"num_format": "#,##0"}, False),
        ("H", f"100*G{row}/preload_from_yield(100,$D{row},$C{row},$K$2,$K$6)", {"num_format": "0.0"}, False),
        ("I", f"torque_from_preload($G{row},$C{row},$F{row},$K$2)", {"num_format": "#,##0"}, False),
        ("J", f'IF(OR($K$7="",LEFT(UPPER(TRIM($C{row})),1)<>"M"),nut_across_flats($C{row},$K$2),'
         f'nut_across_flats($C{row},$K$2,$K$7))', {"num_format": "0.000", "align": "center"}, False),
        ("K", f'IF({links},"has it","none")', {"align": "center"}, False),
        ("L", f'setpoint($I{row},{TABLE},$K$2,$K$3,"nearest",$K$4)', {"num_format": "#,##0"}, False),
        *((letter, f'IF(P{row}="planned",INDEX({passes},{at},4),NA())', {"num_format": "#,##0", "bold": True}, True)
          for letter, at in (("M", 3), ("N", 4), ("O", 5))),
    ]  # fmt: skip
    for letter, formula, extra, array in formulas:
        calm = f"IFERROR({formula},NA())" if array or letter in "HK" else formula
        sheets.formula(sheet, f"{letter}{row}", f'=IF({empty},"",{calm})', sheets.style(**{**border, **extra}),
                       array=array)  # fmt: skip
    texts = "".join(f"IF(ISTEXT({letter}{row}),{letter}{row}," for letter in "GIJL")
    first = (
        f'{texts}IF(ISNA(H{row}),stud_yield($D{row},$C{row},$K$2),"no link for this nut in the sheet Calibration")))))'
    )
    fine = f'AND({",".join(f"ISNUMBER({letter}{row})" for letter in "GHIJL")},K{row}="has it")'
    sheets.formula(sheet, f"P{row}", f'=IF({empty},"",IF({fine},"planned","STOP"))',
                   sheets.style(**centre, bold=True))  # fmt: skip
    sheets.formula(sheet, f"Q{row}", f'=IF(P{row}="STOP",{first},"")', sheets.style(**border, text_wrap=True))
    for letter, key in zip("RST", "GIL", strict=True):
        number = f'=IF({empty},"",IF(AND(P{row}="planned",ISNUMBER({key}{row})),{key}{row},NA()))'
        sheets.formula(sheet, f"{letter}{row}", number, sheets.style(**border, num_format="#,##0"))


def calibration_sheet(sheets: Sheets) -> None:
    sheet = sheets.book.add_worksheet("Calibration")
    sheet.hide_gridlines(2)
    typed = {"bg_color": TYPE, "border": 1, "border_color": LINE, "align": "center"}
    plain, grey = sheets.style(), sheets.style(font_color=GREY)
    sheet.set_column("A:B", 16)
    sheet.set_column("C:C", 3)
    sheet.set_column("D:D", 14)
    sheet.set_column("E:I", 15)
    sheet.set_row(0, 26)
    sheet.write("A1", "Calibration of the wrench", sheets.style(font_size=16, bold=True))
    sheet.write("A2", "Paste the table of the last certificate into the yellow cells, headings with their units first, "
                "lowest pressure first, values only.", plain)  # fmt: skip
    sheet.write("A4", "Wrench", sheets.style(align="right"))
    sheet.write("B4", "HW-3", sheets.style(**typed))
    sheet.write("A5", "Certificate valid until", sheets.style(align="right"))
    sheet.write_blank("B5", None, sheets.style(**typed, num_format="yyyy-mm-dd"))
    sheet.write("A6", "The date is for you to look at: it is not checked here.", grey)
    sheet.write("D4", "Links of this wrench, across flats (in, or mm when Units is SI)", plain)
    for column, size in enumerate(LINKS, start=3):
        sheet.write(4, column, size, sheets.style(**typed, num_format="0.000#"))
    sheet.write(f"A{TABLE_FIRST - 1}", "Paste here", sheets.style(bold=True))
    for at in range(TABLE_FIRST, TABLE_LAST + 1):
        cells = CALIBRATION[at - TABLE_FIRST] if at - TABLE_FIRST < len(CALIBRATION) else (None, None)
        for column, value in enumerate(cells):
            style = sheets.style(**typed, num_format="#,##0", bold=at == TABLE_FIRST)
            sheet.write(at - 1, column, value, style) if value is not None else sheet.write_blank(
                at - 1, column, None, style
            )
    sheet.write(f"D{TABLE_FIRST - 1}", "What is wrong or odd in it", sheets.style(bold=True))
    border = sheets.style(border=1, border_color=LINE, text_wrap=True)
    said = f"table_findings($A${TABLE_FIRST}:$B${TABLE_LAST})"
    for i in range(FINDINGS):
        row = TABLE_FIRST + i
        sheet.merge_range(row - 1, 4, row - 1, 8, "", border)
        for letter, column in (("D", 1), ("E", 2)):
            shown = f'=IFERROR(INDEX({said},{i + 1},{column}),"")'
            if i == FINDINGS - 1:
                more = '"more below"' if letter == "D" else '"the table has more findings than fit here"'
                shown = f'=IF(ROWS({said})>{FINDINGS},{more},IFERROR(INDEX({said},{i + 1},{column}),""))'
            sheets.formula(sheet, f"{letter}{row}", shown, border, array=letter == "D")
    chart = sheets.book.add_chart({"type": "scatter", "subtype": "straight_with_markers"})
    chart.add_series({
        "name": "=Calibration!$B$4",
        "categories": f"=Calibration!$A${TABLE_FIRST + 1}:$A${TABLE_LAST}",
        "values": f"=Calibration!$B${TABLE_FIRST + 1}:$B${TABLE_LAST}",
        "line": {"color": INK, "width": 1.5}, "marker": {"type": "circle", "size": 5, "fill": {"color": INK}},
    })  # fmt: skip
    chart.set_title({"name": "Torque against pressure, as pasted", "name_font": {"name": FONT, "size": 10}})
    chart.set_x_axis({"name": f"=Calibration!$A${TABLE_FIRST}", "num_format": "#,##0", "min": 0})
    chart.set_y_axis({"name": f"=Calibration!$B${TABLE_FIRST}", "num_format": "#,##0", "min": 0,
                      "major_gridlines": {"visible": True, "line": {"color": LINE}}})  # fmt: skip
    chart.set_legend({"none": True})
    chart.show_blanks_as("gap")
    chart.set_size({"width": 660, "height": 300})
    sheet.insert_chart(f"D{TABLE_FIRST + FINDINGS + 1}", chart)
    sheet.freeze_panes(TABLE_FIRST, 0)
    print_setup(sheet)


def functions_sheet(sheets: Sheets) -> None:
    """One row per function: what it gives, its arguments, an example and what that shows."""
    sheet = sheets.book.add_worksheet("Functions")
    data = sheets.book.add_worksheet("Example data")
    sheet.hide_gridlines(2)
    sheet.set_row(0, 26)
    sheet.write("A1", "The functions, with an example of each", sheets.style(font_size=16, bold=True))
    sheet.write("A2", BRACKETS, sheets.style())
    head = sheets.style(bold=True, font_color="#FFFFFF", bg_color=INK, border=1, border_color=LINE, align="center")
    for column, (heading, width) in enumerate(
        (("Function", 26), ("What it gives", 34), ("Arguments", 62), ("Example", 46), ("Shows", 16), ("which is", 20))
    ):
        sheet.set_column(column, column, width)
        sheet.write(3, column, heading, head)
    style = {"border": 1, "border_color": LINE, "text_wrap": True, "valign": "top"}
    places = example_data(sheets, data)
    for row, function in enumerate(FUNCTIONS, start=5):
        arguments = "\n".join(
            f"{arg.name if arg.default is REQUIRED else f'[{arg.name}]'}: {arg.help}" for arg in function.args
        )
        call = example(function, places)
        shown = answer(function, EXAMPLES[function.name])
        sheet.write(f"A{row}", function.name, sheets.style(**style, bold=True))
        sheet.write(f"B{row}", function.help, sheets.style(**style))
        sheet.write(f"C{row}", arguments, sheets.style(**style))
        sheet.write_string(f"D{row}", "=" + call, sheets.style(**style))
        formula, size = f"={call}", "number"
        if isinstance(shown, list):
            at = first_number(shown)
            formula = f"=INDEX({call},{at[0]},{at[1]})"
            size = f"row {at[0]}, column {at[1]} of a table {len(shown)} x {len(shown[0])}"
        sheets.formula(sheet, f"E{row}", formula, sheets.style(**style, num_format="#,##0.####", align="center"),
                       array=isinstance(shown, list))  # fmt: skip
        sheet.write(f"F{row}", size, sheets.style(**style))
        sheet.set_row(row - 1, 12.5 * max(len(function.args), len(function.help) // 32 + 1, len(call) // 42 + 1) + 4)
    sheet.freeze_panes(4, 1)
    sheet.repeat_rows(3)
    print_setup(sheet)
    print_setup(data)


def first_number(rows: list[list[Any]]) -> tuple[int, int]:
    """Row and column, from 1, of the first number below a table's first row; of its first cell if none is there."""
    for i, row in enumerate(rows, start=1):
        for k, cell in enumerate(row, start=1):
            if isinstance(cell, float) and (i > 1 or len(rows) == 1):
                return i, k
    return 1, 1


def example_data(sheets: Sheets, data: Any) -> dict[int, str]:
    """The tables of the examples, one below another; address by the identity of the table."""
    places: dict[int, str] = {}
    data.write("A1", "Tables of the examples in the sheet Functions", sheets.style(font_size=13, bold=True))
    data.set_column("A:L", 15)
    row = 2
    for values in EXAMPLES.values():
        for value in values:
            if not isinstance(value, tuple) or id(value) in places:
                continue
            for i, cells in enumerate(value, start=row):
                for k, cell in enumerate(cells):
                    if cell is not None:
                        data.write(i, k, cell, sheets.style(bold=i == row))
            last = f"${xl_col_to_name(len(value[0]) - 1)}${row + len(value)}"
            places[id(value)] = f"'Example data'!$A${row + 1}:{last}"
            row += len(value) + 1
    return places


def example(function: Function, places: dict[int, str]) -> str:
    """The example call as a formula, without the equals sign."""

    def cell(value: Any) -> str:
        if isinstance(value, tuple):
            return places[id(value)]
        if isinstance(value, str):
            return '"' + value.replace('"', '""') + '"'
        return f"{value:g}"

    return f"{function.name}({','.join(map(cell, EXAMPLES[function.name]))})"


def print_setup(sheet: Any) -> None:
    sheet.set_landscape()
    sheet.set_paper(8 if sheet.name == "Joints" else 9)
    sheet.fit_to_pages(1, 0)
    sheet.set_margins(0.4, 0.4, 0.5, 0.7)
    sheet.set_footer("&L&F, &A&RPage &P of &N")


def shown_in_calc(path: Path, office: Office) -> dict[tuple[str, str], Any]:
    """What every cell of a workbook shows after LibreOffice has calculated it."""
    values = {}
    book = office.open(path)
    book.recalculate()
    for sheet in book.sheets():
        columns, rows = book.used(sheet)
        for i, row in enumerate(book.cells(f"A1:{xl_col_to_name(columns - 1)}{rows}", sheet)):
            for k, (kind, content) in enumerate(row):
                if kind:
                    values[sheet, xl_rowcol_to_cell(i, k)] = content
    book.close()
    return values


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, Office() as office:
        build(Path(folder) / "starter.xlsx", {})
        values = shown_in_calc(Path(folder) / "starter.xlsx", office)
    build(STARTER, values)
    stops = [
        f"{sheet}!{address}: {value}" for (sheet, address), value in values.items() if str(value).startswith("STOP:")
    ]
    print(f"{STARTER}\n" + "\n".join(stops), file=sys.stderr)


if __name__ == "__main__":
    main()
