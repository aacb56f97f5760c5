"""Targets as loads on the stud, and methods by size: one odd row is named, a list without order says so. No source."""

from typing import Any

from addin.cells.words import line
from calc.plan.plans import Plans
from calc.units import system
from tests.calc.plan.test_breakout import MAKE, plan

SIZES = {
    "3/4-10 UNC": 0.75, "7/8-9 UNC": 0.875, "1-8 UNC": 1.0, "1 1/8-8 UN": 1.125, "1 1/4-8 UN": 1.25,
    "1 1/2-8 UN": 1.5,
}  # fmt: skip
LBF_FT = 1.3558179483314004
ROW = {k: v for k, v in MAKE.items() if k not in ("torque", "breakout_factor", "stress", "across_flats")}


def rows(count: int = 60, **more: Any) -> list[dict[str, Any]]:
    """Items of three joints, each of another size, torques at one stress."""
    made = []
    for i in range(count):
        thread, d = list(SIZES.items())[i % len(SIZES)]
        torque = round(0.16 * 45000 * 0.7 * d**3 / 12 / 5) * 5 * LBF_FT
        made.append({**ROW, "joint": f"E-{i // 3}-N{i}", "equipment": "", "thread": thread, "torque": torque,
                     "across_flats": 2.375 * 0.0254, "method": "hand", **more})  # fmt: skip
    return made


def said(found: Plans) -> list[tuple[int, str]]:
    codes = (
        "unlike_stress",
        "targets_",
        "hand_above_size",
        "hydraulic_below_size",
        "methods_without_order",
    )
    return [(f.row, line(f, system("US"))) for f in found.findings if f.code.startswith(codes)]


def test_torques_at_one_stress_are_silent_whatever_the_stud() -> None:
    assert said(plan(*rows())) == []


def test_a_torque_of_another_stud_is_named_with_both() -> None:
    made = rows()
    made[10] |= {"thread": "1 3/8-8 UN", "torque": made[12]["torque"]}  # that of 3/4 in on the only stud of this size

    [(row, text)] = said(plan(*made))

    assert row == 10
    # 175 x 12 / (0.16 x 1.375) lbf on 1.234 in2 are 7733 psi, those of the others in the middle 51,290
    assert text == (
        "torque 175 lbf·ft with 24 studs 1 3/8-8 UN means 15.1 % of the stud stress that 59 of 60 joints of this "
        "list with"
        " the same grade and operation have: check torque, stud size and count"
    )


def test_a_group_of_which_only_five_of_eight_agree_has_no_usual_stress() -> None:
    """Three quarters must agree: three of eight at one and a half times the others are no odd rows, one of eight is."""
    made = rows(68)
    for row in made[60:]:
        row["grade"] = "A193 B16"
    assert said(plan(*made)) == []
    for row in made[60:67:3]:  # each of another item
        row["torque"] *= 1.5
    assert said(plan(*made)) == []
    for row in made[63:67:3]:
        row["torque"] /= 1.5

    assert [row for row, _ in said(plan(*made))] == [60]


def test_a_list_sorted_without_its_torques_says_so_on_every_row() -> None:
    made = rows()
    torques = [row["torque"] for row in made]
    for i, row in enumerate(made):
        row["torque"] = torques[(7 * i + i // 6) % len(torques)]

    found = said(plan(*made))

    assert found[0][1] == ("torque does not rise with the stud size in the 60 rows of this list: was it sorted, or did "
                           "it slip, without one of the two columns?")  # fmt: skip
    assert len(found) > 30  # the others are past yield


def test_methods_that_go_with_the_size_name_the_row_that_does_not() -> None:
    made = rows(120)
    for row in made:
        if row["thread"] not in ("3/4-10 UNC", "7/8-9 UNC"):
            row |= {"method": "hydraulic", "torque": 2000 * LBF_FT, "thread": "1 1/2-8 UN"}
    assert said(plan(*made)) == []
    made[5]["method"] = "hand"

    made[13] |= {"method": "hydraulic"}

    [(row, text), (other, below)] = said(plan(*made))

    assert (other, below) == (13, "stud 7/8-9 UNC by hydraulic wrench, but 118 of 120 rows of this list do studs "
                                  "up to 0.875 in by "
                                  "hand and larger ones by hydraulic wrench: check stud size and method")  # fmt: skip
    assert (row, text) == (5, "stud 1 1/2-8 UN by hand, but 118 of 120 rows of this list do studs up to 0.875 in by "
                              "hand and larger ones by hydraulic wrench: check stud size and method")  # fmt: skip


def test_a_column_that_slipped_by_a_row_is_told_from_one_that_was_sorted() -> None:
    made = rows(thread="1-8 UNC")
    for i, row in enumerate(made):  # in runs of two, so that most neighbours are unlike
        thread, d = list(SIZES.items())[(i // 2 * 5) % len(SIZES)]
        row |= {"thread": thread, "torque": 0.1 * 45000 * 0.7 * d**3 / 12 * LBF_FT}
    assert said(plan(*made)) == []
    torques = [row["torque"] for row in made]
    for row, torque in zip(made[1:], torques, strict=False):
        row["torque"] = torque

    found = said(plan(*made))
    assert len(found) > 30  # the others are past yield
    assert {text for _, text in found} == {
        "torque fits the stud sizes of the row above, all the way down the 60 rows of this list: did the column "
        "slip by a row?"
    }
    for row, torque in zip(made, torques[1:], strict=False):
        row["torque"] = torque
    assert {text for _, text in said(plan(*made))} == {
        "torque fits the stud sizes of the row below, all the way down the 60 rows of this list: did the column "
        "slip by a row?"
    }


def test_methods_that_do_not_go_with_the_size_say_so_on_every_row() -> None:
    """Each third row by hand, whatever its stud: the middle of the six sizes is 1.0625 in on both sides."""
    made = rows()
    for i, row in enumerate(made):
        row["method"] = "hand" if i % 3 == (i // 6) % 3 else "hydraulic"

    found = said(plan(*made))

    assert {text for _, text in found} == {
        "studs of the 20 rows by hand are hardly smaller than those by hydraulic wrench (middle 1.0625 in and "
        "1.0625 in):"
        " was the list sorted without its stud sizes or its methods?"
    }


def test_methods_of_three_sizes_are_too_few_to_say_that_they_go_with_none() -> None:
    """As above, with the studs of three sizes alone: by chance methods of so few may part in any way."""
    made = [{**row, "method": "hand" if i % 3 == (i // 6) % 3 else "hydraulic"} for i, row in enumerate(rows())]
    for row in made:
        row["thread"] = {"7/8-9 UNC": "1-8 UNC", "1 1/8-8 UN": "1-8 UNC", "1 1/4-8 UN": "1 1/2-8 UN"}.get(
            row["thread"], row["thread"]
        )

    assert not [text for _, text in said(plan(*made)) if text.startswith("studs of the 20 rows by hand")]


def test_methods_that_go_with_four_sizes_are_in_order() -> None:
    """Ten rows by hand on the smallest of six sizes, all others by hydraulic wrench."""
    made = [{**row, "method": "hand" if row["thread"] == "3/4-10 UNC" else "hydraulic"} for row in rows()]

    assert not [text for _, text in said(plan(*made)) if text.startswith("studs of the")]
