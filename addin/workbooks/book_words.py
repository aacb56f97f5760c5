"""One sentence per finding about the layout of a wrench book; the others stand in `worksheet.sentences`."""

from addin.worksheet import words
from calc.findings import Finding
from calc.units import System

SENTENCES = {
    # dates and words
    "date_outside": "{name} {text} is not between {low} and {high}",
    "dates_reversed": "calibrated on {calibrated}, but valid only until {valid_until}",
    "text_is_date": "{name} must be text, got the date {text}: the spreadsheet may have made it from a fraction",
    # sheets
    "sheet_unknown": "looks like no wrench, no gauges and no lubricants: not read. If it is notes, let its name begin"
    " with Notes",
    "sheet_hidden": "is hidden: not read. Unhide it to use what it holds",
    "sheet_no_cells": "has no cells (a chart or the like): not read",
    "sheet_long": "has {cells} cells down to row {rows}: too large for a sheet of a wrench book, not read",
    "sheet_unfilled": "is the empty form of a wrench: nothing is read from it",
    "book_empty": "the book holds no wrench that can be used",
    "gauges_missing": "the book has no sheet Gauges, so no pressure can be set on a gauge's marks",
    "rows_hidden": "hidden rows {text} are read like the others",
    "row_not_used": "'{text}' is not known here: this row is not used",
    # labels and headings
    "wrench_unnamed": "the wrench has no name; fill the cell beside the label Wrench",
    "wrench_repeated": "wrench '{text}' stands again on sheet {other}; each name may stand once",
    "label_twice": "label '{text}' stands again (first in {first}); keep one",
    "heading_not_used": "heading '{text}' is not known here: this column is not used",
    "heading_twice": "heading '{text}' stands twice; keep one",
    "heading_missing": "there is no column {text}",
    # links
    "links_missing": "there is no list of links or sockets: headings Link or socket, Across flats with its unit, Torque"
    " factor, and one row for each",
    "links_twice": "a second list of links begins here (the first in row {first}); keep one",
    "links_empty": "none of the links or sockets of this wrench can be used",
    "link_unnamed": "this link or socket has no name",
    "link_repeated": "link '{text}' stands twice; neither is used",
    "link_factor_missing": "torque factor of link '{text}' is not stated; write 1 only where the certificate or the"
    " maker says so",
    # the table
    "table_missing": "there is no calibration table: headings such as Pressure (psi) and Torque (ft-lb), and its rows"
    " below",
    "table_twice": "a second calibration table begins here (the first in row {first}); which one holds? Keep one",
    "table_unheaded": "a number stands beside the table in a column without a heading; name the column or empty it",
    "table_after_gap": "numbers stand below the table after an empty row; remove the empty row if they belong to it,"
    " the numbers if not",
    # gauges and lubricants
    "gauge_repeated": "gauge '{text}' stands twice; neither is used",
    "gauge_not_listed": "gauge '{text}' cannot be used: it is not in the sheet Gauges, or its row has a fault",
    "graduation_unit": "the graduation is in {text} but the gauge shows {unit}; state it in the gauge's own unit",
    "lubricant_repeated": "product '{text}' stands twice; neither is used",
    "lubricant_empty": "product '{text}' has neither a nut factor nor friction coefficients",
    "lubricant_order": "product '{text}': its nut factor lies outside its own low and high",
    "source_missing": "product '{text}': where its friction comes from is not stated",
}
"""Code -> sentence."""


def line(finding: Finding, units: System) -> str:
    """The sentence of a finding, with its place before it.

    >>> from calc.units import system
    >>> line(Finding("link_unnamed", "link", {"place": "sheet HW-1, cell A20"}), system("US"))
    'sheet HW-1, cell A20: this link or socket has no name'
    """
    if finding.code not in SENTENCES:
        return words.line(finding, units)
    said = SENTENCES[finding.code].format(**{**finding.facts, "name": words.name_of(finding.quantity)})
    place = finding.facts.get("place")
    return f"{place}: {said}" if place else said
