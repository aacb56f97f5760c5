"""The starter workbook: what the script makes, and what Calc shows in it is what the registry answers."""

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from addin.cells.texts import is_stop
from addin.functions.examples import CALIBRATION, EXAMPLES, LUBRICANTS
from addin.functions.gate import answer
from addin.functions.registry import BY_NAME, FUNCTIONS
from addin.hosts.libreoffice.office import Office, Workbook

sys.path.insert(0, str(Path(__file__).parents[2]))  # pytest, looking for doctests, imports this file by its path
import make_starter as made  # noqa: E402

pytestmark = pytest.mark.usefixtures("worked_out_once")

Shown = dict[tuple[str, str], Any]
LAST = made.FIRST + made.ROWS - 1


@pytest.fixture(scope="module")
def calculated(request: pytest.FixtureRequest, office: Office, short_starter: Path, stored: Shown) -> Shown:
    """What Calc shows in the shipped file, calculated anew: (sheet, address) -> content. The page of every function,
    with those that take a model, is calculated in a sweep only; else it is as the file has it.
    """
    if request.config.option.sweeps:
        return made.shown_in_calc(made.STARTER, office)
    page = {key: shown for key, shown in stored.items() if key[0] == "Functions"}
    return page | made.shown_in_calc(short_starter, office)


@pytest.fixture(scope="module")
def opened(office: Office, short_starter: Path) -> Iterator[Workbook]:
    """The workbook with the example of a calibration pasted as its sheet says."""
    book = office.open(short_starter)
    put_calibration(book, [list(row) for row in CALIBRATION])
    book.put("G5", [list(made.LINKS)], "Calibration")
    book.recalculate()
    yield book
    book.close()


@pytest.fixture
def filled(opened: Workbook, monkeypatch: pytest.MonkeyPatch) -> Iterator[Workbook]:
    """That workbook, in which what a test types is what stood there before, afterwards."""
    before: list[tuple[str, list[list[Any]], str]] = []
    put = opened.put

    def typed(address: str, rows: list[list[Any]], sheet: str = "") -> None:
        corner = openpyxl.utils.cell.coordinate_to_tuple(address)
        last = f"{openpyxl.utils.get_column_letter(corner[1] + len(rows[0]) - 1)}{corner[0] + len(rows) - 1}"
        stood = opened.cells(f"{address}:{last}", sheet)
        before.append((address, [[content if kind else None for kind, content in row] for row in stood], sheet))
        put(address, rows, sheet)

    monkeypatch.setattr(opened, "put", typed)
    yield opened
    for place in reversed(before):
        put(*place)


def put_calibration(book: Workbook, rows: list[list[Any]], wrench: str = "EX-1") -> None:
    book.put(f"A{made.TABLE_FIRST}", rows, "Calibration")
    book.put("B4", [[wrench], [None], [float(len(rows) - 1)]], "Calibration")
    book.put("G6", [[wrench]], "Calibration")


def row_of(book: Workbook, at: int) -> dict[str, Any]:
    """What a row of the joints shows, by column."""
    return dict(zip(made.LETTERS, (content for _, content in book.cells(f"A{at}:W{at}", "Joints")[0]), strict=True))


def call(name: str, *values: Any) -> Any:
    return answer(BY_NAME[name], values)


def table() -> list[list[Any]]:
    return [list(row) for row in CALIBRATION]


def test_the_shipped_file_is_what_the_script_makes(stored: Shown, tmp_path: Path) -> None:
    """Run `python tests/make_starter.py` when this fails after a change of a function, its help or its example."""
    made.build(tmp_path / "starter.xlsx", stored)
    fresh, shipped = (openpyxl.load_workbook(path) for path in (tmp_path / "starter.xlsx", made.STARTER))
    assert fresh.sheetnames == shipped.sheetnames
    for sheet in shipped:
        assert fresh[sheet.title].dimensions == sheet.dimensions
        for row in sheet.iter_rows():
            for cell in row:
                other = fresh[sheet.title][cell.coordinate].value
                assert getattr(other, "text", other) == getattr(cell.value, "text", cell.value), cell.coordinate


def test_joints(filled: Workbook) -> None:
    """Every row by the chain of single functions, to the last bit."""
    pasted = table()
    stopped = []
    for number, (joint, thread, grade, stress, factor) in enumerate(made.JOINTS, start=1):
        cell = row_of(filled, made.FIRST + number - 1)
        preload = call("preload_from_stress", stress, thread, "US", "root B1.1")
        torque = call("torque_from_preload", preload, thread, factor, "US")
        setting = call("setpoint", torque, pasted, "US", 100.0, "nearest", 3.0)
        assert (cell["B"], cell["G"], cell["I"], cell["L"]) == (joint, preload, torque, setting)
        assert cell["J"] == call("nut_across_flats", thread, "US")
        share = 100 * preload / call("preload_from_yield", 100.0, grade, thread, "US", "root B1.1")
        assert cell["H"] == pytest.approx(share, rel=1e-15)
        if is_stop(setting):
            stopped.append(number)
            assert (cell["R"], cell["S"]) == ("STOP", setting.removeprefix("STOP: ") + made.TOO_HIGH)
            assert {cell[letter] for letter in "MNOTUV"} == {"#N/A"}
            continue
        passes = call("pass_table", torque, pasted, "US", "PCC-1 legacy", 100.0, "nearest", 3.0)
        assert [cell[letter] for letter in "MNOPQ"] == [*(passes[at][3] for at in (2, 3, 4)), "", ""]
        assert (cell["R"], cell["S"]) == ("planned", "")
        assert [cell[letter] for letter in "TUV"] == [preload, torque, setting]
    assert stopped == [7]


def test_rows_without_a_joint_are_empty(calculated: Shown) -> None:
    for row in range(made.FIRST + len(made.JOINTS), LAST + 1):
        assert not [key for key in calculated if key[0] == "Joints" and key[1][1:] == str(row) and key[1][0] != "A"]


EMPTY = "no calibration is pasted into the sheet Calibration"


def test_without_a_calibration_nothing_is_set(calculated: Shown) -> None:
    """The yellow cells are empty, every joint says so, and the example stands apart."""
    sheet = openpyxl.load_workbook(made.STARTER)["Calibration"]
    yellow = [*sheet[f"A{made.TABLE_FIRST}:D{made.TABLE_LAST}"], *sheet["G5:N6"], *sheet["B4:B6"]]
    own = [cell.value for row in yellow for cell in row if not (cell.row == 6 and cell.column > 7)]
    assert own == [None] * len(own)
    assert (calculated["Calibration", "A9"], calculated["Calibration", "A10"]) == ("Nothing is pasted.", EMPTY)
    for row in range(made.FIRST, made.FIRST + len(made.JOINTS)):
        assert (calculated["Joints", f"R{row}"], calculated["Joints", f"S{row}"]) == ("STOP", EMPTY)
        assert {calculated["Joints", f"{letter}{row}"] for letter in "LMNOTUV"} == {"#N/A"}
    assert calculated["Why", "B29"] == EMPTY


def test_calibration(filled: Workbook) -> None:
    said = [row[0][1] for row in filled.cells("A8:A10", "Calibration")]
    assert "not checked" in said[0]
    assert said[1:] == ["10 rows, Pressure (psi) 1000 to 10000, rises, top Torque (ft-lb) 3330", ""]
    findings = filled.cells(f"F{made.TABLE_FIRST}:F{made.TABLE_FIRST + 1}", "Calibration")
    assert [row[0][1] for row in findings] == ["no findings", ""]


LEFT_OVER = [
    ("B6", 10.0, 8.0, "10 points stand in the sheet Calibration, 8 on the certificate: clear what is left over from an "
                      "earlier one"),
    ("B6", 10.0, None, "type how many points the certificate has into the sheet Calibration"),
    ("G6", "EX-1", "EX-2", made.OTHER_LINKS),
    ("B4", "EX-1", "EX-2", made.OTHER_LINKS),
    ("A114", None, 9.0, "rows of the calibration stand below row 113: they are not read"),
]  # fmt: skip
"""Where, what is right there, what is typed instead, and what every row then says."""


def test_what_is_left_over_from_another_wrench_is_never_taken(filled: Workbook) -> None:
    planned = row_of(filled, made.FIRST)
    assert planned["R"] == "planned"
    for place, right, typed, why in LEFT_OVER:
        filled.put(place, [[typed]], "Calibration")
        shown = row_of(filled, made.FIRST)
        assert (shown["R"], shown["S"]) == ("STOP", why), (place, typed)
        assert {shown[letter] for letter in "LMNOTUV"} == {"#N/A"}, (place, typed)
        filled.put(place, [[right]], "Calibration")
    assert row_of(filled, made.FIRST) == planned


def test_four_columns_may_be_pasted(filled: Workbook) -> None:
    """The table is read by its headings, and nothing of ours stands in the way."""
    rows = [["Point", "Pressure (psi)", "Torque (ft-lb)", "Remarks"]]
    rows += [[float(k), *row, "ok"] for k, row in enumerate(CALIBRATION[1:], start=1)]  # type: ignore[list-item]
    before = row_of(filled, made.FIRST)
    put_calibration(filled, rows)
    assert row_of(filled, made.FIRST) == before
    book = openpyxl.load_workbook(made.STARTER)["Calibration"]
    assert not [cell.coordinate for row in book["A14:D113"] for cell in row if cell.value is not None]


def test_a_product_under_nut_factor(filled: Workbook) -> None:
    """The nominal value is used; low, nominal and high stand on the sheet Why; an odd product stops its rows."""
    product, low, nominal, high, source = LUBRICANTS[1]
    products = [
        [product, low, nominal, high, source],
        ["Paste X", 0.15, 0.14, 0.17, "x"],
        ["Paste Y", 0.1, 0.1, 0.1, None],
    ]
    filled.put("A5", products, "Lubricants")
    at = made.FIRST
    filled.put(f"F{at}", [[product], ["Paste X"], ["Paste Y"], ["Paste Z"]], "Joints")
    shown = row_of(filled, at)
    assert shown["I"] == call("torque_from_preload", shown["G"], shown["C"], nominal, "US")
    reasons = [row_of(filled, at + k)["S"] for k in (1, 2, 3)]
    wrong = "nut factor must be a number, got '"
    assert [reason.removeprefix(wrong) for reason in reasons] == [
        "lubricant: must rise: low, nut factor, high'", "lubricant: source is missing'", "Paste Z'"
    ]  # fmt: skip
    rows = filled.cells("A1:G130", "Why")
    preloads = {row[1][1]: row[3][1] for row in rows if row[1][1] in ("low", "nominal", "high")}
    for name, factor in (("low", low), ("nominal", nominal), ("high", high)):
        assert preloads[name] == call("preload_from_torque", shown["I"], shown["C"], factor, "US")


def test_why_shows_the_working_of_the_row_and_every_stop(filled: Workbook) -> None:
    filled.put("B3", [[2.0]], "Why")
    row = row_of(filled, made.FIRST + 1)
    cells = [[content for _, content in row] for row in filled.cells("A1:G120", "Why")]
    assert cells[2][3] == "R-1 top nozzle: planned"
    for name, values in (
        ("torque_from_preload", (row["G"], row["C"], row["F"], "US")),
        ("setpoint", (row["I"], table(), "US", 100.0, "nearest", 3.0)),
    ):
        steps = [[cell for cell in step if isinstance(cell, str)] for step in call("working", name, *values)]
        at = next(k for k, shown in enumerate(cells) if shown[:2] == ["step", "what"])
        for k, step in enumerate(steps):
            assert [text for text in step if text] == [text for text in cells[at + k] if text in step and text]
        cells = cells[at + 1 :]
    stops = [shown for shown in cells if shown[1] == "R-1 manway"]
    assert [(shown[0], shown[3]) for shown in stops] == [(7.0, row_of(filled, made.FIRST + 6)["S"])]


def test_rows_are_copied_down() -> None:
    """Nothing stands below the last row; formats, links and names reach on."""
    book = openpyxl.load_workbook(made.STARTER)
    sheet = book["Joints"]
    assert sheet.max_row == LAST
    reach = {str(area) for rule in sheet.conditional_formatting for area in rule.sqref.ranges}
    assert f"G{made.FIRST}:Q{made.FIRST + made.MOST - 1}" in reach
    assert {name: item.attr_text for name, item in book.defined_names.items()} == made.NAMES


def test_one_spelling_of_the_unit_of_torque(calculated: Shown) -> None:
    """The other spelling stands only where the sheet says what may be typed."""
    others = [key for key, text in calculated.items() if "ft-lb" in str(text)]
    assert [sheet for sheet, _ in others] == ["How to"]


@pytest.mark.parametrize("number", range(len(FUNCTIONS)), ids=[function.name for function in FUNCTIONS])
def test_function_page(calculated: Shown, number: int) -> None:
    function, row = FUNCTIONS[number], number + 5
    assert calculated["Functions", f"A{row}"] == function.name
    shown = answer(function, EXAMPLES[function.name])
    if isinstance(shown, list):
        i, k = made.first_number(shown)
        shown = shown[i - 1][k - 1]
    assert calculated["Functions", f"E{row}"] == shown


def test_what_is_typed_changes_it(filled: Workbook) -> None:
    """A user's changes: odd table, joint without friction, link that is not there, unknown thread, bar gauge."""
    book = filled
    at = made.FIRST
    book.put(f"F{at}", [[None]], "Joints")
    book.put(f"C{at + 1}", [["2 3/4"]], "Joints")
    book.put(f"E{at + 1}", [[20000.0]], "Joints")
    book.put(f"C{at + 2}", [["1 17/8"]], "Joints")
    book.put(f"B{made.TABLE_FIRST + 4}", [[500.0]], "Calibration")
    book.put("M3", [["US bar"]], "Joints")
    reason = {row: book.cells(f"R{row}:S{row}", "Joints")[0] for row in range(at, at + 3)}
    assert reason[at][0][1] == "STOP"
    assert "nut factor" in reason[at][1][1]
    assert (reason[at + 1][0][1], reason[at + 1][1][1]) == ("STOP", made.NO_LINK)
    assert reason[at + 2][0][1] == "STOP"
    assert reason[at + 2][1][1].startswith("thread '1 17/8' is not known")
    findings = book.cells(f"F{made.TABLE_FIRST}:G{made.TABLE_FIRST}", "Calibration")[0]
    assert findings[0][1] == "stop"
    assert "rise" in findings[1][1] or "falls" in findings[1][1] or "row" in findings[1][1]
    assert book.cells(f"L{made.FIRST - 2}", "Joints")[0][0][1] == "Set on the pump gauge (bar)"


def test_every_pass_of_a_scheme_is_shown_with_its_per_cent(filled: Workbook) -> None:
    book = filled
    at = made.FIRST
    for scheme, heads in (
        ("PCC-1 legacy", ["30 %", "60 %", "100 %", "", ""]),
        ("25/50/75/100", ["25 %", "50 %", "75 %", "100 %", ""]),
        ("20/40/60/80/100", ["20 %", "40 %", "60 %", "80 %", "100 %"]),
        ("10/20/40/60/80/100", ["10 %", "20 %", "40 %", "60 %", "80 %"]),
    ):
        book.put("M6", [[scheme]], "Joints")
        assert [content for _, content in book.cells(f"M{at - 1}:Q{at - 1}", "Joints")[0]] == heads
        shown = [content for _, content in book.cells(f"L{at}:Q{at}", "Joints")[0]]
        torque = book.cells(f"I{at}", "Joints")[0][0][1]
        wanted = call("pass_settings", torque, table(), "US", scheme, 100.0, "nearest", 3.0)[1]
        full = sum(head != "" for head in heads)
        assert shown[1 : full + 1] == wanted[:full]
        if full < 5:
            assert shown[full] == shown[0], "the last pass is at full torque"
        warned = "THE LAST PASSES ARE NOT SHOWN" in str(book.cells(f"L{made.FIRST - 2}", "Joints")[0][0][1])
        assert warned is (len(scheme.split("/")) > 5)


def test_a_long_table_is_read_whole(filled: Workbook) -> None:
    """60 rows, twice what the sheet once read; rows below the area are said."""
    book = filled
    rows = [[1000.0 + 100 * k, 410.0 + 41 * k] for k in range(60)]
    put_calibration(book, [["Pressure (psi)", "Torque (ft-lb)"], *rows])
    assert book.cells("A9", "Calibration")[0][0][1].startswith("60 rows, Pressure (psi) 1000 to 6900, rises, ")
    at = made.FIRST
    torque = book.cells(f"I{at}", "Joints")[0][0][1]
    pasted = [["Pressure (psi)", "Torque (ft-lb)"], *rows]
    assert book.cells(f"L{at}", "Joints")[0][0][1] == call("setpoint", torque, pasted, "US", 100.0, "nearest", 3.0)


def test_what_is_shown_stays_without_the_functions() -> None:
    import zipfile

    with zipfile.ZipFile(made.STARTER) as archive:
        content = archive.read("xl/workbook.xml")
    assert b"fullCalcOnLoad" not in content
    assert b'calcId="191029"' in content
