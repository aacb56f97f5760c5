"""What is said of tools, names and cells of a record: whole sentences, each joint and each cell of one small record.

The joints are those of `small_plans`: HW-3 is set to 4050 psi, the joints by hand are made up to 84 N·m.
"""

import datetime
from typing import Any

import openpyxl
import pytest
from small_plans import hand, joint, several, write_book, write_list

from addin.tasks import plan_list, take_records

DAY = datetime.date(2026, 3, 14)
TOOLS = (
    ("HT-1", 20, 200, "H-1", "K-1", datetime.date(2026, 1, 5), datetime.date(2027, 1, 4)),
    ("HT-2", 100, 200, "H-2", "K-2", datetime.date(2026, 1, 5), datetime.date(2027, 1, 4)),
)
BOOK: dict[str, dict[str, Any]] = {
    "HW-4": {"resting_from": datetime.date(2026, 3, 16), "resting_until": datetime.date(2026, 3, 20)},
    "HW-5": {"rated": None},
}
LIST = {
    "P-1": hand("P-1"), "P-2": hand("P-2"), "P-3": hand("P-3"), "E-1": joint("E-1"), "E-2": joint("E-2", wrench="HW-4"),
    "E-3": joint("E-3"), "E-4": joint("E-4"), "R-1": several("R-1", same=True), "C-1": joint("C-1"), "C-2": joint("C-2"), "C-3": joint("C-3"),
    "C-4": joint("C-4"), "C-5": joint("C-5"), "C-6": joint("C-6"), "C-7": joint("C-7"), "R-2": several("R-2"),
}  # fmt: skip
DONE = {
    "Operation": "final make-up",
    "As-tightened": "as planned",
    "As-tightened date": DAY,
    "As-tightened by": "A. Crew",
}
OTHERWISE = DONE | {"As-tightened": "differs", "As-tightened passes": "3", "As-tightened link": "2-3/8 in link"}
ROWS: list[tuple[str, dict[str, Any]]] = [
    ("P-1", DONE | {"As-tightened by": None, "As-tightened wrench": "HT-1"}),
    ("P-2", DONE | {"As-tightened wrench": "HT-9"}),
    ("P-3", DONE | {"As-tightened wrench": "HT-2"}),
    ("E-1", OTHERWISE | {"As-tightened wrench": "HW-3", "As-tightened pressure": "4050 psi"}),
    ("E-4", OTHERWISE | {"As-tightened wrench": "HW-3", "As-tightened pressure": "10500 psi"}),
    ("E-2", DONE | {"As-tightened date": datetime.date(2026, 3, 17)}),
    ("E-3", OTHERWISE | {"As-tightened wrench": "HW-5", "As-tightened pressure": "4050 psi", "As-tightened gauge": "G-4"}),
    ("R-1", OTHERWISE | {"As-tightened wrench": "HW-3", "As-tightened pressure": "4050 psi", "As-tightened gauge": "G-2"}),
    ("R-1", OTHERWISE | {"As-tightened wrench": "HW-13", "As-tightened pressure": "4050 psi", "As-tightened gauge": "G-2",
                         "As-tightened date": datetime.date(2026, 3, 15)}),
    ("C-1", DONE | {"As-tightened colour": "red"}),
    ("C-2", DONE | {"As-tightened passes": "3 to 1"}),
    ("C-3", DONE | {"As-tightened passes": datetime.date(2026, 1, 2)}),
    ("C-4", DONE | {"As-tightened time": "half past two"}),
    ("C-5", DONE | {"As-tightened date": datetime.datetime(2026, 3, 14, 6, 15), "As-tightened time": "14:30"}),
    ("C-6", DONE | {"As-tightened torque (N·m)": 1900, "As-tightened torque unit": "lbf·ft"}),
    ("C-7", DONE | {"As-tightened passes": True}),
    ("R-2", OTHERWISE | {"As-tightened wrench": "HW-3, HW-4", "As-tightened pressure": "4050, 5000 psi", "As-tightened gauge": "G-2, G-3"}),
]  # fmt: skip
HEAD = ["Joint", *dict.fromkeys(heading for _, row in ROWS for heading in row)]
NO_CARD = "the card's revision is not stated"
NOT_ALL = "passes 1 and 2 not recorded, though pass 3 is"
LUBRICANT = "lubricant not stated; the plan has L-20"
SAID: dict[str, list[str]] = {
    "P-1": ["passes 1, 2, 3, 4 and 5: who did it is not stated"],
    "P-2": ["passes 1, 2, 3, 4 and 5: hand torque wrench 'HT-9' is not in the wrench book"],
    # 30 and 60 % of 84 N·m
    "P-3": ["pass 1: 25.2 N·m is outside the range of HT-2, 100 N·m to 200 N·m",
            "pass 2: 50.4 N·m is outside the range of HT-2, 100 N·m to 200 N·m",
            "passes 3, 4 and 5: 84 N·m is outside the range of HT-2, 100 N·m to 200 N·m"],
    "E-1": [NOT_ALL, "pass 3: 4050 psi recorded, gauge of HW-3 not stated", LUBRICANT],
    "E-4": [NOT_ALL, "pass 3: 10500 psi recorded, gauge of HW-3 not stated",
            "pass 3: 10500 psi on HW-3 is not possible by its table, 500 psi to 10000 psi",
            "pass 3: 10500 psi on HW-3 is above its lowest rating, 10000 psi", LUBRICANT],
    "E-2": ["passes 1, 2, 3, 4 and 5: HW-4 is marked in the wrench book as not to be trusted (from 2026-03-16 until 2026-03-20)"],
    "E-3": [NOT_ALL, "pass 3: the sheet of HW-5 cannot be used: sheet HW-5: rated pressure is missing (empty cell)",
            "pass 3: HW-5 instead of HW-3; its torque is not known", LUBRICANT],
    "R-1": ["pass 3: its wrenches pull together, but their rows name different days", NOT_ALL, LUBRICANT],
    # each wrench with its own pressure: HW-4 gives 0.34 x 5000 - 20 = 1680 lbf·ft for 1405
    "R-2": [NOT_ALL, "pass 3: HW-4 at 5000 psi gives 1680 lbf·ft, +19.6 % off the planned 1405 lbf·ft; the tolerance is 3 %", LUBRICANT],
}  # fmt: skip
NOT_READ = [
    "cell K11: column 'As-tightened colour' is filled but not known here; known are As-tightened scan, As-tightened card, As-tightened, ",
    "cell G12: '3 to 1' must be passes of the plan like 3, 1-2 or 3 to 5",
    "cell G13: passes '2026-01-02': the spreadsheet made a date of it; format the column as text or write 1 to 2",
    "cell L14: time 'half past two' must be a time cell or text like 14:30",
    "cell L15: date and time cells name two different times",
    "cell N16: heading 'As-tightened torque (N·m), lbf·ft' names two units; keep one",
    "cell G17: 'True' must be passes of the plan like 3, 1-2 or 3 to 5",
]


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Any:
    place = tmp_path_factory.mktemp("checked")
    write_list(place / "list.xlsx", list(LIST.values()))
    write_book(place / "book.xlsx", ("HW-3", "HW-4", "HW-5", "HW-13"), BOOK, TOOLS)
    done = plan_list(place / "list.xlsx", [place / "book.xlsx"], place / "out")
    made = openpyxl.Workbook()
    made.active.title = "Records"  # type: ignore[union-attr]
    made.active.append(HEAD)  # type: ignore[union-attr]
    for tag, row in ROWS:
        made.active.append([{"Joint": tag, **row}.get(heading) for heading in HEAD])  # type: ignore[union-attr]
    made.save(place / "r.xlsx")
    return take_records(done.plan_file, [place / "r.xlsx"], place / "out").report


@pytest.mark.parametrize("tag", SAID)
def test_the_whole_sentences_about_a_joint(report: Any, tag: str) -> None:
    (row,) = [row for row in report.rows if row.joint.joint == tag]
    assert row.status == "to be reviewed"
    assert row.reasons == [NO_CARD, *SAID[tag]]


@pytest.mark.parametrize("said", NOT_READ)
def test_the_whole_sentence_about_a_cell(report: Any, said: str) -> None:
    texts = [each.text.removeprefix("r.xlsx, sheet Records, ") for each in report.refused]
    assert [text for text in texts if text.startswith(said)]
    assert len(texts) == len(NOT_READ)


def test_a_joint_with_a_cell_that_is_not_read_is_reviewed_for_it(report: Any) -> None:
    (row,) = [row for row in report.rows if row.joint.joint == "C-2"]
    assert row.reasons == ["not all of its record could be read: r.xlsx, sheet Records, cell G12"]
