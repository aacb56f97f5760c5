"""What a row is stopped for or warned of: whole sentences, through the plan of a list, by hand where there is a figure."""

import datetime
from typing import Any

import openpyxl
import pytest

from addin.plan.file import read_plan
from addin.shipped import folder
from addin.tasks import plan_list

BOOK = folder("samples") / "drigrauvex-wrenches.xlsx"
HEAD = ["Joint", "Operation", "Method", "Stud size", "Studs", "Grade", "Nut series", "Nut grade", "Yield strength (psi)",
        "Yield source", "Shank diameter (in)", "Stress (psi)", "Stress area", "Percent of yield", "Load per stud (lbf)",
        "Torque (ft-lb)", "Nut factor", "Thread friction", "Friction under nut", "Lubricant", "Job date", "Remarks",
        "Size", "Rating", "Gasket", "Stud condition", "Coating", "Washers", "Break-out factor", "Order", "Uplift",
        "Uplift reason"]  # fmt: skip
USUAL: dict[str, Any] = {
    "Operation": "final make-up", "Method": "hand", "Stud size": "1 1/4-8 UN", "Studs": 16, "Grade": "A193 B7",
    "Nut series": "heavy hex", "Nut grade": "2H", "Torque (ft-lb)": 700, "Nut factor": 0.16, "Job date": datetime.date(2026, 10, 8),
}  # fmt: skip
METRIC = {"Stud size": "M30x3.5", "Grade": "10.9", "Nut series": "ISO 4032", "Nut grade": "class 10"}
STRESS = {"Torque (ft-lb)": None, "Stress (psi)": 45000, "Stress area": "tensile"}
ROWS: dict[str, dict[str, Any]] = {
    "usual": {},
    "date": {"Torque (ft-lb)": datetime.date(2026, 3, 14)},
    "hold": {"Remarks": "HOLD"},
    "thread 11/4": {"Stud size": "11/4"},
    "thread M36x3.5": {**METRIC, "Stud size": "M36x3.5"},
    "tensile": STRESS,
    "area": {**STRESS, "Stress area": "shank"},
    "series": {**METRIC, "Nut series": "ISO 9999"},
    "series of inch": {"Nut series": "ISO 4032"},
    "series none": {"Nut series": None},
    "metric only": {"Grade": "8.8"},
    "several standards": {"Grade": "42CrMo4"},
    "percent without grade": {"Torque (ft-lb)": None, "Percent of yield": 50, "Grade": None},
    "thread 8UN": {"Stud size": "1 1/4-7 8UN"},
    "no nut grade": {"Nut grade": None},
    "nut grade": {"Nut grade": "Z99"},
    "nut 1": {"Nut grade": "A194 1"},
    "nut class": {**METRIC, "Nut grade": "class 8"},
    "shank off": {"Shank diameter (in)": 2.5},
    "shank": {"Shank diameter (in)": 1.0},
    "yield above": {"Yield strength (psi)": 130000, "Yield source": "mill certificate"},
    "yield below": {"Yield strength (psi)": 40000, "Yield source": "mill certificate"},
    "two frictions": {"Thread friction": 0.12, "Friction under nut": 0.12},
    "one coefficient": {"Nut factor": None, "Thread friction": 0.12},
    "preload low": {"Torque (ft-lb)": 150},
    "past yield": {"Torque (ft-lb)": 5000, "Nut factor": None},
    "past any": {"Torque (ft-lb)": 9000, "Nut factor": None, "Grade": None},
    "survey": {"Nut factor": 0.045, "Torque (ft-lb)": 150},
    "friction": {"Nut factor": None},
    "break": {"Operation": "break", "Method": "other"},
    "retighten": {"Operation": "retighten"},
    "fibre": {"Operation": "retighten", "Gasket": "compressed fibre"},
    "live": {"Remarks": "live line, hot bolting"},
    "hot": {"Remarks": "hot torque after start-up"},
    "remark stress": {**STRESS, "Remarks": "50 ksi"},
    "remark grade": {"Remarks": "A193 B16 studs"},
    "remark thread": {"Remarks": "1 1/2-8 UN studs"},
    "remark wrench": {"Remarks": "use HW-3", "Method": "hydraulic"},
    "remark product": {"Remarks": "L-10", "Nut factor": None, "Lubricant": "L-20"},
    "condition": {"Stud condition": "re-used"},
    "coating": {"Coating": "PTFE"},
    "washers": {"Washers": "plain"},
    "load": {"Torque (ft-lb)": None, "Load per stud (lbf)": 45000, "Nut factor": None},
    "lubricant": {"Lubricant": "L-20"},
    "lubricant unknown": {"Nut factor": None, "Lubricant": "L-99"},
    "break by hand": {"Operation": "break"},
    "order": {"Order": "1-5-3-x"},
    "order in groups": {"Order": "groups of 5"},
    "nut unusual": {"Nut grade": "A194 4"},
    "nut of two standards": {"Nut grade": "8", "Grade": None},
    "no grade for the size": {**METRIC, "Stud size": "M48x5"},
    "yield from memory": {"Grade": "EN 10269 42CrMo4"},
    "uplift missing": {"Uplift reason": "creep, N. Example"},
    "uplift reason": {"Uplift": 1.1, "Uplift reason": "better so"},
    "uplift on a torque": {"Uplift": 1.1, "Uplift reason": "interaction, N. Example"},
    "no studs and a word": {"Studs": None, "Shank diameter (in)": "see drawing"},
    "studs in words": {"Studs": "sixteen"},
}

RETIGHTEN = "retightening only under the responsible engineer's authority"
SAID: dict[str, list[str]] = {
    "usual": [],
    "date": ["torque must be a number, got the date 2026-03-14"],
    "hold": ["the row waits: column V 'Remarks' says 'HOLD'; if it may be worked on, write yes beside it on the sheet of answers"],
    "thread 11/4": ["thread '11/4' may be an improper fraction or a size that lost its space; write it like 1 1/4"],
    "thread M36x3.5": ["thread 'M36x3.5' has no pitch of the standard; usual are x2, x3 or x4"],
    "tensile": [],
    "area": ["stress area 'shank' is not known; write tensile, root B1.1 or root ISO"],
    "series": ["nut series 'ISO 9999' is not known; write heavy hex, hex, metric heavy hex, ISO 4032, ISO 4033 or DIN 934"],
    "series of inch": ["nut series 'ISO 4032' does not belong to this thread; write heavy hex or hex"],
    "series none": [],
    "metric only": ["grade '8.8' of ISO 898-1 is for metric threads, and this one is inch: check grade and thread"],
    "several standards": ["grade '42CrMo4' is a steel of several standards with different yields; write EN 10269 42CrMo4 if that one applies, or state the stud's yield strength"],
    "percent without grade": ["a stress needs the area it stands on; write tensile, root B1.1 or root ISO",
                              "a percentage of yield needs the grade of the stud or its yield strength"],
    "thread 8UN": ["thread '1 1/4-7 8UN' names two different pitches"],
    "no nut grade": ["nut grade not stated: see that the nut is not weaker than the stud"],
    "nut grade": ["nut grade 'Z99' is not known; write it like A194 2H or class 8"],
    "nut 1": ["nut A194 1 is weaker than A194 2H, usual on A193 B7 (A193/A194 usual pairing, from memory): its thread may strip before the stud yields"],
    "nut class": ["nut ISO 898-2 8 is weaker than ISO 898-2 10, usual on ISO 898-1 10.9 (ISO 898-2, from memory): its thread may strip before the stud yields"],
    "shank off": ["shank diameter 2.5 in does not go with a thread of 1.25 in"],
    # 0.7854 of 0.9997 in2
    "shank": ["reduced shank of 1 in: yield, torsion and break-out stand on its section, 78.6 % of the tensile stress area"],
    "yield above": ["yield strength 130000 psi in the list is above 105000 psi of A193 B7 (ASTM A193 Table 2 (two secondary copies agree), read in a copy): correct yield or grade"],
    # 700 lbf ft at 0.16 are 42,000 lbf, 42,012 psi; with 14,900 psi of torsion 49.3 ksi
    "yield below": ["stress with torsion 49326.9 psi is above 90 % of the minimum yield 40000 psi",
                    "yield strength 40000 psi in the list is used; it is far below 105000 psi of A193 B7: check its unit"],
    "two frictions": ["nut factor and friction coefficients are both given; state one of them"],
    "one coefficient": ["thread friction and friction under the nut must both be given"],
    # 150 x 12 / (0.16 x 1.25) = 9000 lbf on 0.9997 in2
    "preload low": ["preload is only 8.57 % of the stud's minimum yield 105000 psi on its tensile area: check target and unit"],
    # 5000 x 12 / (0.2 x 1.25) = 240,000 lbf, 240,070 psi; 9000 lbf ft 432,000 lbf; 1100 MPa are 159,542 psi
    "past yield": ["torque 5000 lbf·ft takes the stud to 229 % of its minimum yield, 105000 psi, even at a nut factor of 0.2: correct the torque, or state the friction it is meant for"],
    "past any": ["torque 9000 lbf·ft takes the stud to 432128 psi at a nut factor of 0.2, more than any stud known here holds, 159542 psi: correct torque or size, or state grade and friction"],
    "survey": ["nut factor 0.045 lies outside every published range, 0.075 to 0.53: check it"],
    # 700 x 12 / (0.071 x 1.25) = 94,600 lbf, 94,700 psi of 105,000
    "friction": ["preload and limits not known: friction not stated; at a nut factor of 0.071 it reaches 90 % of yield"],
    "break": [],
    "retighten": [RETIGHTEN],
    "fibre": [RETIGHTEN, "fibre gasket: retighten after heat only with the gasket maker's consent"],
    "live": ["the remarks say 'hot bolting': nothing is planned on a line under pressure here; the responsible engineer decides, and the remark goes when the line is free of pressure"],
    "hot": ["the remarks say 'hot torque': if that is retightening after heat or test, its operation is retighten; if the studs are hot when they are tightened, state their temperature"],
    "remark stress": ["the remarks name a stress of 50000 psi, but the row is planned with 45000 psi: which one applies?"],
    "remark grade": ["the remarks name grade B16, but the row is planned with A193 B7: which one applies?"],
    "remark thread": ["the remarks name a stud size of '1 1/2-8 UN studs', but the row is planned with 1 1/4-8 UN: which one applies?"],
    "remark wrench": ["the remarks name wrench HW-3, but the row is planned with HW-1: which one applies?"],
    "remark product": ["the remarks name L-10, but the row is planned with L-20: which one applies?"],
    "condition": ["re-used studs: the friction taken may not hold for them; look at what its source was measured on"],
    "coating": ["coated studs: the friction taken may not hold for them; look at what its source was measured on"],
    "washers": ["washers: the friction taken may not hold for them; look at what its source was measured on"],
    "load": ["preload cannot be turned into torque: state a nut factor, both friction coefficients or a lubricant of the site's table"],
    "lubricant": ["friction 0.16 in the list differs from 0.145 of L-20 in the lubricant table"],
    "lubricant unknown": ["lubricant 'L-99' is not in the site's table (it has L-10, L-20 and L-30)",
                          "preload and limits not known: friction not stated; at a nut factor of 0.071 it reaches 90 % of yield"],
    "break by hand": ["break: nothing is tightened in this row; its break-out torque is not planned here"],
    "order": ["order '1-5-3-x' must be stud numbers like 1-5-3-7-2-6-4-8, or a pattern: cross, circular, quadrants, groups of 3"],
    "order in groups": ["groups of 5 do not part 16 studs into 4 or more groups that 1 wrench can share"],
    "nut unusual": ["nut A194 4 is not the usual one on A193 B7, which is A194 2H (A193/A194 usual pairing, from memory)"],
    "nut of two standards": ["nut grade '8' may be A194 8 or ISO 898-2 8; write which", "stud ceiling not checked: grade not stated"],
    # 48, 5 and 39 mm over 25.4: ISO 898-1 states property classes from M5 to M39
    "no grade for the size": ["ISO 898-1 10.9 states no yield for a diameter of 1.88976 in; its rows go from 0.19685 in to 1.53543 in", "stud ceiling not checked: yield strength not stated"],
    # 730 MPa
    "yield from memory": ["the yield of EN 10269 42CrMo4 for this size, 105878 psi, is from memory: it is used to stop what exceeds it and for nothing else; state the stud's yield strength with its source"],
    "uplift missing": ["uplift reason 'creep, N. Example' stands without an uplift: state the factor, or clear the reason"],
    "uplift reason": ["uplift 1.1 needs in 'uplift reason' what it is for, creep or interaction, and who states it, e.g. 'creep, N. Example'; got 'better so'"],
    "uplift on a torque": ["uplift 1.1 on a specified torque: only where its reason says 'torque'"],
    "no studs and a word": ["shank diameter must be a number, got 'see drawing'", "stud count is missing (empty cell)"],
    "studs in words": ["stud count must be a number, got 'sixteen'"],
}  # fmt: skip


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[str]]:
    place = tmp_path_factory.mktemp("rows")
    made = openpyxl.Workbook()
    made.active.append(HEAD)  # type: ignore[union-attr]
    for number, changes in enumerate(ROWS.values(), 101):
        row = {"Joint": f"P-{number}", **USUAL, **changes}
        made.active.append([row.get(heading) for heading in HEAD])  # type: ignore[union-attr]
    made.save(place / "L.xlsx")
    done = plan_list(place / "L.xlsx", [BOOK], place / "out")
    entries = read_plan(done.plan_file).joints
    return {  # without the comparison of like joints: the rows here are unlike each other by design
        name: [finding.text for finding in each.findings if not finding.code.startswith("unlike_")]
        for name, each in zip(ROWS, entries, strict=True)
    }


def test_every_row_has_its_sentences() -> None:
    assert ROWS.keys() == SAID.keys()


@pytest.mark.parametrize("name", SAID)
def test_the_whole_sentences_of_a_row(said: dict[str, list[str]], name: str) -> None:
    assert said[name] == SAID[name]
