"""The wrench book against itself: whole sentences, and books that say nothing. Common practice, no source."""

from pathlib import Path
from typing import Any

import pytest
import xlsxwriter

from addin.cells.words import line
from addin.wrenches.wrench_book import WrenchBook, read_wrench_book
from calc.findings import CAUTION
from tests.addin.wrenches.test_certificates import SI, TABLE, read, sheet

__all__ = ["read"]
PRODUCTS = [["Product", "Nut factor low", "Nut factor", "Nut factor high", "Source"]]


def said(book: WrenchBook) -> list[str]:
    return [line(finding, SI) for finding in book.findings if finding.level == CAUTION]


def test_a_book_without_contradictions_says_nothing(read: Any) -> None:
    links = [["75 mm link", 75, 1], ["60 mm offset adapter", 60, 1.12], ["1-1/2 in drive", 60, 1]]

    products = [*PRODUCTS, ["L-1", 0.13, 0.16, 0.19, "site test"]]

    assert said(read({"HW-1": sheet(links=links), "Lubricants": products})) == []


def test_a_table_exactly_on_a_line_through_zero_asks(read: Any) -> None:
    exact = [TABLE[0], *[[p, 412 * p // 70] for p, _ in TABLE[1:]]]
    book = read({"HW-1": sheet(table=exact)})

    assert said(book) == [
        "sheet HW-1, cell B23: every torque is exactly the same multiple of its pressure, which no wrench gives: "
        "measured on this wrench? If so, write beside 'Table confirmed by' and 'Table confirmed on' who saw it so on "
        "the certificate"
    ]
    seen = {"Table confirmed by": "N. Example", "Table confirmed on": "2026-02-01"}
    assert said(read({"HW-1": sheet(seen, table=exact)})) == []


@pytest.mark.parametrize(
    ("link", "cell", "sentence"),
    [
        (["75 mm link", 60, 1], "B12", "link '75 mm link' names another size than its across flats, 60 mm"),
        (["2 3/8 in link", 65, 1], "B12", "link '2 3/8 in link' names another size than its across flats, 65 mm"),
        (["60 mm offset adapter", 60, 1], "C12",
         "'60 mm offset adapter' has torque factor 1, but an adapter usually changes the torque"),
    ],
)  # fmt: skip
def test_a_link_against_its_own_name(read: Any, link: list[Any], cell: str, sentence: str) -> None:
    asks = "confirm the factor on its certificate" if cell == "C12" else "which one applies?"

    assert said(read({"HW-1": sheet(links=[link])})) == [f"sheet HW-1, cell {cell}: {sentence}: {asks}"]


def test_an_adapter_with_less_torque_than_the_wrench(read: Any) -> None:
    assert said(read({"HW-1": sheet(links=[["60 mm offset adapter", 60, 0.89]])})) == [
        "sheet HW-1, cell C12: '60 mm offset adapter' has torque factor 0.89, but an adapter that reaches further "
        "gives more torque, not less: is it the wrong way round?"
    ]


def with_links(heads: list[str], links: list[list[Any]]) -> list[list[Any]]:
    """The sheet with these links in place of its own."""
    rows = sheet()
    at = next(n for n, row in enumerate(rows) if row[:1] == ["Link"])
    return [*rows[:at], heads, *links, *rows[at + 2 :]]


def test_a_factor_that_the_table_holds_already(read: Any) -> None:
    """4106 N·m at 700 bar is 1.15 x 3570 N·m, what the links take; or every link has the factor."""
    heads = ["Link", "Across flats (mm)", "Torque factor", "Torque limit (N·m)"]
    links = [["75 mm link", 75, 1, 3570], ["60 mm offset adapter", 60, 1.15, 3000]]
    assert said(read({"HW-1": with_links(heads, links)})) == [
        "sheet HW-1, cell B24: table gives 4106 N·m at the rated pressure, 1.15 times what the links take at most, "
        "3570 N·m, and a link has that torque factor: does the table hold it already?"
    ]
    links[0][3] = 4100
    assert said(read({"HW-1": with_links(heads, links)})) == []
    links = [["75 mm link", 75, 1.15], ["60 mm link", 60, 1.15]]
    assert said(read({"HW-1": with_links(heads[:3], links)})) == [
        "sheet HW-1, cell B24: every link of this sheet has torque factor 1.15: was the table measured with it? Then "
        "the table holds the factor already, and the links have 1"
    ]


def test_one_serial_number_under_two_names(read: Any) -> None:
    other = [TABLE[0], *[[p, t + 9] for p, t in TABLE[1:]]]
    two = {"HW-1": sheet(), "HW-2": sheet({"Wrench": "HW-2"}, table=other)}

    assert said(read(two)) == [
        "sheet HW-2, cell B3: serial number S-77 stands also in the sheet of HW-1 (sheet HW-1 of book.xlsx): one "
        "wrench has one name"
    ]
    assert said(read({**two, "HW-2": sheet({"Wrench": "HW-2", "Serial no.": "S-78"}, table=other)})) == []


def test_two_products_with_the_same_three_factors(read: Any) -> None:
    rows = [["L-1", 0.13, 0.16, 0.19, "site test 1"], ["L-2", 0.13, 0.16, 0.19, "site test 2"]]
    assert said(read({"HW-1": sheet(), "Lubricants": [*PRODUCTS, *rows]})) == [
        "sheet Lubricants, cell C3: product 'L-2' has the nut factors of 'L-1', low, usual and high: are they its own?"
    ]
    rows[1][3] = 0.2
    assert said(read({"HW-1": sheet(), "Lubricants": [*PRODUCTS, *rows]})) == []
    bare = [["L-1", None, 0.16, None, "site test 1"], ["L-2", None, 0.16, None, "site test 2"]]
    assert said(read({"HW-1": sheet(), "Lubricants": [*PRODUCTS, *bare]})) == []


@pytest.mark.parametrize(("factor", "end"), [(0.13, "low"), (0.19, "high")])
def test_a_nut_factor_that_is_its_own_end(read: Any, factor: float, end: str) -> None:
    book = read({"HW-1": sheet(), "Lubricants": [*PRODUCTS, ["L-1", 0.13, factor, 0.19, "site test"]]})

    assert said(book) == [
        f"sheet Lubricants, cell C2: product 'L-1': its nut factor {factor} is equal to its own {end}; "
        "is it the usual value?"
    ]


def test_formulas_of_a_book_that_is_calculated_by_hand_only(tmp_path: Path) -> None:
    """The torque of one row is a formula with a stored value."""
    path = tmp_path / "book.xlsx"
    with xlsxwriter.Workbook(path) as book:
        book.set_calc_mode("manual")
        page = book.add_worksheet("HW-1")
        page.write_row(0, 0, ["Wrench", "HW-1"])
        page.write_row(2, 0, ["Pressure (bar)", "Torque (N·m)"])
        for row, pressure in enumerate((100, 200, 300), 3):
            page.write_row(row, 0, [pressure, 4 * pressure])
        page.write_formula(4, 1, "=4*A5", None, 790)

    told = [line(f, SI) for f in read_wrench_book(path, SI).findings if f.code == "formulas_maybe_old"]
    assert told == [
        "sheet HW-1, cell B5: the values of formulas here may be old (1 cells from this one on): the workbook is "
        "calculated by hand only; recalculate and save it in a spreadsheet program"
    ]
