"""The sheets Functions and Example data of the starter workbook. Used by `make_starter.py`."""

from collections.abc import Mapping
from typing import Any

from starter_sheets import INK, LINE, Sheets, print_setup, spelt
from xlsxwriter.utility import xl_col_to_name

from addin.functions.calls_limits import LIMIT_INPUTS as LIMIT_LABELS
from addin.functions.calls_limits import RANGE_INPUTS as RANGE_LABELS
from addin.functions.examples import EXAMPLES, INTERACTION_INPUTS, LIMIT_INPUTS, RANGE_INPUTS
from addin.functions.gate import REQUIRED, Function, answer
from addin.functions.interaction_inputs import LABELS as INTERACTION_LABELS
from addin.functions.labelled import Label
from addin.functions.registry import FUNCTIONS
from calc.quantities import QUANTITIES
from calc.units import system

LABELLED: dict[int, Mapping[str, Label]] = {
    id(LIMIT_INPUTS): LIMIT_LABELS, id(RANGE_INPUTS): RANGE_LABELS, id(INTERACTION_INPUTS): INTERACTION_LABELS,
}  # fmt: skip
"""Tables of label and value, which have no headings: the labels each may hold."""

BRACKETS = (
    "Arguments in [brackets] may be left out. A function that answers with a table needs room below and to the right "
    "of its cell. Tables of the examples stand in the sheet Example data, each with the labels it may hold."
)
NOT_REAL = "EXAMPLES of an invented plant, for trying the functions. Never paste one of these as a calibration."
ELSEWHERE, HERE = "optional ones as the README lists them", "optional ones as the sheet Example data lists them"
HEADINGS = {"Link size": "Link size (in)"}
"""Headings that say their unit here."""
WIDTHS = (27, 27, 55, 36, 12, 13)
"""Widths of the columns of the sheet Functions."""


def functions_sheet(sheets: Sheets) -> None:
    """One row per function: what it gives, its arguments, an example and what that shows."""
    sheet = sheets.book.add_worksheet("Functions")
    data = sheets.book.add_worksheet("Example data")
    sheet.hide_gridlines(2)
    sheet.set_row(0, 26)
    sheet.write("A1", "The functions, with an example of each", sheets.style(font_size=16, bold=True))
    sheet.merge_range("A2:F2", BRACKETS, sheets.style(text_wrap=True))
    sheet.set_row(1, 28)
    headings = ("Function", "What it gives", "Arguments", "Example", "Shows", "which is")
    for column, (heading, width) in enumerate(zip(headings, WIDTHS, strict=True)):
        sheet.set_column(column, column, width)
        sheet.write(3, column, heading, sheets.head())
    style = {"border": 1, "border_color": LINE, "text_wrap": True, "valign": "top"}
    places = example_data(sheets, data)
    for row, function in enumerate(FUNCTIONS, start=5):
        arguments = spelt("\n".join(
            f"{arg.name if arg.default is REQUIRED else f'[{arg.name}]'}: {arg.help}" for arg in function.args
        )).replace(ELSEWHERE, HERE)  # fmt: skip
        call = example(function, places)
        shown = answer(function, EXAMPLES[function.name])
        formula, which, at = f"={call}", unit_shown(function) or "number", None
        if isinstance(shown, list):
            at = first_number(shown)
            formula = f"=INDEX({call},{at[0]},{at[1]})"
            which = f"row {at[0]}, column {at[1]} of a table {len(shown)} x {len(shown[0])}"
        texts = (function.name, spelt(function.help), arguments, "=" + example(function, places, ", "))
        for column, text in enumerate(texts):
            sheet.write_string(row - 1, column, text, sheets.style(**style, bold=column == 0))
        sheets.formula(sheet, f"E{row}", formula, sheets.style(**style, num_format="#,##0.####", align="center"))
        sheet.write(f"F{row}", which, sheets.style(**style))
        sheet.set_row(row - 1, 12.5 * max(map(lines, (*texts, "", which), WIDTHS)) + 4)
    sheet.freeze_panes(4, 1)
    sheet.repeat_rows(3)
    print_setup(sheet)
    data.repeat_rows(0, 1)
    print_setup(data)


def lines(text: str, width: float) -> int:
    """Lines that a text takes in a column, on the wide side."""
    return sum(len(line) // int(1.35 * width) + 1 for line in text.split("\n"))


def unit_shown(function: Function) -> str:
    """Unit of the number that a function's example shows; empty where it has none."""
    cells = dict(zip((arg.name for arg in function.args), EXAMPLES[function.name], strict=False))
    if "to_unit" in cells:
        return str(cells["to_unit"])
    kind = "pressure" if function.name == "setpoint" else function.result
    return system(str(cells["units"])).symbol(kind) if "units" in cells else ""


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
    data.write("A1", "Tables of the examples in the sheet Functions", sheets.style(font_size=16, bold=True))
    data.write("A2", NOT_REAL, sheets.style(bold=True))
    data.hide_gridlines(2)
    data.set_row(0, 26)
    data.set_column("A:A", 24)
    data.set_column("B:K", 14)
    cell = {"border": 1, "border_color": LINE}
    row = 3
    for values in EXAMPLES.values():
        for value in values:
            if not isinstance(value, tuple) or id(value) in places:
                continue
            users = [name for name, others in EXAMPLES.items() if any(other is value for other in others)]
            data.write(row, 0, f"Example, invented, for {', '.join(users)}", sheets.style(bold=True, font_color=INK))
            labels = LABELLED.get(id(value))
            row += 1
            for i, cells in enumerate(value, start=row):
                headings = i == row and labels is None
                for k, content in enumerate(cells):
                    if content is None:
                        continue
                    side = "left" if isinstance(content, str) and (k == 0 or len(content) > 16) else "center"
                    style = sheets.head() if headings else sheets.style(**cell, align=side)
                    if isinstance(content, str):
                        data.write_string(i, k, HEADINGS.get(content, spelt(content)), style)
                    else:
                        data.write_number(i, k, content, style)
                if labels is not None:
                    data.write(i, 2, unit_of(labels, cells), sheets.style())
            last = f"${xl_col_to_name(len(value[0]) - 1)}${row + len(value)}"
            places[id(value)] = f"'Example data'!$A${row + 1}:{last}"
            row += len(value) + 1
            if labels is not None:
                may = "It may hold: " + ", ".join(label.text for label in labels.values()) + "."
                data.merge_range(row - 1, 0, row - 1, 10, may, sheets.style(text_wrap=True))
                data.set_row(row - 1, 14 * lines(may, 160))
                row += 1
    return places


def unit_of(labels: Mapping[str, Label], cells: tuple[Any, ...]) -> str:
    """Unit of a plain number beside its label; empty where the value carries its own or has none."""
    label = next(label for label in labels.values() if label.text == cells[0].lower())
    if isinstance(cells[1], str) or label.cells not in QUANTITIES:
        return ""
    return system("US").symbol(QUANTITIES[label.cells].kind)


def example(function: Function, places: dict[int, str], comma: str = ",") -> str:
    """The example call as a formula, without the equals sign."""

    def cell(value: Any) -> str:
        if isinstance(value, tuple):
            return places[id(value)]
        if isinstance(value, str):
            return '"' + spelt(value).replace('"', '""') + '"'
        return f"{value:g}"

    return f"{function.name}({comma.join(map(cell, EXAMPLES[function.name]))})"
