"""What is said of a wrench book: whole sentences with sheet and cell, the book read as plans read it."""

import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from addin.cells.words import line
from addin.wrenches.wrench_book import read_wrench_book
from calc.units import system

DAY = datetime.date
GAUGES = [
    ["Gauge", "Unit", "Range", "Graduation", "Class", "Certificate", "Calibrated on", "Valid until"],
    ["G-1", "psi", 15000, 100, "1.0", "C-9", DAY(2026, 1, 5), DAY(2027, 1, 4)],
]
LABELS: dict[str, Any] = {
    "Wrench": "HW-1", "Kind": "square drive", "Certificate": "C-1", "Calibrated on": DAY(2026, 1, 10),
    "Certificate valid until": DAY(2027, 1, 9), "Rated pressure (psi)": 10000, "Hose rated pressure (psi)": 10000,
    "Pump": "P-1", "Pump rated pressure (psi)": 10000, "Gauge": "G-1",
}  # fmt: skip
LINK_HEAD = ["Link or socket", "Across flats (in)", "Torque factor", "Torque limit (ft-lb)"]
LINK = ["2-3/8 in", 2.375, 1, 4000]
TABLE = [["Pressure (psi)", "Torque (ft-lb)"], [1000, 400], [5000, 2050], [10000, 4100]]
LUBRICANTS = [["Product", "Nut factor low", "Nut factor", "Nut factor high", "Source"]]


def sheet(labels: dict[str, Any] | None = None, links: Any = (LINK_HEAD, LINK), table: Any = TABLE) -> list[list[Any]]:
    block = [[label, value] for label, value in (LABELS | (labels or {})).items() if value is not ...]
    return [*block, [], *links, [], *table]


ONE = {"HW-1": sheet(), "Gauges": GAUGES}
BOOKS: dict[str, dict[str, list[list[Any]]]] = {
    "sound": ONE,
    "unknown sheet": {**ONE, "Budget": [["a", "b"], [1, 2]]},
    "no gauges": {"HW-1": sheet()},
    "no name": {"HW-1": sheet({"Wrench": None}), "Gauges": GAUGES},
    "two of a name": {**ONE, "again": sheet()},
    "label twice": {"HW-1": [["Wrench", "HW-2"], *sheet()], "Gauges": GAUGES},
    "dates": {"HW-1": sheet({"Calibrated on": DAY(2027, 2, 1)}), "Gauges": GAUGES},
    "date outside": {"HW-1": sheet({"Calibrated on": DAY(1900, 2, 1)}), "Gauges": GAUGES},
    "name is a date": {"HW-1": sheet({"Pump": DAY(2026, 3, 14)}), "Gauges": GAUGES},
    "no links": {"HW-1": sheet(links=()), "Gauges": GAUGES},
    "links twice": {"HW-1": [*sheet(), [], LINK_HEAD, LINK], "Gauges": GAUGES},
    "link unnamed": {"HW-1": sheet(links=(LINK_HEAD, LINK, [None, 2, 1, 4000])), "Gauges": GAUGES},
    "link twice": {"HW-1": sheet(links=(LINK_HEAD, LINK, LINK)), "Gauges": GAUGES},
    "link factor": {"HW-1": sheet(links=(LINK_HEAD, ["2-3/8 in", 2.375, None, 4000])), "Gauges": GAUGES},
    "link size": {"HW-1": sheet(links=(LINK_HEAD, ["2-3/8 in link", 2.5625, 1, 4000])), "Gauges": GAUGES},
    "adapter": {"HW-1": sheet(links=(LINK_HEAD, ["2-3/8 in offset adapter", 2.375, 1, 4000])), "Gauges": GAUGES},
    "link heading": {"HW-1": sheet(links=([*LINK_HEAD, "Colour"], [*LINK, "red"])), "Gauges": GAUGES},
    "no table": {"HW-1": sheet(table=()), "Gauges": GAUGES},
    "table twice": {"HW-1": [*sheet(), [], ["Notes"], *TABLE], "Gauges": GAUGES},
    "service": {
        "HW-1": sheet({"Out of service from": DAY(2026, 5, 2), "Out of service until": DAY(2026, 5, 1)}),
        "Gauges": GAUGES,
    },
    "undated": {"HW-1": sheet({"Table confirmed by": "A. Example"}), "Gauges": GAUGES},
    "old": {
        "HW-1": sheet({"Table confirmed by": "A. Example", "Table confirmed on": DAY(2025, 1, 1)}),
        "Gauges": GAUGES,
    },
    "span alone": {"HW-1": sheet({"Certificate valid until": "12 months", "Calibrated on": None}), "Gauges": GAUGES},
    "gauge twice": {"HW-1": sheet(), "Gauges": [*GAUGES, GAUGES[1]]},
    "gauge not listed": {"HW-1": sheet({"Gauge": "G-7"}), "Gauges": GAUGES},
    "gauge heading": {"HW-1": sheet(), "Gauges": [[*GAUGES[0], "Colour"], [*GAUGES[1], "red"]]},
    "odd graduation": {
        "HW-1": sheet(),
        "Gauges": [GAUGES[0], ["G-1", "psi", 15000, 70, "1.0", "C-9", DAY(2026, 1, 5), DAY(2027, 1, 4)]],
    },
    "graduation unit": {
        "HW-1": sheet(),
        "Gauges": [GAUGES[0], ["G-1", "psi", 15000, "5 bar", "1.0", "C-9", DAY(2026, 1, 5), DAY(2027, 1, 4)]],
    },
    "two units": {
        "HW-1": sheet(),
        "Gauges": [GAUGES[0], ["G-1", "psi / bar", 15000, 100, "1.0", "C-9", DAY(2026, 1, 5), DAY(2027, 1, 4)]],
    },
    "product twice": {
        **ONE,
        "Lubricants": [*LUBRICANTS, ["L-1", 0.1, 0.12, 0.15, "maker"], ["L-1", 0.1, 0.12, 0.15, "maker"]],
    },
    "product empty": {**ONE, "Lubricants": [*LUBRICANTS, ["L-1", None, None, None, "maker"]]},
    "product order": {**ONE, "Lubricants": [*LUBRICANTS, ["L-1", 0.13, 0.12, 0.15, "maker"]]},
    "product source": {**ONE, "Lubricants": [*LUBRICANTS, ["L-1", 0.1, 0.12, 0.15, None]]},
    "heading twice": {**ONE, "Lubricants": [[*LUBRICANTS[0], "Source"], ["L-1", 0.1, 0.12, 0.15, "maker", "maker"]]},
    "same table": {**ONE, "HW-2": sheet({"Wrench": "HW-2"})},
    "rated torque": {"HW-1": sheet({"Rated torque (ft-lb)": 3000}), "Gauges": GAUGES},
    "rated pressure": {"HW-1": sheet({"Rated pressure (psi)": 700}), "Gauges": GAUGES},
    "work": {
        "HW-1": sheet({"Stroke angle (°)": 24, "Oil per stroke (in³)": 0.5, "Pump flow (in³/min)": 120}),
        "Gauges": GAUGES,
    },
    "work low": {
        "HW-1": sheet({"Stroke angle (°)": 24, "Oil per stroke (in³)": 20, "Pump flow (in³/min)": 120}),
        "Gauges": GAUGES,
    },
    "links far": {"HW-1": sheet(links=(LINK_HEAD, ["2-3/8 in", 2.375, 1, 1500])), "Gauges": GAUGES},
    "origin": {
        "HW-1": sheet(table=[TABLE[0], *[[p, 0.4 * p + 600] for p in range(1000, 11000, 1000)]]),
        "Gauges": GAUGES,
    },
    "step": {
        "HW-1": sheet(
            table=[TABLE[0], *[[p, 0.4 * p - 20 + (400 if p > 5000 else 0)] for p in range(1000, 11000, 1000)]]
        ),
        "Gauges": GAUGES,
    },
}

LINK_TABLE = [
    ["Table of link", "2-3/8 in"],
    ["Pressure (psi)", "Torque (ft-lb)"],
    [1000, 380],
    [5000, 1950],
    [10000, 3900],
]
FORM = [[label, None] for label in LABELS]
BOOKS |= {
    "deviation": {
        "HW-1": sheet(),
        "Gauges": [[*GAUGES[0], "Largest deviation"], [*GAUGES[1], "400"]],
    },
    "hoses": {
        "HW-1": sheet({"Hose": "H-1"}), "Gauges": GAUGES,
        "Hoses": [["Hose", "Rated pressure (psi)", "Valid until"], ["H-1", 9000, DAY(2027, 6, 30)]],
    },
    "hand tool": {
        **ONE, "Hand torque wrenches": [["Hand torque wrench", "From (N·m)", "To (N·m)", "Certificate", "Valid until"],
                                        ["HT-2", 600, 100, "K-2", DAY(2027, 9, 1)]],
    },
    "factor and table": {"HW-1": [*sheet(links=(LINK_HEAD, ["2-3/8 in", 2.375, 1.1, 4000])), [], *LINK_TABLE], "Gauges": GAUGES},
    "table of no link": {"HW-1": [*sheet(links=(LINK_HEAD, ["2 in", 2, 1, 4000])), [], *LINK_TABLE], "Gauges": GAUGES},
    "link without table": {"HW-1": [*sheet(links=(LINK_HEAD, LINK, ["2 in", 2, 1, 4000]), table=()), *LINK_TABLE], "Gauges": GAUGES},
    "row": {"HW-1": sheet({"Colour of the case": "red"}), "Gauges": GAUGES},
    "span": {"HW-1": sheet({"Certificate valid until": "12 months"}), "Gauges": GAUGES},
    "unfilled": {**ONE, "Form": [*FORM, [], LINK_HEAD, [], TABLE[0]]},
    "drift": {
        "HW-1": sheet({"Serial number": "S-1"}), "Gauges": GAUGES,
        "before": sheet({"Serial number": "S-1", "Certificate": "C-0", "Calibrated on": DAY(2025, 1, 8), "Certificate valid until": DAY(2026, 1, 7)},
                        table=[TABLE[0], *[[p, t / 0.96] for p, t in TABLE[1:]]]),
    },
    "small drift": {
        "HW-1": sheet({"Serial number": "S-1"}), "Gauges": GAUGES,
        "before": sheet({"Serial number": "S-1", "Certificate": "C-0", "Calibrated on": DAY(2025, 1, 8), "Certificate valid until": DAY(2026, 1, 7)},
                        table=[TABLE[0], *[[p, t / 1.01] for p, t in TABLE[1:]]]),
    },
    "twins": {
        "HW-1": sheet({"Kind": "HX-5"}), "Gauges": GAUGES,
        "HW-2": sheet({"Wrench": "HW-2", "Kind": "HX-5"}, links=(LINK_HEAD, [*LINK[:3], None]), table=[TABLE[0], *[[p, t * 1.356] for p, t in TABLE[1:]]]),
    },
    "unit of a column": {"HW-1": sheet(links=(["Link or socket", "Across flats (lb)", "Torque factor", "Torque limit (ft-lb)"], LINK)), "Gauges": GAUGES},
    "unit of no column": {"HW-1": sheet(links=(["Link or socket", "Across flats", "Torque factor", "Torque limit (ft-lb)"], LINK)), "Gauges": GAUGES},
    "torque column": {"HW-1": sheet({"Torque column": "Zebra"}), "Gauges": GAUGES},
}  # fmt: skip

EMPTY = "the book holds no wrench that can be used"
SAID: dict[str, list[str]] = {
    "sound": [],
    "unknown sheet": ["sheet Budget: looks like no wrench, no gauges and no lubricants: not read. If it is notes, let its name begin with Notes"],
    "no gauges": ["sheet HW-1, cell B10: gauge 'G-1' cannot be used: it is not in the sheet Gauges, or its row has a fault",
        "the book has no sheet Gauges, so no pressure can be set on a gauge's marks"],
    "no name": ["sheet HW-1, cell B1: the wrench has no name; fill the cell beside the label Wrench",
        EMPTY],
    "two of a name": ["sheet HW-1, cell B1: wrench 'HW-1' appears again on sheet again of book.xlsx; each name may stand once",
        "sheet again, cell B1: wrench 'HW-1' appears again on sheet HW-1 of book.xlsx; each name may stand once",
        EMPTY,
        "sheet again, cell B1: table is the same, figure by figure, as that of HW-1 (sheet HW-1 of book.xlsx): a certificate belongs to one wrench"],
    "label twice": ["sheet HW-1, cell A2: label 'Wrench' appears again (first in A1); keep one",
        EMPTY],
    "dates": ["sheet HW-1, cell B5: calibrated on 2027-02-01, but valid only until 2027-01-09",
        EMPTY],
    "date outside": ["sheet HW-1, cell B4: calibrated on 1900-02-01 is not between 1980-01-01 and 2099-12-31",
        EMPTY],
    "name is a date": ["sheet HW-1, cell B8: pump must be text, got the date 2026-03-14: the spreadsheet may have made it from a fraction",
        EMPTY],
    "no links": ["sheet HW-1: there is no list of links or sockets: headings Link or socket, Across flats with its unit, Torque factor, and one row for each",
        EMPTY],
    "links twice": ["sheet HW-1, cell A20: a second list of links begins here (the first in row 12); keep one",
        EMPTY],
    "link unnamed": ["sheet HW-1, cell A14: this link or socket has no name"],
    "link twice": ["sheet HW-1, cell A14: link '2-3/8 in' stands twice; neither is used",
        "sheet HW-1, cell A12: none of the links or sockets of this wrench can be used",
        EMPTY],
    "link factor": ["sheet HW-1, cell C13: torque factor of link '2-3/8 in' is not stated; write 1 only where the certificate or the maker says so",
        "sheet HW-1, cell A12: none of the links or sockets of this wrench can be used",
        EMPTY],
    "link size": ["sheet HW-1, cell B13: link '2-3/8 in link' names another size than its across flats, 2-9/16 in: which one applies?"],
    "adapter": ["sheet HW-1, cell C13: '2-3/8 in offset adapter' has torque factor 1, but an adapter usually changes the torque: confirm the factor on its certificate"],
    "link heading": ["sheet HW-1, cell E12: heading 'Colour' is not known here: this column is not used"],
    "no table": ["sheet HW-1: there is no calibration table: headings such as Pressure (psi) and Torque (ft-lb), and its rows below",
        EMPTY],
    "table twice": ["sheet HW-1, cell A21: a second calibration table begins here (the first in row 15); which one applies? Keep one",
        EMPTY],
    "service": ["sheet HW-1, cell B12: out of service from 2026-05-02, but only until 2026-05-01",
        EMPTY],
    "undated": ["sheet HW-1, cell B11: the confirmation of the table has no date: it does not count"],
    "old": ["sheet HW-1, cell B11: the table was confirmed on 2025-01-01, before its calibration on 2026-01-10: it does not count"],
    "span alone": ["sheet HW-1, cell B5: '12 months' can only be counted from the day of calibration, which is not stated",
        EMPTY],
    "gauge twice": ["sheet HW-1, cell B10: gauge 'G-1' cannot be used: it is not in the sheet Gauges, or its row has a fault",
        "sheet Gauges, cell A2: gauge 'G-1' stands twice; neither is used",
        "sheet Gauges, cell A3: gauge 'G-1' stands twice; neither is used"],
    "gauge not listed": ["sheet HW-1, cell B10: gauge 'G-7' cannot be used: it is not in the sheet Gauges, or its row has a fault"],
    "gauge heading": ["sheet Gauges, cell I1: heading 'Colour' is not known here: this column is not used"],
    "odd graduation": ["sheet Gauges, cell D2: 70 psi is an odd graduation for a scale to 15000 psi, 214 steps: is it the graduation of this gauge?"],
    "graduation unit": ["sheet HW-1, cell B10: gauge 'G-1' cannot be used: it is not in the sheet Gauges, or its row has a fault",
        "sheet Gauges, cell D2: the graduation is in bar but the gauge shows psi; state it in the gauge's own unit"],
    "two units": ["sheet HW-1, cell B10: gauge 'G-1' cannot be used: it is not in the sheet Gauges, or its row has a fault",
        "sheet Gauges, cell B2: the gauge shows psi / bar: write the unit that is set, the other in brackets: psi (bar)"],
    "product twice": ["sheet Lubricants, cell A2: product 'L-1' stands twice; neither is used",
        "sheet Lubricants, cell A3: product 'L-1' stands twice; neither is used"],
    "product empty": ["sheet Lubricants, cell A2: product 'L-1' has neither a nut factor nor friction coefficients"],
    "product order": ["sheet Lubricants, cell A2: product 'L-1': its nut factor lies outside its own low and high"],
    "product source": ["sheet Lubricants, cell E2: product 'L-1': where its friction comes from is not stated"],
    "heading twice": ["sheet Lubricants, cell F1: heading 'Source' stands twice; keep one"],
    "same table": ["sheet HW-2, cell B1: table is the same, figure by figure, as that of HW-1 (sheet HW-1 of book.xlsx): a certificate belongs to one wrench"],
    "rated torque": ["sheet HW-1, cell B19: table gives 4100 lbf·ft at the rated pressure, +36.7 % off the rated torque 3000 lbf·ft, about a factor between two units of torque: is it the table of this wrench?",
        EMPTY],
    "rated pressure": ["sheet HW-1, cell B18: table ends at 10000 psi, 1429 % of the rated pressure 700 psi: is the unit right?",
        EMPTY],
    "work": ["sheet HW-1, cell B21: table: the torque of its last row over a stroke is 412 % of the work of the oil, more than goes in: check unit, stroke angle and oil per stroke",
        EMPTY],
    "work low": ["sheet HW-1, cell B21: table: the torque of its last row over a stroke is only 10.3 % of the work of the oil: check unit, stroke angle and oil per stroke"],
    "links far": ["sheet HW-1, cell B18: table gives 4100 lbf·ft at the rated pressure, the links take at most 1500 lbf·ft: is it the table of this wrench?"],
    "origin": ["sheet HW-1, cell B16: table: its line meets 600 lbf·ft at no pressure, +13.0 % of its highest torque where +1.5 % is usual: a column moved by a row, or a gauge not at zero? Correct it, or write beside 'Table confirmed by' and 'Table confirmed on' who saw it so on the certificate",
        EMPTY],
    "step": ["sheet HW-1, cell B21: table row 6: from 5000 psi to 6000 psi the torque rises 100 % more than over the other steps, and goes on from there: a row left out or moved? Correct it, or write beside 'Table confirmed by' and 'Table confirmed on' who saw it so on the certificate",
        EMPTY],
    "deviation": ["sheet HW-1, cell B10: gauge 'G-1' cannot be used: it is not in the sheet Gauges, or its row has a fault",
        "sheet Gauges, cell I2: deviation '400' must be above 0 and at most 10 % of the scale, written with its unit: '0.6 %' of the scale, or in psi"],
    "hoses": ["sheet HW-1, cell B7: hose 'H-1' is rated 10000 psi here and 9000 psi in the sheet of hoses: which one applies?", EMPTY],
    # 100 and 600 N·m over 1.3558
    "hand tool": ["sheet Hand torque wrenches, cell A2: hand torque wrench: its range ends at 73.7562 lbf·ft, below its beginning at 442.537 lbf·ft"],
    "factor and table": ["sheet HW-1, cell C13: link '2-3/8 in' has a table of its own and a factor too; the factor of a link with its own table is 1",
        "sheet HW-1, cell A12: none of the links or sockets of this wrench can be used", EMPTY],
    "table of no link": ["sheet HW-1, cell A21: a table stands here for link '2-3/8 in', which is not in the list of links"],
    "link without table": ["sheet HW-1, cell A14: link '2 in' has no table, nor has the wrench one of its own"],
    "row": ["sheet HW-1, cell A11: 'Colour of the case' is not known here: this row is not used"],
    "unfilled": ["sheet Form: is the empty form of a wrench: nothing is read from it"],
    "drift": ["sheet HW-1, cell B3: table gives -4.0 % against the certificate before (C-0 of 2025-01-08): more than 3 %; look at the wrench"],
    "twins": ["sheet HW-2, cell B1: table gives +35.6 % against that of HW-1 (sheet HW-1 of book.xlsx), the same kind with the same rated pressure, about a factor between two units of torque: is it the table of this wrench?"],
    "unit of a column": ["sheet HW-1, cell B13: nut across flats: heading 'Across flats (lb)' has no unit known here and the cell states none; length takes in, mm, cm, ft or metre",
        "sheet HW-1, cell A12: none of the links or sockets of this wrench can be used", EMPTY],
    "unit of no column": ["sheet HW-1, cell B13: nut across flats '2.375' has no unit; length takes in, mm, cm, ft or metre",
        "sheet HW-1, cell A12: none of the links or sockets of this wrench can be used", EMPTY],
    "torque column": ["sheet HW-1, cell A16: 'Zebra' is no column of the table; it has 'Pressure (psi)', 'Torque (ft-lb)'", EMPTY],
}  # fmt: skip
NOTED = {
    "span": "sheet HW-1, cell B5: '12 months' was counted from the calibration: the last day is 2027-01-09",
    "small drift": "sheet HW-1, cell B3: table gives +1.0 % against the certificate before (C-0 of 2025-01-08)",
}
"""Notes on how a book was read, which are no lines of a plan."""


def lines(path: Path, sheets: dict[str, list[list[Any]]]) -> list[str]:
    made = openpyxl.Workbook()
    made.remove(made.active)  # type: ignore[arg-type]
    for name, rows in sheets.items():
        page = made.create_sheet(name)
        for row, values in enumerate(rows, 1):
            for column, value in enumerate(values, 1):
                if value is not None:
                    page.cell(row, column, value)
    made.save(path)
    return [text.removeprefix("book.xlsx, ") for text in read_wrench_book([path], system("US")).lines(system("US"))]


def test_every_book_has_its_sentences() -> None:
    assert SAID.keys() | NOTED.keys() == BOOKS.keys()


@pytest.mark.parametrize("name", SAID)
def test_the_whole_sentences_about_a_book(tmp_path: Path, name: str) -> None:
    """4100 lbf·ft over 24° are 20,609 lbf·in; 0.5 in³ at 10,000 psi are 5000, 20 in³ 200,000. 600 of 4600 is 13.0 %."""
    assert lines(tmp_path / "book.xlsx", BOOKS[name]) == SAID[name]


@pytest.mark.parametrize("name", NOTED)
def test_the_whole_sentence_of_a_note(tmp_path: Path, name: str) -> None:
    assert lines(tmp_path / "book.xlsx", BOOKS[name]) == []
    found = read_wrench_book([tmp_path / "book.xlsx"], system("US")).findings
    assert [line(finding, system("US")) for finding in found] == [NOTED[name]]


def test_what_of_a_book_is_hidden_or_too_large_is_said(tmp_path: Path) -> None:
    path = tmp_path / "book.xlsx"
    lines(path, {**ONE, "HW-9": sheet({"Wrench": "HW-9"}), "Log": [["Wrench", "HW-8"]]})
    made = openpyxl.load_workbook(path)
    made["HW-9"].sheet_state = "hidden"
    made["HW-1"].row_dimensions[3].hidden = True
    made["Log"].cell(30000, 1, 1)
    made.create_chartsheet("Curve")
    made.save(path)

    assert [
        text.removeprefix("book.xlsx, ") for text in read_wrench_book([path], system("US")).lines(system("US"))
    ] == [
        "sheet HW-9: is hidden: not read. Unhide it to use what it holds",
        "sheet Log: has 3 cells down to row 30000: too large for a sheet of a wrench book, not read",
        "sheet Curve: has no cells (a chart or the like): not read",
        "sheet HW-1, cell A3: hidden rows 3 are read like the others",
    ]
