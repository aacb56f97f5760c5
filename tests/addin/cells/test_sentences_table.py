"""What is said of a calibration table as a laboratory sent it: whole sentences, the table as it stands in the cells."""

import re
from typing import Any

import pytest

from addin.cells.table import read_table
from addin.cells.words import line
from calc.findings import InputError
from calc.units import system

P, T = "Pressure (psi)", "Torque (ft-lb)"
UP, DOWN = "Torque up (ft-lb)", "Torque down (ft-lb)"
ROWS = [[1000, 100], [2000, 210], [3000, 320]]
THREE = [[1000, 100, 101], [2000, 210, 211], [3000, 320, 321]]
TABLES: dict[str, list[list[Any]]] = {
    "headings": [["a", "b"], *ROWS],
    "no headings": [*ROWS],
    "up and down": [[P, UP, DOWN], *THREE],
    "found and left": [[P, "As found (ft-lb)", "As left (ft-lb)"], *THREE],
    "nominal": [[P, "Nominal torque (ft-lb)", "Measured torque (ft-lb)"], *THREE],
    "mean": [[P, "Run 1 (ft-lb)", "Mean (ft-lb)"], *THREE],
    "runs": [[P, "Run 1 (ft-lb)", "Run 2 (ft-lb)"], *THREE],
    "wrenches": [[P, "HW-1 (ft-lb)", "HW-2 (ft-lb)"], *THREE],
    "links": [[P, "Torque 2-3/8 link (ft-lb)", "Torque 2 in link (ft-lb)"], *THREE],
    "twice": [[P, T, T], *THREE],
    "alike": [[P, "Torque A (ft-lb)", "Torque B (ft-lb)"], *THREE],
    "strokes": [[P, "Torque advance (ft-lb)", "Torque retract (ft-lb)"], *THREE],
    "down alone": [[P, DOWN], *ROWS],
    "found alone": [[P, "Torque as found (ft-lb)"], *ROWS],
    "nominal alone": [[P, "Nominal torque (ft-lb)"], *ROWS],
    "unclear": [[P, "Torque zebra (ft-lb)"], *ROWS],
    "min and max": [[P, "Min torque (ft-lb)", "Max torque (ft-lb)"], *THREE],
    "years": [[P, "Torque 2024 (ft-lb)", "Torque 2025 (ft-lb)"], *THREE],
    "tolerance": [[P, "Torque tolerance (ft-lb)"], *ROWS],
    "branches": [[P, T], *ROWS, [2000, 212], [1000, 103]],
    "mass": [[P, "Torque (kg)"], *ROWS],
    "tracks": [[P, T, None], *THREE],
    "one column": [["Pressure (psi) Torque (ft-lb)"], ["1000 100"], ["2000 210"]],
    "beside": [[P, T, None, P, T], [1000, 100, None, 1500, 150], [2000, 210, None, 2500, 260]],
    "gap": [[P, T], [1000, 100], [2000, None], [3000, 320]],
    "marked": [[P, T], [1000, 100], [2000, "210*"], [3000, 320]],
    "marked, footnote": [[P, T], [1000, 100], [2000, "210*"], [3000, 320], [None, None], ["* mean of 3"]],
    "after gap": [[P, T], *ROWS, [None, None], [4000, 430]],
    "across": [[P, 1000, 2000, 3000], [T, 100, 210, 320]],
    "units below": [["Pressure", "Torque"], ["psi", "ft-lb"], *ROWS],
    "blocks": [[P, T, P, T], [1000, 100, 4000, 430], [2000, 210, 5000, 540], [3000, 320, 6000, 650]],
    "zero": [[P, T], [0, 0], *ROWS],
    "rest": [[P, T], [0, 3], *ROWS],
    "text row": [[P, T], [1000, 100], ["Remark: oil 20 °C", None], [2000, 210], [3000, 320]],
    "apart": [[P, T], [1000, 100], [None, None], [2000, 210], [None, None], [3000, 320]],
    "again": [[P, T], [1000, 100], [P, T], [2000, 210], [3000, 320]],
    "highest first": [[P, T], *ROWS[::-1]],
    "other": [[P, T, "Temperature (°C)"], *[[*row, 20] for row in ROWS]],
    "twice a pressure": [[P, T], [1000, 100], [1000, 100], [2000, 210]],
    "falling": [[P, T], [1000, 100], [2000, 90], [3000, 320]],
    "columns disagree": [[P, T, "Pressure (bar)"], [1000, 100, 69], [2000, 210, 183]],
    "short": [[P, T], [1000, 100]],
    "runs alike": [[P, "Torque measured A (ft-lb)", "Torque measured B (ft-lb)"], *THREE],
    "among": [[P, T], [1000, 100], ["as left", None], [1500, 210], [2500, 320]],
    "not the torque": [[P, "Deviation (ft-lb)"], *ROWS],
    "not the pressure": [["Signal (psi)", T], *ROWS],
    "ignored": [[P, T, "Zebra"], *[[*row, 1] for row in ROWS]],
    "comma": [["Pressure (bar)", "Torque (N·m)"], ["100", "1,250"], ["200", "2,510"], ["300", "3,770"]],
    "not measured": [[P, T], [1000, 100], [2000, "n/a"], [3000, 320]],
    "three in a cell": [["Pressure (psi) Torque (ft-lb)"], ["1000 100 3"], ["2000 210 4"]],
    "no unit": [[P, "Torque"], *ROWS],
    "unit not known": [["Pressure (lb)", T], *ROWS],
    "two rows of headings": [[P, "Torque", None], [None, "mean (ft-lb)", "error (%)"], *THREE],
    "unheaded": [[P, T, None], [1000, 100, None], [2000, 210, 55], [3000, 320, None]],
    "left": [[P, "Torque as left (ft-lb)"], *ROWS],
    "two units": [[P, T], ["1000 psi / 69 bar", 100], ["2000 psi / 138 bar", 210], ["3000 psi / 207 bar", 320]],
    "first inner point off": [[P, T], *[[p, 0.1 * p + (90 if p == 2000 else 0)] for p in range(1000, 9000, 1000)]],
    "off line": [
        [P, T],
        [1000, 100],
        [2000, 200],
        [3000, 300],
        [4000, 400],
        [5000, 590],
        [6000, 600],
        [7000, 700],
        [8000, 800],
    ],
}

SAID: dict[str, list[str]] = {
    "headings": ["the first row must hold headings with units, one of pressure and one of torque (it has a, b)"],
    "no headings": ["the first row must hold headings with units, one of pressure and one of torque, e.g. Pressure (psi) | Torque (ft-lb)"],
    "up and down": ["columns 'Torque up (ft-lb)', 'Torque down (ft-lb)' are of rising and falling pressure: which one applies? Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "found and left": ["'As found (ft-lb)', 'As left (ft-lb)' are as found and as left: which one applies? Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "nominal": ["columns 'Nominal torque (ft-lb)', 'Measured torque (ft-lb)' are nominal and measured: which one applies? Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "mean": ["columns 'Run 1 (ft-lb)', 'Mean (ft-lb)' are runs and their mean; 'Mean (ft-lb)' is proposed: which one applies? Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "runs": ["columns 'Run 1 (ft-lb)', 'Run 2 (ft-lb)' are several runs without a mean, and nothing is averaged here: which one applies? Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "wrenches": ["columns 'HW-1 (ft-lb)', 'HW-2 (ft-lb)' seem to be several wrenches, one sheet each: which one applies? Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "links": ["columns 'Torque 2-3/8 link (ft-lb)', 'Torque 2 in link (ft-lb)' are of several links, one table each: which one applies? Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "twice": ["columns 'Torque (ft-lb)', 'Torque (ft-lb)' both hold torque: which one applies? Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "alike": ["heading 'Torque B (ft-lb)': not clear what 'b' says of the torque; if it is the torque of this wrench, call it Torque. Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "strokes": ["columns 'Torque advance (ft-lb)', 'Torque retract (ft-lb)' are of the advance and the return stroke: which one applies? Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "down alone": ["'Torque down (ft-lb)' alone: it was taken with falling pressure, going down, which may not be what the wrench gives now. If it is what holds: Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "found alone": ["'Torque as found (ft-lb)' alone: it was taken before the wrench was adjusted, as found, which may not be what the wrench gives now. If it is what holds: Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "nominal alone": ["'Nominal torque (ft-lb)' alone: it is nominal (calculated, theoretical, required), not measured, which may not be what the wrench gives now. If it is what holds: Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "unclear": ["heading 'Torque zebra (ft-lb)': not clear what 'zebra' says of the torque; if it is the torque of this wrench, call it Torque. Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "min and max": ["columns 'Min torque (ft-lb)', 'Max torque (ft-lb)' are the lowest and the highest torque, neither is what the wrench gave: which one applies? Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "years": ["columns 'Torque 2024 (ft-lb)', 'Torque 2025 (ft-lb)' are calibrations of different years: which one applies? Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "tolerance": ["'Torque tolerance (ft-lb)' is a limit, not the torque of a calibration; if it is that, call it Torque. Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "branches": ["the rows rise and then fall again from row 4: runs of rising and of falling pressure; keep the rows of the one that holds"],
    "mass": ["heading 'Torque (kg)': kg alone is no unit of torque; write which one, kgf·m or kgf·cm"],
    "tracks": ["a column of numbers ('no heading') goes with the torque and nothing says what it is: give it a heading, or delete it"],
    "one column": ["each cell held two texts: read as two columns"],
    "beside": ["a second table stands beside the first and does not go on above it: which one applies? One sheet each"],
    "gap": ["row 2 of the table has no value under 'Torque (ft-lb)': fill it, or delete the row; a blank is not zero"],
    "marked": ["row 2 of the table: '210*' carries a mark; look at its footnote, then type the number alone or delete the row"],
    "marked, footnote": ["row 5 of the table, '* mean of 3', holds no point: left out",
        "row 2 of the table: '210*' was read without its mark; its footnote says 'mean of 3'"],
    "after gap": ["numbers stand below the table after an empty row; remove the empty row if they belong to it, the numbers if not"],
    "across": ["the table was read from left to right: its headings stand in the first column"],
    "units below": ["the units were read from the row below the headings"],
    "blocks": ["2 blocks side by side were read as one table: each goes on above the one before"],
    "zero": ["row 1 of the table, zero at zero, is no measurement: left out"],
    "rest": ["row 1 of the table, no pressure and a rest of torque, is no measurement: left out"],
    "text row": ["row 2 of the table, 'Remark: oil 20 °C', holds no point: left out"],
    "apart": ["empty rows stand between the rows of the table: read through"],
    "again": ["row 2 of the table repeats the headings: left out"],
    "highest first": ["the table stands highest first: read from its end"],
    "other": ["column 'Temperature (°C)' is temperature: not used"],
    "twice a pressure": ["table: pressure 1000 psi stands twice (row 2)"],
    "falling": ["table does not rise at row 2: 2000 psi with 90 lbf·ft after 1000 psi with 100 lbf·ft"],
    "columns disagree": ["table row 2: 'Pressure (bar)' and 'Pressure (psi)' disagree by +32.7 %"],
    "short": ["table needs at least two points, got 1"],
    "runs alike": ["columns 'Torque measured A (ft-lb)', 'Torque measured B (ft-lb)' are of several instruments or runs that differ only by a letter or number: which one applies? Write its heading beside a label 'Torque column'; in a formula give it alone"],
    "among": ["'as left' stands among the rows: they are not one run; keep the rows that hold, delete the others"],
    "not the torque": ["'Deviation (ft-lb)' is the deviation, and no other column holds the torque"],
    "not the pressure": ["'Signal (psi)' is the signal, and no other column holds the pressure"],
    "ignored": ["table: column 'Zebra' is not used"],
    "comma": ["column 'Torque (N·m)': '1,250' was read as 1250, the only way in which the column rises within its range"],
    "not measured": ["row 2 of the table states no torque: left out"],
    "three in a cell": ["two numbers stand in one cell ('1000 100 3') and cannot be told apart: give each a column of its own (Text to columns)"],
    "no unit": ["table 'Torque' has no unit; torque takes lbf·ft, lbf·in, N·m, kN·m, N·mm, daN·m, kgf·m, kgf·cm, ozf·in or N·cm"],
    "unit not known": ["table: heading 'Pressure (lb)' must hold one unit that is known here"],
    "two rows of headings": ["two rows of headings were read together", "'Torque mean (ft-lb)' was read as the curve of the wrench: it is said to be mean",
                             "column 'Torque error (%)' is error: not used"],
    "unheaded": ["a number stands beside the table in a column without a heading; name the column or empty it"],
    "left": ["'Torque as left (ft-lb)' was read as the curve of the wrench: it is said to be as left"],
    "two units": ["cells like '1000 psi / 69 bar' state two units that agree: the first was read"],
    "first inner point off": ["table row 2: 290 lbf·ft at 2000 psi is +45.0 % off the curve of the other rows (200 lbf·ft there): a digit? Correct it, or write beside 'Table confirmed by' and 'Table confirmed on' who saw it so on the certificate"],
    "off line": ["table row 5: 590 lbf·ft at 5000 psi is +18.0 % off the curve of the other rows (500 lbf·ft there): a digit? Correct it, or write beside 'Table confirmed by' and 'Table confirmed on' who saw it so on the certificate"],
}  # fmt: skip


def said_of(rows: list[list[Any]]) -> list[str]:
    """The sentences of a table, the refusal last."""
    units, told = system("US"), []
    try:
        table = read_table(rows)
        told = [line(finding, units) for finding in table.findings]
        table.curve()
    except InputError as error:
        told.append(line(error.finding, units))
    return list(dict.fromkeys(told))


def test_every_table_has_its_sentences() -> None:
    assert SAID.keys() == TABLES.keys()


@pytest.mark.parametrize("name", SAID)
def test_the_whole_sentences_about_a_table(name: str) -> None:
    """183 bar against 137.9 is 1.327; 590 against 500, which the other rows give, is 1.18."""
    assert said_of(TABLES[name]) == SAID[name]


@pytest.mark.parametrize(
    ("kind", "answer", "said"),
    [("torque", "Zebra", "'Zebra' is no column of the table; it has 'Pressure (psi)', 'Torque (ft-lb)'"),
     ("torque", P, "column 'Pressure (psi)' holds no torque: its unit is of something else"),
     ("pressure", T, "column 'Torque (ft-lb)' holds no pressure: its unit is of something else")],
)  # fmt: skip
def test_an_answer_that_names_no_such_column(kind: str, answer: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        read_table([[P, T], *ROWS], holds={kind: answer})
    assert line(caught.value.finding, system("US")) == said


def test_points_that_lie_on_no_one_curve() -> None:
    """Rows 60 lbf·ft above and below 0.4 x pressure in turn: about 6 % of the lower half, 2 % of the upper one."""
    rows = [[p, 0.4 * p + (60 if number % 2 else -60)] for number, p in enumerate(range(1000, 11000, 1000))]
    (said,) = said_of([[P, T], *rows])
    whole = re.fullmatch(
        r"table: its points lie ([\d.]+) % about a smooth curve, ([\d.]+) times what is usual: runs mixed\? Correct it, or"
        r" write beside 'Table confirmed by' and 'Table confirmed on' who saw it so on the certificate",
        said,
    )
    assert whole is not None
    assert 3 < float(whole[1]) < 7
    assert float(whole[2]) > 3


@pytest.mark.parametrize(
    ("row", "level", "said"),
    [(1, "caution", "table row 1: 124 lbf·ft at 1000 psi is +24.0 % off the curve of the other rows (100 lbf·ft there)"),
     (2, "stop", "table row 2: 224 lbf·ft at 2000 psi is +12.0 % off the curve of the other rows (200 lbf·ft there)")],
)  # fmt: skip
def test_the_first_point_alone_may_lie_off_by_little_of_the_highest_torque(row: int, level: str, said: str) -> None:
    """24 of 1600 lbf·ft, 1.5 %: what little a wrench gives at low pressure is no straight line."""
    rows = [[p, 0.1 * p + (24 if number == row else 0)] for number, p in enumerate(range(1000, 17000, 1000), 1)]
    (found,) = read_table([[P, T], *rows]).findings
    assert found.level == level
    assert line(found, system("US")).partition(": a digit?")[0] == said
