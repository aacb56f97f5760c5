"""Alternate wrenches on a card, torques in both systems of units, and templates that have little room for them."""

import pytest
from msgspec.structs import replace
from openpyxl import Workbook, load_workbook
from small_plans import BROKEN, changed

from addin.cards.sheets import write_pack

OTHERS = ("HW-4", "HW-9")
"""In the book beside HW-3: each fits the usual joint. The gauge of HW-9 is in bar, with marks of 2.5."""


@pytest.fixture
def card(tmp_path, template, plan):
    def run(row, *, template_path=template, also=(), book=None, scheme=None, **more):
        (tmp_path / "card.xlsx").unlink(missing_ok=True)
        stated = {"scheme": scheme} if scheme else {}
        report = write_pack(plan(row, also=also, book=book, **stated), template_path, tmp_path / "card.xlsx", **more)
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
    """HW-9: 0.345 p - 20 meets 421.6, 843.2 and 1405.3 lbf·ft at 1280, 2502 and 4131 psi: 88.3, 172.5 and 284.8 bar.

    The table of HW-20 begins at 3000 psi, above the two stages.
    """
    rows, report = card(joint(), also=("HW-4", "HW-9", "HW-20"))

    assert row_of(rows, "wrench")[3:] == ["pass 1", "pass 2", "pass 3 to 5"]
    assert row_of(rows, "HW-4\npsi")[3:] == [1300, 2550, 4200]
    assert row_of(rows, "HW-9\nbar")[3:] == [87.5, 172.5, 285]
    assert row_of(rows, "HW-20\npsi")[3:] == ["other means", "other means", 4050]
    assert row_of(
        rows, "Instead of HW-3, nearest to the final torque first. Strike out the figures above; only the row"
    )
    assert not report.notes


def test_an_alternate_says_what_it_gives_nearest_to_the_final_torque_first(card, joint):
    """1405.3 lbf·ft is the final torque. HW-4 at 4200 psi: 0.34 x 4200 - 20 = 1408; HW-20 at 4050 psi: 0.351 x 4050 -
    20 = 1401.55; HW-9 at 285 bar = 4133.6 psi: 0.345 x 4133.6 - 20 = 1406.1 lbf·ft. Differences +0.19, -0.27, +0.06 %.
    """
    rows, _ = card(joint(), also=("HW-4", "HW-9", "HW-20"))

    found = [(str(row[0]).split("\n")[0], row[1]) for row in rows if str(row[0]).startswith(("HW-4", "HW-9", "HW-20"))]
    assert found == [
        ("HW-9", "1406 lbf·ft\n+0.1 %"), ("HW-4", "1408 lbf·ft\n+0.2 %"), ("HW-20", "1402 lbf·ft\n−0.3 %"),
    ]  # fmt: skip


def test_a_pass_that_no_alternate_reaches_keeps_its_column(card, joint):
    """The table of HW-20 begins at 3000 psi, above both stages: the crew must not take the figure of HW-3 for it."""
    rows, _ = card(joint(), also=("HW-20",))

    assert row_of(rows, "wrench")[3:] == ["pass 1 to 2", "pass 3 to 5"]
    assert row_of(rows, "HW-20\npsi")[3:] == ["other means", 4050]


def test_an_alternate_says_its_link_gauge_pump_hose_rating_and_certificate(card, joint):
    rows, _ = card(joint(), also=("HW-4",))
    assert row_of(rows, "HW-4")[2] == (
        "2\u20113/8 in link, gauge G-3, pump P-2\nhose H-1, rated 10000 psi\nC-1042, valid until 2027-01-10"
    )

    rows, _ = card(joint(), also=("HW-4",), book={"HW-4": {"hose": None}})
    assert row_of(rows, "HW-4")[2] == (
        "2\u20113/8 in link, gauge G-3, pump P-2\nhose H-1, rated wrench, pump: 10000 psi; hose not stated\n"
        "C-1042, valid until 2027-01-10"
    )


def test_what_the_book_does_not_say_of_an_alternate_is_not_stated(tmp_path, template, plan, joint):
    content = plan(joint(), also=("HW-4",))
    content.head = replace(content.head, wrenches=content.head.wrenches[:1])
    write_pack(content, template, tmp_path / "c.xlsx")
    sheet = load_workbook(tmp_path / "c.xlsx").worksheets[0]

    words = "2\u20113/8 in link, gauge G-3, pump P-2\nrated not stated\ncertificate not stated, last day not stated"
    assert words in [cell.value for row in sheet.iter_rows() for cell in row]


@pytest.mark.parametrize(("cells", "also"), [({}, ()), ({"operation": "break", **BROKEN}, OTHERS)])
def test_a_card_without_alternates_shows_no_row_for_them(card, joint, cells, also):
    rows, _ = card(joint(**cells), also=also)

    assert not any("Instead of" in str(cell) for row in rows for cell in row)
    assert not any(str(row[0]).startswith(("HW-4", "HW-9")) for row in rows)


def test_wrenches_that_pull_together_have_no_alternates(card, several):
    rows, _ = card(several(), also=("HW-9",))

    assert not any("Instead of" in str(cell) for row in rows for cell in row)


def test_more_passes_than_places_leave_the_alternates_out_rather_than_half(card, joint):
    rows, _ = card(joint(), also=OTHERS, scheme="20/40/60/70/80/90/100")

    assert not any("Instead of" in str(cell) for row in rows for cell in row)


def own_form(*rows):
    book = Workbook()
    for text in ("{{joint}}", "{{operation}}", "{{card}}", *["{{pass.set}}"] * 6):
        book.active.append([text])
    for row in rows:
        book.active.append(row)
    return book


def test_a_template_with_one_row_for_them_says_that_others_are_left_out(tmp_path, card, joint):
    own_form(["{{alternate.wrench}}", "{{alternate.pressure 4}}"]).save(tmp_path / "own.xlsx")
    rows, report = card(joint(), also=OTHERS, template_path=tmp_path / "own.xlsx")

    assert rows[-1] in (["HW-4", 4200], ["HW-9", 285])
    assert report.notes == ["the template has 1 rows for alternate; more of them are left out"]


def test_a_pressure_that_a_format_would_round_is_refused(tmp_path, joint, plan):
    """HW-9 has 87.5 bar in pass 1, which stands behind the snug pass."""
    book = own_form(["{{alternate.1.wrench}}", "{{alternate.1.pressure 2}}"])
    book.active["B10"].number_format = "0"
    book.save(tmp_path / "own.xlsx")
    content = plan(joint(), joint("B"), also=("HW-9",))
    changed(content, 0, alternates=())
    report = write_pack(content, tmp_path / "own.xlsx", tmp_path / "c.xlsx")

    assert report.refused == [("B", "final make-up", "cell B10 would not show 87.5 whole, its number format is 0")]


def test_both_units_beside_torque_and_preload_never_beside_pressure(card, joint):
    """1 lbf·ft = 1.3558179483 N·m, 1 lbf = 4.4482216153 N (exact by definition of the pound and the foot)."""
    rows, _ = card(joint(), both=True)

    third = row_of(rows, "pass 3")
    assert third == ["pass 3\ncross", 100, "1405\n1905 N·m", 4050, "1402\n1900 N·m"]
    text = "\n".join(str(cell) for row in rows for cell in row)
    assert "1405 lbf·ft   1905 N·m" in text
    assert "70263 lbf   313 kN" in text
    assert not any(unit in text for unit in ("bar", "MPa", "kPa"))


def test_a_hand_card_keeps_what_is_set_in_one_unit(card, hand):
    """84 N·m is set as 85, the nearest step of 5 within 2 %."""
    rows, _ = card(hand(), both=True)

    assert row_of(rows, "pass 3") == ["pass 3\ncross\n1.2 % above planned", 100, "84\n62 lbf·ft", 85]


def test_without_the_option_numbers_stay_numbers(card, joint):
    rows, _ = card(joint())

    assert row_of(rows, "pass 3") == ["pass 3\ncross", 100, 1405, 4050, 1402]
