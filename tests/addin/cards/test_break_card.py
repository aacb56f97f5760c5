"""Break-out cards: pressures to try, the one never to go beyond, and what makes a card impossible."""

import datetime

import pytest
from click.testing import CliRunner
from msgspec.structs import replace
from openpyxl import Workbook, load_workbook
from small_plans import BROKEN, changed

from addin.cards.issue import WantedParts, issue
from addin.cli import main
from addin.plan.entries import Amount
from addin.shipped import folder


@pytest.fixture
def opened(joint):
    """A row that is broken out: 1400 lbf·ft when it was made up, 1.5 times that expected, 2100 lbf·ft."""
    return lambda tag="V-1101-MH", **cells: joint(tag, "break", **(BROKEN | cells))


@pytest.fixture
def texts(tmp_path, plan):
    def run(*rows, book=None, change=lambda content: None, **more):
        (tmp_path / "list-break-out-cards.xlsx").unlink(missing_ok=True)
        run.content = plan(*rows, book=book)
        change(run.content)
        issued = issue(run.content, "list", tmp_path, WantedParts(("break-out",), **more))
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
    stages = [row for row in rows if row[:1] in ([1], [2], [3], [4])]
    assert len(stages) == 4
    for _, pressure, torque in stages:
        assert torque == pytest.approx(0.351 * pressure - 20, abs=0.51)  # the table of HW-3
    pressures = [pressure for _, pressure, _ in stages]
    assert pressures == sorted(set(pressures))
    assert pressures[-1] == 6050  # the mark nearest above (2100 + 20) / 0.351 = 6040 psi
    block = texts.content.joints[0].breakout
    top = 50 * int((block.never_above.value + 20) / 0.351 / 50)  # the mark below the limit of the stud
    for words in (
        "BREAK-OUT", "Not turned at stage 4: go up mark by mark. NEVER ABOVE",
        f"{top} psi   at most {int(block.never_above.value)} lbf·ft",
        "1400 lbf·ft stated × 1.5 (the list)",
        "2100 lbf·ft", "Zero energy proven", "All nuts stay on until the gap opens", "HW-3",
        f"card {texts.content.joints[0].card}",
        "The wrench's rating covers the torque to expect.", "Line proven free of pressure",
        "STOP, pressure off, and call the supervisor when: the gauge",
        "never replaces the site's procedure", "From the lowest pressure up",
    ):  # fmt: skip
        assert words in text, words
    assert "None" not in text
    assert "PRESSURE TO SET\non HW-3, psi" in text
    assert issued.reports["break-out"].cards[0][:2] == ("V-1101-MH", "break")


def test_between_the_last_stage_and_never_above_stands_what_to_do(tmp_path):
    """A list of one row through the plan: 1.5 x 399 is 598.5 lbf·ft, printed as one figure everywhere on the card."""
    (text,) = planned_card(tmp_path, 399, "1 1/8-8 UN", "A193 B7")
    in_order = (
        "From the lowest pressure up, a stage at a time; stop when the nut turns.", "PRESSURE TO SET",
        "NEVER ABOVE", "A nut that has not turned",
    )  # fmt: skip
    places = [text.index(words) for words in in_order]
    assert places == sorted(places)
    assert text.count("NEVER ABOVE") == 1
    assert "never above" not in text
    assert "399 lbf·ft stated × 1.5" in text
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
    (text,), _ = texts(opened(), change=lambda content: changed(content, 0, nut_series=None))

    assert "across flats, series not stated" in text


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ({"breakout_factor": 2.5}, "declares the stud sacrificial"),  # 3500 lbf·ft: the stud yields before
        ({"grade": None}, "The stud in torsion is not checked"),
    ],
)
def test_what_follows_is_said(texts, opened, cells, words):
    (text,), _ = texts(opened(**cells))

    assert words in text


def test_a_wrench_that_may_be_too_small_says_so(texts, opened):
    """The planner stops such a row; the card says it all the same."""

    def change(content):
        changed(content, 0, breakout=replace(content.joints[0].breakout, follows="larger wrench"))

    (text,), _ = texts(opened(), change=change)

    assert "a larger wrench stands ready. Never more pressure" in text


def test_a_stud_that_was_not_checked_says_what_it_needs(texts, opened):
    (text,), _ = texts(opened(grade=None))

    assert "not checked" in text
    assert "needs grade" in text


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"stages": ()}, "the plan gives no pressures to break out with"),
        ({"highest_pressure": None}, "the plan gives no pressure never to go beyond"),
        ({"highest_pressure": Amount(440.0, "bar")}, "the plan gives pressure in several units"),
        ({"highest_pressure": Amount(5100.0, "psi")}, "the plan gives a stage above the pressure never to go beyond"),
    ],
)
def test_a_card_that_cannot_be_made_is_refused_and_the_rest_goes_on(texts, opened, changes, reason):
    def change(content):
        changed(content, 0, breakout=replace(content.joints[0].breakout, **changes))

    written, issued = texts(opened("A"), opened("B"), change=change)

    assert len(written) == 1
    assert issued.refused == [("A", "break", reason)]


def test_a_break_row_that_is_not_planned_says_what_is_missing(texts, opened):
    written, issued = texts(opened("A", breakout_factor=None), opened("B"))

    assert len(written) == 1
    assert issued.skipped == [
        (
            "A",
            "break",
            "break-out not planned; break-out factor is needed (a factor for all rows: --breakout-factor FACTOR)",
        )
    ]


def test_both_units_beside_torque_only(texts, opened):
    (text,), _ = texts(opened(), both=True)

    assert "2100 lbf·ft   2847 N·m" in text
    assert "2104\n2852 N·m" in text  # 0.351 x 6050 - 20 = 2103.55 lbf·ft, of 1.35582 N·m
    assert "bar" not in text


def test_where_the_stud_is_at_its_limit_no_larger_wrench_is_named(texts, opened):
    (stud,), _ = texts(opened())
    (wrench,), _ = texts(
        opened(), book={"HW-3": {"last": 7000}}
    )  # 0.351 x 7000 - 20 = 2437 lbf·ft: below the stud's limit

    assert (
        "A nut that has not turned at the highest pressure: STOP. The stud itself is at its limit: no larger wrench, "
        "no more pressure. Call the engineer, who decides (cut, split, heat where allowed)."
    ) in stud
    assert "Call the engineer: a larger wrench, or other means." not in stud
    assert "Never more pressure. Call the engineer: a larger wrench, or other means." in wrench


def test_a_nut_that_has_turned_has_a_lower_ceiling_that_is_rounded_down(texts, opened):
    (text,), _ = texts(opened())
    block = texts.content.joints[0].breakout
    (same,), _ = texts(opened(), book={"HW-3": {"last": 7000}})

    assert block.once_turned.value < block.never_above.value
    mark = 50 * int((block.once_turned.value + 20) / 0.351 / 50)
    assert (
        f"From the moment the nut turns: NEVER ABOVE\n{mark} psi   at most {int(block.once_turned.value)} lbf·ft"
        in text
    )
    assert "From the moment the nut turns" not in same  # the wrench ends before either


def test_nuts_are_loosened_crosswise_and_none_is_freed_while_others_are_tight(texts, opened):
    (text,), _ = texts(opened())

    assert "Order of loosening: crosswise; each line from left to right" in text
    assert "1→" in text
    assert (
        "Loosen in the order below, at least two rounds of part turns, first on the side away from you; pressure may "
        "still be trapped. Nuts stay on until the gap opens; no stud is freed while the others are tight."
    ) in text
