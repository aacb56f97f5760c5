"""What is said of a calibration table as a laboratory sent it: whole sentences, the table as it stands in the cells."""

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
    "two units": [[P, T], ["1000 psi / 69 bar", 100], ["2000 psi / 138 bar", 210], ["3000 psi / 207 bar", 320]],
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
    "two units": ["cells like '1000 psi / 69 bar' state two units that agree: the first was read"],
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
