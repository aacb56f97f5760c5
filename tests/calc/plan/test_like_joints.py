"""Like joints: one odd row in an orderly list is named; a list without such a rule stays silent. No source."""

from typing import Any

from addin.cells.words import line
from calc.plan.plans import Plans
from calc.units import system
from tests.calc.plan.test_breakout import MAKE, plan

PSI = 6894.757293168361
ROW = {**{k: v for k, v in MAKE.items() if k not in ("torque", "breakout_factor")}, "area": "tensile"}


def rows(count: int = 40, **more: Any) -> list[dict[str, Any]]:
    """Ten items of equipment with four joints each, one stress for all but the last two items."""
    made = []
    for i in range(count):
        stress = (45000 if i < 32 else 50000) * PSI
        made.append({**ROW, "joint": f"E-{i // 4} N{i}", "equipment": f"E-{i // 4}", "stress": stress, **more})
    return made


def said(found: Plans, code: str = "unlike") -> list[tuple[int, str]]:
    return [(f.row, line(f, system("US"))) for f in found.findings if f.code.startswith(code)]


def test_an_orderly_list_with_honest_exceptions_is_silent() -> None:
    assert said(plan(*rows())) == []


def test_one_target_unlike_its_equipment_is_named() -> None:
    made = rows()
    made[5]["stress"] = 54000 * PSI

    assert said(plan(*made)) == [
        (5, "stress 54000 psi is unlike that of 3 of 4 joints of this list with the same equipment and operation: "
            "45000 psi")
    ]  # fmt: skip


def test_a_list_without_such_a_rule_says_nothing() -> None:
    made = rows()
    for i, row in enumerate(made):
        row["stress"] = (40000 + 500 * (i * 7 % 12)) * PSI

    assert said(plan(*made)) == []


def test_below_ninety_two_per_cent_nothing_is_said() -> None:
    """Four odd rows of 40 are 90 %; three are 92.5 %."""
    made = rows()
    for i in (1, 5, 9):
        made[i]["stress"] = 54000 * PSI
    assert [row for row, _ in said(plan(*made))] == [1, 5, 9]
    made[13]["stress"] = 54000 * PSI

    assert said(plan(*made)) == []


def test_two_of_three_speak_only_where_ninety_seven_of_a_hundred_rows_agree() -> None:
    """Twelve items of three joints, each with a stress of its own: one odd row of 36 leaves 97 %, two leave 94 %."""
    made = [{**row, "joint": f"E-{i // 3} N{i}", "equipment": f"E-{i // 3}", "stress": (40000 + 1000 * (i // 3)) * PSI}
            for i, row in enumerate(rows(36))]  # fmt: skip
    made[4]["stress"] = 60000 * PSI
    assert said(plan(*made)) == [
        (4, "stress 60000 psi is unlike that of 2 of 3 joints of this list with the same equipment and operation: "
            "41000 psi")
    ]  # fmt: skip
    made[19]["stress"] = 60000 * PSI

    assert said(plan(*made)) == []


def test_a_short_list_says_nothing() -> None:
    made = rows(16)
    made[5]["stress"] = 54000 * PSI

    assert said(plan(*made)) == []


def test_a_list_of_thirteen_says_once_what_holds_for_its_studs() -> None:
    made = rows(13)
    made[3]["thread"] = "1 1/2-6 UNC"
    made[5]["stress"] = 54000 * PSI  # a target is compared in lists of 20 rows
    assert said(plan(*made)) == [
        (3, "pitch 4.233 mm is unlike that of 12 of 13 joints of this list with the same stud: 3.175 mm")
    ]

    assert said(plan(*made[:12])) == []


def test_grade_pitch_area_and_system_of_one_row() -> None:
    made = rows()
    made[3]["grade"] = "A193 B16"
    made[10]["thread"] = "1 1/2-6 UNC"
    made[20]["area"] = "root B1.1"
    made[30] |= {"thread": "M39x4", "across_flats": 2.375 * 0.0254}

    assert said(plan(*made)) == [
        (3, "grade A193 B16 is unlike that of 3 of 4 joints of this list with the same equipment and stud: A193 B7"),
        (20, "stress area root B1.1 is unlike that of 39 of 40 joints of this list: tensile"),
        (30, "unit system of the stud metric is unlike that of 39 of 40 joints of this list: inch"),
        (10, "pitch 4.233 mm is unlike that of 38 of 39 joints of this list with the same stud: 3.175 mm"),
    ]


def test_a_value_that_a_whole_item_has_is_meant_so() -> None:
    """Two joints of one item, told by their tags alone, with a stress of their own."""
    made = [{**row, "equipment": "", "gasket": "spiral wound", "joint": f"E-{i // 2}-N{i}", "stress": 45000 * PSI}
            for i, row in enumerate(rows())]  # fmt: skip
    made[4]["stress"] = made[5]["stress"] = 50000 * PSI
    assert said(plan(*made)) == []
    made[9]["stress"] = 50000 * PSI

    assert [row for row, _ in said(plan(*made))] == [9]


def test_one_nut_factor_and_one_item_told_by_its_tags() -> None:
    made = [{**row, "equipment": "", "joint": f"E-{i // 4}-N{i}"} for i, row in enumerate(rows())]
    made[5]["stress"] = 54000 * PSI
    made[8]["nut_factor"] = 0.19

    assert said(plan(*made)) == [
        (
            5,
            "stress 54000 psi is unlike that of 3 of 4 joints of this list with the same item and operation: 45000 psi",
        ),
        (8, "nut factor 0.19 is unlike that of 39 of 40 joints of this list with the same grade: 0.16"),
    ]


def test_a_value_that_no_other_row_has_in_a_long_list_of_few_values() -> None:
    """Items of two joints are too small to speak by themselves."""
    made = [{**row, "equipment": f"E-{i // 2}", "stress": (45000, 50000, 52500)[i // 2 % 3] * PSI}
            for i, row in enumerate(rows(80))]  # fmt: skip
    assert said(plan(*made), "target_alone") == []
    made[10]["stress"] = 25500 * PSI

    assert said(plan(*made), "target_alone") == [
        (10, "stress 25500 psi stands in no other row of this list, whose other rows keep to 3 values: check it")
    ]


def test_a_stray_value_is_named_where_ninety_two_of_a_hundred_rows_keep_to_few() -> None:
    """Items of two joints; five rows of 80 have a value of their own: 94 per cent keep to three; seven: 91."""
    made = [{**row, "equipment": f"E-{i // 2}", "stress": (45000, 50000, 52500)[i // 2 % 3] * PSI}
            for i, row in enumerate(rows(80))]  # fmt: skip
    for n in range(5):
        made[10 * n]["stress"] = (25500 + 1000 * n) * PSI
    assert [row for row, _ in said(plan(*made), "target_alone")] == [0, 10, 20, 30, 40]
    for n in range(5, 7):
        made[10 * n]["stress"] = (25500 + 1000 * n) * PSI

    assert said(plan(*made), "target_alone") == []


def torques(usual: tuple[float, float] = (1400.0, 800.0)) -> list[dict[str, Any]]:
    """Items of two joints, each with its size of stud, the site's torque for each."""
    made = []
    for i in range(80):
        large = i % 2 == 0
        made.append({**ROW, "joint": f"E-{i // 2} N{i}", "equipment": f"E-{i // 2}", "area": "", "method": "hand",
                     "thread": "1 1/2-8" if large else "1 1/4-8", "across_flats": 0.0254 * (2.375 if large else 2.0),
                     "torque": usual[not large] * 1.3558179483314004})  # fmt: skip
    return made


def test_an_item_that_is_odd_as_a_whole_is_meant_so() -> None:
    """The engineer set 6 per cent more for one item; one joint of another with as much more is named."""
    made = torques()
    for row in made[8:10]:
        row["torque"] *= 1.06
    assert said(plan(*made)) == []
    made[20]["torque"] *= 1.06

    assert said(plan(*made)) == [
        (20, "torque 1484 lbf·ft is unlike that of 38 of 40 joints of this list with the same grade, operation, stud "
             "and friction: 1400 lbf·ft")
    ]  # fmt: skip


def test_a_torque_within_five_per_cent_of_the_usual_is_rounded() -> None:
    made = torques()
    made[20]["torque"] *= 1.04
    made[31]["torque"] *= 0.96

    assert said(plan(*made)) == []
