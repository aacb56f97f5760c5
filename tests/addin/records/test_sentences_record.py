"""What a reader of the sample records is told of each joint: whole sentences, in their order.

Figures by hand from the tables of the sample's book: HW-3 gives 665 at 2000 and 1005 at 3000 psi, so 852 at 2550; HW-8
568 and 682 at 5000 and 6000, so 573.7 at 5050; HW-1 1092 and 1150 at 9500 and 10000, so 1138.4 at 9900, 2.448 times 465;
85 of 68 is 1.25. L-10 (0.125) in place of L-20 (0.145) is 1.16 times the preload, less what the mark set lacks.
"""

import re
import runpy
from pathlib import Path

import pytest
from click.testing import CliRunner
from plain_plan import plain_plan
from sample_plans import planned_sample

from addin.cli import main
from addin.shipped import folder

LIST, BOOK = (folder("samples") / f"drigrauvex-{name}.xlsx" for name in ("joints", "wrenches"))
MAKER = Path(__file__).parents[2] / "make_record_samples.py"
CARD = "0000-0000"
"""Stands for the card of the plan, which changes with every figure on it."""
NOT_READ = [
    "cell G52: date of work '10/11/2026' may be read in two ways; use a date cell or write 2026-03-14",
    "cell O54: pressure must be a number, got 'about 250'",
    "cell E63: the row says neither 'as planned' nor which passes were done: a blank is not 'as planned'",
    "cell A61: joint 'V-1101-N8' with operation 'final make-up' is not in the plan",
    "cell F62: pass 7 is not in the plan of this joint; it has 1, 2, 3, 4 and 5",
]
SAID = {
    "V-1101-MH": [
        "passes 3, 4 and 5: HW-3 instead of HW-2: HW-3 at 2550 psi gives 852 lbf·ft, +1.6 %",
    ],
    "V-1101-N1": [
        "passes 3, 4 and 5: certificate of HW-8 not valid on 2026-10-08 (valid from 2025-08-25 until 2026-08-24)",
        "passes 3, 4 and 5: HW-8 instead of HW-1: HW-8 at 5050 psi gives 573.7 lbf·ft, -1.0 %",
    ],
    "V-1101-N2": [
        "lubricant L-10 instead of L-20: preload about 50212 lbf, not 43366 lbf (+15.8 %)",
    ],
    "V-1101-N7": [
        "passes 1, 2, 3, 4 and 5: hand torque wrench not stated, so its certificate cannot be checked",
        "pass 5: 85 lbf·ft is +25.0 % off the planned 68 lbf·ft; the tolerance is 3 %",
    ],
    "E-1205-FH": [
        "pass 3 not recorded, though pass 5 is",
    ],
    "E-1205-N3": [
        "passes 1, 2, 3, 4 and 5 recorded more than once",
        "recorded as a whole more than once: r.xlsx, Records row 22 and r.xlsx, Records row 23",
        "passes 1, 2, 3, 4 and 5: hand torque wrench not stated, so its certificate cannot be checked",
    ],
    "T-1401-HF": [
        f"done on card 1C04-77AB; this plan's card is {CARD}, and of the other neither it nor a kept issue has the values: it cannot be judged (superseded, or copied wrong)",
    ],
    "T-1401-BTM": [
        "the card's revision is not stated",
        "passes 1, 2, 3, 4 and 5: day not stated, so certificates cannot be checked",
    ],
    "T-1401-N9": [
        "passes 1 and 2: hand torque wrench not stated, so its certificate cannot be checked",
        "pass 3: a pressure, 1300 psi, on a joint planned by hand",
        "pass 3: torque not stated",
    ],
    "C-1301-SUC": [
        "pass 3: done without HW-4",
    ],
    "C-1301-DIS": [
        "pass 4 recorded as earlier than pass 3",
        "pass 5 came 50 min after the previous pass; the plan waits 4 h",
    ],
    "V-1302-MH": [
        "pass 3: HW-2 has no link or socket '2-9/16 in long link' (it has 1-13/16 in socket, 2 in socket, 2-3/16 in socket, 2-3/8 in socket and 2-9/16 in offset adapter)",
        "pass 4: 2-3/8 in socket of HW-2 is for 2-3/8 in, the nut has 2-9/16 in",
        "pass 4: HW-2 at 3750 psi gives 1229 lbf·ft, -8.5 % off the planned 1343 lbf·ft; the tolerance is 3 %",
    ],
    "P-1601A-DIS": [
        "lubricant 'copper paste' is not in the lubricant table: preload not known",
    ],
    "P-1601B-DIS": [
        "pass 5: 11400 psi on HW-5 is not possible by its table, 500 psi to 10000 psi",
        "pass 5: 11400 psi on HW-5 is above its lowest rating, 9000 psi",
    ],
    "H-1501-OUT": [
        "pass 1: wrench 'HW-9' is not in the wrench book: torque not known",
        "pass 2: gauge 'G-9' is not in the wrench book",
    ],
    "H-1501-PSV": [
        "pass 1: wrench not stated",
        "pass 1: pressure not stated",
        "pass 1: gauge not stated",
        "pass 2: gauge of HW-5 not stated",
        "pass 2: pressure set on HW-5 not stated",
        "lubricant not stated; the plan has L-20",
    ],
    "A-1803-HC": [
        "pass 5: 1138 lbf·ft is above the limit of 1-13/16 in socket, 1120 lbf·ft",
        "pass 5: HW-1 at 9900 psi gives 1138 lbf·ft, +144.8 % off the planned 465 lbf·ft; the tolerance is 3 %",
        "stress with torsion 122186 psi went above the stud ceiling, 94500 psi",
    ],
    "V-1901-N1": [
        "lubricant L-20; the plan names no product: with it preload is about 39473 lbf",
    ],
    "V-1901-N3": [
        "pass 3: by other means instead of HW-1",
        "pass 3: hand torque wrench not stated, so its certificate cannot be checked",
    ],
    "E-501-SH": [
        "not all of its record could be read: r.xlsx, sheet Records, cell G52",
    ],
    "V-502-MH": [
        "not all of its record could be read: r.xlsx, sheet Records, cell O54",
    ],
    "V-502-N1": [
        "pass 3 recorded more than once",
    ],
    "P-503-DRN": [
        "not all of its record could be read: r.xlsx, sheet Records, cell E63 and r.xlsx, sheet Records, cell F62",
    ],
    "C-504-DIS": [
        "pass 1: link or socket of HW-6 not stated; 0 of them fit",
        "pass 1: HW-6 instead of HW-7; its torque is not known",
    ],
    "V-1101-N3": [
        "passes 1, 2, 3, 4 and 5: hand torque wrench not stated, so its certificate cannot be checked",
    ],
    "E-1204-CH": [
        "pass 1: hand torque wrench not stated, so its certificate cannot be checked",
    ],
    "V-502-N4": [
        "passes 1, 2, 3, 4 and 5: hand torque wrench not stated, so its certificate cannot be checked",
    ],
}


@pytest.fixture(scope="module")
def lines(shared: Path, tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    out = tmp_path_factory.mktemp("records")

    def run(*arguments: object) -> str:
        return CliRunner().invoke(main, [str(each) for each in arguments], catch_exceptions=False).output

    plan = planned_sample(shared, out)
    runpy.run_path(str(MAKER))["workbook"](plain_plan(plan)).save(out / "r.xlsx")
    said = run("record", plan, out / "r.xlsx", "--out", out)
    return re.sub(r"(this plan's card is) [0-9A-F]{4}-[0-9A-F]{4}", rf"\1 {CARD}", said).splitlines()


def test_rows_that_are_not_read_are_told_with_their_cell(lines: list[str]) -> None:
    told = [line for line in lines if line.startswith("NOT READ ")]
    assert told == [f"NOT READ r.xlsx, sheet Records, {text}" for text in NOT_READ]


@pytest.mark.parametrize("joint", SAID)
def test_the_whole_sentences_about_a_joint(lines: list[str], joint: str) -> None:
    starts = tuple(f"{state} {joint} final make-up: " for state in ("REVIEW", "COMPLETE"))
    told = [line.split(" final make-up: ", 1)[1] for line in lines if line.startswith(starts)]
    assert told == SAID[joint]


def test_every_joint_that_is_spoken_of_is_here(lines: list[str]) -> None:
    named = {line.split()[1] for line in lines if line.startswith(("REVIEW ", "COMPLETE "))}
    assert named == SAID.keys()
