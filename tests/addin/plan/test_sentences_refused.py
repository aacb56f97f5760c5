"""What a planner reads of each row of the sample of refusals: the whole sentence, and nothing planned beside it.

Limits in the sentences stand in the sample's book: HW-1 is certified from 54 to 1150 lbf·ft, HW-2 from 206 N·m (151.938
lbf·ft), HW-4 from 325 lbf·ft. 98,000 psi on the root area of 1 1/4-8 (0.9291 in²) are 91,074 psi on its stress area;
with the torsion of a nut factor of 0.145, 29,600 psi, sqrt(91.07² + 3 x 29.6²) = 104.5 ksi (by hand, to a tenth of a
per cent). 720 MPa, the yield of B7 to 2 1/2 in, are 104,427 psi.
"""

import pytest

from addin.plan.file import read_plan
from addin.shipped import folder
from addin.tasks import plan_list

REFUSALS, BOOK = (folder("samples") / f"drigrauvex-{name}.xlsx" for name in ("refusals", "wrenches"))
UNITS = "lbf·ft, lbf·in, N·m, kN·m, N·mm, daN·m, kgf·m, kgf·cm, ozf·in or N·cm"
NO_FRICTION = (
    "preload cannot be turned into torque: state a nut factor, both friction coefficients or a lubricant of the site's"
    " table"
)
ENDED = "HW-8: certificate not valid on 2026-10-08 (valid from 2025-08-25 until 2026-08-24)"
SAID = {
    "F-01": f"torque: unit 'lb' is not known; torque takes {UNITS}",
    "F-02": f"torque: unit 'bar' is a unit of pressure; torque takes {UNITS}",
    "F-03": "no target: give a stress, a percentage of yield, a load or a torque",
    "F-04": "several targets are given (stress and torque); state one of them",
    "F-05": "HW-1: torque 1640 lbf·ft is above its highest certified point, 1150 lbf·ft",
    "F-06": "no wrench fits 2 in across flats: HW-1: torque 37 lbf·ft is below its lowest certified point, 54 lbf·ft;"
    f" {ENDED}; HW-2: torque 37 lbf·ft is below its lowest certified point, 151.938 lbf·ft;"
    " HW-4: torque 37 lbf·ft is below its lowest certified point, 325 lbf·ft; and 1 more",
    "F-07": "thread '1 1/4-9 UN' is not known; write it like 1 1/4-8 UN, 7/8 or M36x3",
    "F-08": "thread 'M42' needs its pitch; usual are x3 or x4.5",
    "F-09": "nut series is missing for M36x3; write metric heavy hex, ISO 4032, ISO 4033 or DIN 934",
    "F-10": "grade 'A193 B8M' has several classes; write A193 B8M class 1, A193 B8M class 2, A193 B8M class 2B or"
    " A193 B8M class 2C",
    "F-11": "grade 'B7' on a metric stud may be of two specifications with different yields; write A193 B7 or A193M B7",
    "F-12": "grade 'B77' is not known; write it like A193 B7 or 10.9, or state the stud's yield strength",
    "F-13": "stress with torsion 104552 psi is above 90 % of the minimum yield 105000 psi",
    "F-14": "a stress needs the area it stands on; write tensile, root B1.1 or root ISO",
    "F-15": "stress 41 psi is below 1000 psi; if ksi is meant, write '41 ksi'",
    "F-16": "percent of yield 0.5 looks like a cell formatted as %; per cent are numbers like 50",
    "F-17": ENDED,
    "F-18": "no wrench fits 2 in across flats: HW-1: certificate not valid on 2028-03-01 (valid from 2026-05-18 until"
    " 2027-05-17); HW-8: certificate not valid on 2028-03-01 (valid from 2025-08-25 until 2026-08-24); HW-2: certificate"
    " not valid on 2028-03-01 (valid from 2026-05-18 until 2027-05-17); HW-4: certificate not valid on 2028-03-01 (valid"
    " from 2026-05-18 until 2027-05-17); and 1 more",
    "F-19": "no job date: give one in the row or for the whole list, so that certificates can be checked",
    "F-20": "no wrench has a link or socket for 5-3/8 in across flats",
    "F-21": "HW-7: no link or socket for 1-13/16 in across flats (it has 50 mm, 55 mm, 60 mm, 65 mm, 70 mm, 75 mm and"
    " 80 mm)",
    "F-22": "wrench HW-12 is not in the wrench book (it has HW-1, HW-2, HW-3, HW-4, HW-5, HW-6, HW-7 and HW-8)",
    "F-23": "stud count 3 is below 4",
    "F-24": "stud count must be a whole number, got 16.5",
    "F-25": "stud count must be a number, got 'sixteen'",
    "F-26": "stress holds the cell error #N/A",
    "F-27": "thread cell holds the date 2008-01-01: the spreadsheet turned a fraction into it; format the column as text"
    " and type the thread again",
    "F-29": "stress: the formula in this cell has no stored value; recalculate and save the workbook in a spreadsheet"
    " program",
    "F-30": "lubricant 'L-99' is not in the site's table (it has L-10, L-20 and L-30)",
    "F-31": NO_FRICTION,
    "F-32": "friction 0.17 in the list differs from 0.145 of L-20 in the lubricant table",
    "F-33": "method 'torqued' is not known; write hydraulic, hand, tensioned or other",
    "F-34": "operation 'close' is not known; write break, test make-up, final make-up or retighten",
    "F-35": "job date '03/04/2026' may be read in two ways; use a date cell or write 2026-03-14",
    "F-36": "2 wrenches together do not share 15 studs evenly",
    "F-37": "order must hold every stud from 1 to 16 once; missing 16",
    "F-38": "torque '8,650' may be 8.65 or 8650: its mark may part thousands or decimals; type it as a number without one",
    "F-39": "stress must be a number, got TRUE",
    "F-40": "torque must be above 0, got 0",
}  # fmt: skip


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> dict[int, tuple[str, list[str]]]:
    """By row: the joint, and the sentences that stop it. No row of the sample has a figure to set."""
    done = plan_list(REFUSALS, [BOOK], tmp_path_factory.mktemp("refused"), sheet="Joints")
    entries = list(read_plan(done.plan_file).joints)
    assert [each.joint for each in entries if each.setpoint is not None or each.torque is not None and each.card] == []
    return {
        each.row: (each.joint, [finding.text for finding in each.findings if finding.level == "stop"])
        for each in entries
    }


@pytest.mark.parametrize("joint", SAID)
def test_the_whole_sentence_of_a_refused_row(said: dict[int, tuple[str, list[str]]], joint: str) -> None:
    (texts,) = [texts for tag, texts in said.values() if tag == joint]
    assert SAID[joint] in texts


def test_two_rows_of_one_joint_name_each_other(said: dict[int, tuple[str, list[str]]]) -> None:
    rows = {row: texts for row, (tag, texts) in said.items() if tag == "F-28"}
    first, second = sorted(rows)
    for row, other in ((first, second), (second, first)):
        assert rows[row][0] == f"joint 'F-28' with operation 'final make-up' appears again in row {other}"


def test_every_row_of_the_sample_is_spoken_of_here(said: dict[int, tuple[str, list[str]]]) -> None:
    assert {tag for tag, _ in said.values()} == {*SAID, "F-28"}
