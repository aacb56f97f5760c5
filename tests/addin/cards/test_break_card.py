"""Break-out cards: pressures to try, the one never to go beyond, and what makes a card impossible."""

import copy
import datetime

import pytest
from click.testing import CliRunner
from openpyxl import Workbook, load_workbook

from addin.cards.issue import WantedParts, issue
from addin.cli import main
from addin.shipped import folder


def q(value, unit):
    return {"value": value, "unit": unit}


BLOCK = {
    "torque_stated": q(1400.0, "lbf·ft"), "factor": 1.5, "factor_from": "the list", "expected": q(2100.0, "lbf·ft"),
    "available": q(4000.0, "lbf·ft"), "stud_limit": q(2596.7, "lbf·ft"),
    "stud_note": "the stud begins to yield in torsion: thread seized, no preload left in it",
    "never_above": q(2596.7, "lbf·ft"), "follows": "within the rating", "highest_pressure": q(6400.0, "psi"),
    "stages": [
        {"stage": n, "pressure": q(p, "psi"), "torque_at_pressure": q(t, "lbf·ft")}
        for n, p, t in ((1, 500.0, 185.0), (2, 2050.0, 817.2), (3, 3600.0, 1448.9), (4, 5150.0, 2080.4))
    ],
    "note": "from the lowest pressure up, a stage at a time; stop when the nut turns",
}  # fmt: skip


@pytest.fixture
def opened(joint):
    """A row that is broken out, as the plan gives it."""

    def run(tag="V-1101-MH", **changes):
        entry = joint(tag, "break")
        empty = {name: [] for name in ("wrenches", "alternates", "passes", "order", "limits")}
        nothing = dict.fromkeys(("target", "preload", "torque", "setpoint", "torque_at_setpoint", "difference_percent"))
        return entry | empty | nothing | {"breakout": copy.deepcopy(BLOCK) | changes}

    return run


@pytest.fixture
def texts(tmp_path, plan):
    def run(*joints, **more):
        (tmp_path / "list-break-out-cards.xlsx").unlink(missing_ok=True)
        issued = issue(plan(*joints), "list", tmp_path, WantedParts(("break-out",), **more))
        path = tmp_path / "list-break-out-cards.xlsx"
        sheets = load_workbook(path).worksheets if path.exists() else []
        return [
            "\n".join(
                str(cell.value) for row in sheet.iter_rows() for cell in row
                if cell.value is not None and not sheet.row_dimensions[cell.row].hidden
            ) for sheet in sheets
        ], issued  # fmt: skip

    return run


def test_every_stage_and_the_pressure_never_to_go_beyond(tmp_path, texts, opened):
    (text,), issued = texts(opened())

    sheet = load_workbook(tmp_path / "list-break-out-cards.xlsx").worksheets[0]
    rows = [[cell.value for cell in row if cell.value is not None] for row in sheet.iter_rows()]
    assert [row for row in rows if row[:1] in ([1], [2], [3], [4])] == [
        [1, 500, 185], [2, 2050, 817], [3, 3600, 1449], [4, 5150, 2080],
    ]  # fmt: skip
    for words in (
        "BREAK-OUT", "NEVER ABOVE", "6400 psi   at most 2596 lbf·ft", "1400 lbf·ft stated × 1.5 (the list)",
        "2100 lbf·ft", "Zero energy proven", "All nuts stay on until the gap opens", "HW-3", "card 7F3A-91C2",
        "The wrench's rating covers the torque to expect.", "Line proven free of pressure",
        "STOP, pressure off, and call the supervisor when: the gauge",
        "never replaces the site's procedure", "From the lowest pressure up",
    ):  # fmt: skip
        assert words in text, words
    assert "None" not in text
    assert "PRESSURE TO SET\non HW-3, psi" in text
    assert issued.reports["break-out"].cards[0][:3] == ("V-1101-MH", "break", "7F3A-91C2")


def test_between_the_last_stage_and_never_above_stands_what_to_do(tmp_path):
    """A list of one row through the plan: 1.5 x 399 is 598.5 lbf·ft, printed as one figure everywhere on the card."""
    (text,) = planned_card(tmp_path, 399, "1 1/8-8 UN", "A193 B7")
    said = "raise mark by mark to the highest pressure at most, then stop."

    assert text.index("A nut that has not turned at the last stage") < text.index(said) < text.index("NEVER ABOVE")
    assert "expect about 598 lbf·ft, 1.5 x 399 lbf·ft" in text
    assert "598 lbf·ft" in text
    assert "598.5" not in text
    assert "1-13/16 in across flats, heavy hex" in text


def planned_card(tmp_path, torque, thread, grade):
    """Text of the break-out card of one row, planned with a wrench book of the samples."""
    book = Workbook()
    book.active.append(["Joint", "Operation", "Method", "Studs", "Thread", "Grade", "Torque (lbf·ft)", "Job date"])
    book.active.append(["V-1", "break", "hydraulic", 12, thread, grade, torque, datetime.date(2026, 10, 8)])
    book.save(tmp_path / "one.xlsx")
    wrenches = folder("samples") / "drigrauvex-wrenches.xlsx"
    run = CliRunner().invoke(main, ["plan", str(tmp_path / "one.xlsx"), "--wrenches", str(wrenches), "--out",
                                    str(tmp_path / "out"), "--breakout-factor", "1.5", "--pack"])  # fmt: skip
    assert run.exit_code == 0, run.output
    sheets = load_workbook(tmp_path / "out" / "one-break-out-cards.xlsx").worksheets
    return [
        "\n".join(str(c.value) for row in sheet.iter_rows() for c in row if c.value is not None) for sheet in sheets
    ]


def test_a_nut_of_unknown_series_ends_in_no_comma(texts, opened):
    (text,), _ = texts(opened() | {"nut_series": None})

    assert "across flats, series not stated" in text


@pytest.mark.parametrize(
    ("follows", "words"),
    [("larger wrench", "a larger wrench stands ready. Never more pressure"),
     ("other means", "declares the stud sacrificial"),
     ("within the rating, stud not checked", "The stud in torsion is not checked")],
)  # fmt: skip
def test_what_follows_is_said(texts, opened, follows, words):
    (text,), _ = texts(opened(follows=follows))

    assert words in text


def test_a_stud_that_was_not_checked_says_what_it_needs(texts, opened):
    (text,), _ = texts(opened(stud_limit=None, stud_note="not checked: needs grade"))

    assert "not checked" in text
    assert "needs grade" in text


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"stages": []}, "the plan gives no pressures to break out with"),
        ({"highest_pressure": None}, "the plan gives no pressure never to go beyond"),
        ({"highest_pressure": q(440.0, "bar")}, "the plan gives pressure in several units"),
        ({"highest_pressure": q(5100.0, "psi")}, "the plan gives a stage above the pressure never to go beyond"),
    ],
)
def test_a_card_that_cannot_be_made_is_refused_and_the_rest_goes_on(texts, opened, changes, reason):
    written, issued = texts(opened("A", **changes), opened("B"))

    assert len(written) == 1
    assert issued.refused == [("A", "break", reason)]


def test_a_break_row_that_is_not_planned_says_what_is_missing(texts, opened):
    said = [{"level": "caution", "code": "breakout_needs", "text": "break-out needs the break-out factor"}]
    written, issued = texts(opened("A") | {"status": "other method", "card": None, "findings": said}, opened("B"))

    assert len(written) == 1
    assert issued.skipped == [("A", "break", "break-out not planned; break-out needs the break-out factor")]


def test_both_units_beside_torque_only(texts, opened):
    (text,), _ = texts(opened(), both=True)

    assert "2100 lbf·ft   2847 N·m" in text
    assert "2080\n2821 N·m" in text
    assert "bar" not in text


def test_where_the_stud_is_at_its_limit_no_larger_wrench_is_named(texts, opened):
    (stud,), _ = texts(opened(by_stud=True))
    (wrench,), _ = texts(opened(by_stud=False))

    assert (
        "A nut that has not turned at the highest pressure: STOP. The stud itself is at its limit: no larger wrench, "
        "no more pressure. Call the engineer, who decides (cut, split, heat where allowed)."
    ) in stud
    assert "Call the engineer: a larger wrench, or other means." not in stud
    assert "Never more pressure. Call the engineer: a larger wrench, or other means." in wrench


def test_a_nut_that_has_turned_has_a_lower_ceiling_that_is_rounded_down(texts, opened):
    lower = {"once_turned": q(2000.9, "lbf·ft"), "turned_pressure": q(4900.0, "psi")}
    (text,), _ = texts(opened(**lower))
    (same,), _ = texts(opened(once_turned=q(2596.7, "lbf·ft"), turned_pressure=q(6400.0, "psi")))

    assert "once the nut has turned" in text
    assert "never above 4900 psi   at most 2000 lbf·ft" in text
    assert "once the nut has turned" not in same


def test_nuts_are_loosened_crosswise_and_none_is_freed_while_others_are_tight(texts, opened):
    (text,), _ = texts(opened())

    assert (
        "Loosen in cross order, at least two rounds of part turns, first on the side away from you; pressure may still "
        "be trapped. Nuts stay on until the gap opens; no stud is freed while the others are tight."
    ) in text
