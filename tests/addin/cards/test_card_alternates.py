"""Alternate wrenches on a card, torques in both systems of units, and templates that have little room for them."""

import copy

import msgspec
import pytest
from openpyxl import Workbook, load_workbook

from addin.cards.sheets import write_pack

STAGES = [
    {"pass": 0, "percent": None, "pattern": "snug"}, {"pass": 1, "percent": 30, "pattern": "cross"},
    {"pass": 2, "percent": 60, "pattern": "cross"}, {"pass": 3, "percent": 100, "pattern": "cross"},
    {"pass": 4, "percent": 100, "pattern": "circular until no nut turns"},
    {"pass": 5, "percent": 100, "pattern": "circular check after a wait", "wait_hours": 4},
]  # fmt: skip


def alternate(name, pressures, gauge="G-1", unit="psi", link="2-3/8 in link"):
    """A wrench that may take the place of the planned one."""
    steps = [{"pressure": p and {"value": p, "unit": unit}, "torque_at_pressure": None} for p in pressures]
    return {"wrench": name, "link": link, "gauge": gauge, "pump": "P-1", "setpoint": steps[-1]["pressure"],
            "torque_at_setpoint": {"value": 1866.0, "unit": "lbf·ft"}, "passes": steps}  # fmt: skip


OTHERS = [
    alternate("HW-4", [None, None, 1700.0, 2800.0, 2800.0, 2800.0]),
    alternate("HW-9", [None, 55.0, 110.0, 186.25, 186.25, 186.25], "G-4", "bar"),
]


@pytest.fixture
def card(tmp_path, template, plan):
    def run(joint, template_path=template, stages=STAGES, **more):
        (tmp_path / "card.xlsx").unlink(missing_ok=True)
        report = write_pack(plan(joint, stages=stages), template_path, tmp_path / "card.xlsx", **more)
        sheet = load_workbook(tmp_path / "card.xlsx").worksheets[0]
        rows = [
            [cell.value for cell in row if cell.value is not None]
            for row in sheet.iter_rows()
            if not sheet.row_dimensions[row[0].row].hidden
        ]
        return [row for row in rows if row], report

    return run


def row_of(rows, start):
    return next(row for row in rows if str(row[0]).startswith(start))


def test_each_alternate_has_its_pressure_in_every_pass_on_its_own_gauge(card, joint):
    rows, report = card(joint(alternates=OTHERS))

    assert row_of(rows, "HW-4\npsi")[2:] == ["no pump", "other means", 1700, 2800, 2800, 2800]
    assert row_of(rows, "HW-9\nbar")[2:] == ["no pump", 55, 110, 186.25, 186.25, 186.25]
    assert row_of(rows, "Instead of HW-3: strike out the figures above; only the row of the wrench used")
    assert not report.notes


def test_an_alternate_says_its_link_gauge_pump_rating_and_certificate(card, joint, plan):
    rows, _ = card(joint(alternates=[alternate("HW-3b", [None] + [2800.0] * 5), OTHERS[0]]))

    words = row_of(rows, "HW-4")[1]
    assert words == "2-3/8 in link, gauge G-1, pump P-1\nrated not stated\ncertificate not stated, last day not stated"


def test_the_rating_of_an_alternate_comes_from_its_sheet(tmp_path, template, plan, joint):
    content = plan(joint(alternates=[OTHERS[0]]))
    own = content.head.wrenches[0]
    other = msgspec.structs.replace(own, name="HW-4", certificate="C-1042", hose_rated_pressure=None)
    content.head = msgspec.structs.replace(content.head, wrenches=(own, other))
    write_pack(content, template, tmp_path / "c.xlsx")
    sheet = load_workbook(tmp_path / "c.xlsx").worksheets[0]

    assert any(
        str(cell.value).endswith("rated wrench, pump: 10000 psi; hose not stated\nC-1042, valid until 2027-01-10")
        for row in sheet.iter_rows() for cell in row
    )  # fmt: skip


@pytest.mark.parametrize("more", [{"alternates": []}, {}, {"operation": "break", "alternates": OTHERS}])
def test_a_card_without_alternates_shows_no_row_for_them(card, joint, more):
    rows, _ = card(joint(**more))

    assert not any("Instead of" in str(cell) for row in rows for cell in row)
    assert not any(str(row[0]).startswith(("HW-4", "HW-9")) for row in rows)


def test_wrenches_that_pull_together_have_no_alternates(card, several):
    rows, _ = card(several() | {"alternates": OTHERS})

    assert not any("Instead of" in str(cell) for row in rows for cell in row)


def test_more_passes_than_places_leave_the_alternates_out_rather_than_half(card, joint):
    more = [{"pass": number, "percent": 100, "pattern": "circular until no nut turns"} for number in range(6, 9)]
    rows, _ = card(joint(alternates=copy.deepcopy(OTHERS)), stages=[*STAGES, *more])

    assert not any("Instead of" in str(cell) for row in rows for cell in row)


def test_a_template_with_one_row_for_them_says_that_others_are_left_out(tmp_path, card, joint):
    book = Workbook()
    for text in ("{{joint}}", "{{operation}}", "{{card}}", *["{{pass.set}}"] * 6):
        book.active.append([text])
    book.active.append(["{{alternate.wrench}}", "{{alternate.pressure 4}}"])
    book.save(tmp_path / "own.xlsx")
    rows, report = card(joint(alternates=OTHERS), tmp_path / "own.xlsx")

    assert rows[-1] == ["HW-4", 2800]
    assert report.notes == ["the template has 1 rows for alternate; more of them are left out"]


def test_a_pressure_that_a_format_would_round_is_refused(tmp_path, joint, plan):
    book = Workbook()
    for text in ("{{joint}}", "{{operation}}", "{{card}}", *["{{pass.set}}"] * 6):
        book.active.append([text])
    book.active.append(["{{alternate.1.wrench}}", "{{alternate.1.pressure 4}}"])
    book.active["B10"].number_format = "0.0"
    book.save(tmp_path / "own.xlsx")
    fine = alternate("HW-9", [None, 55.0, 110.0, 186.25, 186.25, 186.25], "G-4", "bar")
    report = write_pack(plan(joint(), joint("B", alternates=[fine])), tmp_path / "own.xlsx", tmp_path / "c.xlsx")

    assert report.refused == [("B", "final make-up", "cell B10 would not show 186.25 whole, its number format is 0.0")]


def test_both_units_beside_torque_and_preload_never_beside_pressure(card, joint):
    """1 lbf·ft = 1.3558179483 N·m, 1 lbf = 4.4482216153 N (exact by definition of the pound and the foot)."""
    rows, _ = card(joint(), both=True)

    third = row_of(rows, "pass 3")
    assert third == ["pass 3\ncross", 100, "1878\n2546 N·m", 5200, "1881\n2550 N·m"]
    text = "\n".join(str(cell) for row in rows for cell in row)
    assert "1878 lbf·ft   2546 N·m" in text
    assert "78322 lbf   348 kN" in text
    assert not any(unit in text for unit in ("bar", "MPa", "kPa"))


def test_a_hand_card_keeps_what_is_set_in_one_unit(card, hand):
    """84 N·m is set as 85, the nearest step of 5 within 2 %."""
    rows, _ = card(hand(), both=True)

    assert row_of(rows, "pass 3") == ["pass 3\ncross\n1.2 % above planned", 100, "84\n62 lbf·ft", 85]


def test_without_the_option_numbers_stay_numbers(card, joint):
    rows, _ = card(joint())

    assert row_of(rows, "pass 3") == ["pass 3\ncross", 100, 1878, 5200, 1881]
