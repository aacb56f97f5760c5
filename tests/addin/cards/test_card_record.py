"""Boxes for what is recorded, which card this is, and the size at which its two pages are printed."""

import datetime
import re

import msgspec
import pytest
from openpyxl import load_workbook
from small_plans import BROKEN

from addin.cards.card_identity import identity
from addin.cards.card_record import hand_cautions, record
from addin.cards.joint_card import filling
from addin.cards.sheets import write_pack
from addin.plan.entries import Amount
from addin.shipped import template as shipped

replace = msgspec.structs.replace


def one(plan, joint, **changes):
    """A plan of one joint, and its entry with fields of the record changed."""
    content = plan(joint)
    (entry,) = content.joints
    return content, replace(entry, **changes)


def test_a_tick_for_each_stud_in_the_order_pulled_up_to_32(plan, joint, several):
    content, entry = one(plan, joint(studs=32))
    values, groups = record(entry, content.head)
    moves = [values[f"move {number}"] for number in range(1, 33)]
    assert moves == ["+".join(map(str, move)) for move in content.head.order(entry)]
    assert [row["name"] for row in groups["ticks"]] == ["pass 1", "pass 2", "pass 3"]
    assert groups["more ticks"] == groups["ticks"]
    assert values["ticks heading"] == "A tick for each stud and pass, columns in cross order"
    assert [values[f"round move {number}"] for number in range(1, 33)] == [str(stud) for stud in range(1, 33)]
    assert [row["name"] for row in groups["round ticks"]] == ["pass 4", "pass 5"]
    assert groups["more round ticks"] == groups["round ticks"]
    assert values["round ticks heading"] == "A tick for each stud and pass that goes round, columns in circular order"
    content, entry = one(plan, joint(studs=36))
    values, groups = record(entry, content.head)
    assert groups["ticks"] == []
    assert values["no ticks"] == "More than 32 studs: mark each nut as it is done, in every pass."
    content, entry = one(plan, several(studs=32, count=4))
    values, groups = record(entry, content.head)
    assert groups["more ticks"] == groups["more round ticks"] == []
    assert values["move 1"].count("+") == 3
    assert values["round move 1"] == "1+9+\n17+25"


def test_a_pass_of_some_studs_names_them_and_has_boxes_for_them_alone(plan, joint):
    """Rising cross, 16 studs: 1, 9, 5, 13 at 30 %, 3, 11, 7, 15 at 60 %, the other eight at 100 %, then all."""
    content = plan(joint(studs=16), scheme="rising cross")
    (entry,) = content.joints
    values, groups = record(entry, content.head)
    boxes = [[row[f"box {number}"] for number in range(1, 17)] for row in groups["ticks"]]
    assert [values[f"move {number}"] for number in range(1, 9)] == ["1", "9", "5", "13", "3", "11", "7", "15"]
    assert boxes[0] == [*[None] * 4, *["–"] * 12]
    assert boxes[1] == [*["–"] * 4, *[None] * 4, *["–"] * 8]
    assert boxes[2] == [*["–"] * 8, *[None] * 8]
    assert boxes[3] == [None] * 16
    card = filling(content, entry)
    assert [(row["name"], row["part"], row["how"]) for row in card.groups["pass"][1:5]] == [
        ("pass 1", ", only 4 studs", "only 4 of 16 studs: 1→9→5→13"),
        ("pass 2", ", only 4 studs", "only 4 of 16 studs: 3→11→7→15"),
        ("pass 3", ", only 8 studs", "only 8 of 16 studs: 2→10→6 … 16"),
        ("pass 4", None, "all 16 studs, quarter points then cross"),
    ]
    assert [row["set"] for row in card.groups["pass"][1:]] == [1250, 2450, 4050, 4050, 4050, 4050]
    assert card.values["order heading"] == (
        "Order: quarter points then cross; from memory, after ASME PCC-1; each line from left to right"
    )


def test_passes_are_numbered_on_where_a_joint_has_no_studs_for_one(plan, joint):
    content = plan(joint(studs=4), scheme="four studs then cross")
    (entry,) = content.joints
    assert [(item.number, item.name, item.percent, item.studs) for item in content.head.passes(entry)] == [
        (0, "snug", None, ()), (1, "pass 1", 30, ()), (2, "pass 2", 60, ()), (3, "pass 3", 100, ()),
        (4, "pass 4", 100, ()), (5, "pass 5", 100, ()),
    ]  # fmt: skip
    assert content.head.scheme_numbers(entry) == [0, 1, 2, 3, 5, 6]
    assert content.head.passes(entry)[1].pattern == "all 4 studs, quarter points then cross"
    _, groups = record(entry, content.head)
    assert groups["wait"] == [{"name": "pass 5", "after": "4 h after pass 4 was done"}]


def test_every_pass_has_its_boxes_where_all_of_them_go_round(plan, joint, several):
    """Passes of an order "circular" have the columns of the order, those that close the joint their own: four fit."""
    for content in (plan(several(studs=16), scheme="circular together"), plan(joint(order="circular"))):
        (entry,) = content.joints
        _, groups = record(entry, content.head)
        assert [row["name"] for row in groups["ticks"]] == ["pass 1", "pass 2", "pass 3"]
        assert [row["name"] for row in groups["round ticks"]] == ["pass 4", "pass 5"]


def test_a_raised_pass_is_named_as_the_card_numbers_it(plan, joint):
    """Eight studs have no third pass of the rising scheme: its fourth, of all studs, is their third."""
    content = plan(
        joint(studs=8, uplift=1.05, uplift_reason="interaction, N. Example", stud_maximum="80 ksi",
              gasket_area="60 in²", gasket_maximum="60 ksi"),
        scheme="rising cross",
    )  # fmt: skip
    (entry,) = content.joints
    assert [(item.name, item.percent) for item in content.head.passes(entry)][3] == ("pass 3", 105)
    assert "pass 3 raised by the engineer x 1.05" in filling(content, entry).values["target"]


def test_the_order_of_a_scheme_is_that_of_the_card_and_of_its_picture(plan, joint):
    """Where the cross order takes neighbours in groups (36 studs) a scheme still begins a quarter apart."""
    content = plan(joint(studs=36), scheme="four studs then circular")
    (entry,) = content.joints
    assert [stud for (stud,) in content.head.order(entry)][:8] == [1, 19, 10, 28, 2, 3, 4, 5]
    assert "1→" in str(filling(content, entry).values["order"])
    assert [item.studs[:4] for item in content.head.passes(entry)] == [
        (), *[(1, 19, 10, 28)] * 3, (2, 3, 4, 5), (), (),
    ]  # fmt: skip


def test_the_range_of_preload_stands_on_the_card_with_what_is_in_it(plan, joint, several):
    """L-20 0.13 to 0.19 about 0.16: -15.79 and +23.08 %; gauge 60 of 4050 psi, 1.48 %: 15.86 and 23.12 %."""
    content, entry = one(plan, joint())
    values = filling(content, entry).values
    assert values["range"] == ("59100 to 86500 lbf in a stud: nut factor 0.13 to 0.19, gauge ±1.5 %; wrench not in it")
    assert "Not checked" not in values["limits"]
    content, entry = one(plan, joint(lubricant="own paste", nut_factor=0.16))
    values = filling(content, entry).values
    assert values["range"] is None
    assert values["limits"].endswith("\nNot checked: range of preload (scatter not stated)")
    content, entry = one(plan, joint(operation="break", **BROKEN))
    assert filling(content, entry).values["range"] is None


def test_each_pass_has_a_box_for_what_was_reached_and_the_one_that_waits_for_its_time(plan, joint, hand, several):
    content, entry = one(plan, joint())
    values, groups = record(entry, content.head)
    assert values["reached heading"] == "pressure reached, psi"
    assert [row["reached"] for row in groups["done"]] == ["–", None, None, None, None, None]
    assert groups["wait"] == [{"name": "pass 5", "after": "4 h after pass 4 was done"}]
    assert one_heading(plan, hand()) == "torque reached"


def one_heading(plan, joint):
    content, entry = one(plan, joint)
    return record(entry, content.head)[0]["reached heading"]


def test_a_break_out_has_a_tick_for_each_stud_and_round_of_loosening(plan, joint):
    """Crosswise, 8 studs: 1-5-3-7-2-6-4-8 (the usual order, known by everybody)."""
    content, entry = one(plan, joint("V-1", "break", studs=8, **BROKEN))
    values, groups = record(entry, content.head)
    assert values["ticks heading"] == "A tick for each stud and round of loosening, columns in the order of page 1"
    assert [values[f"move {number}"] for number in range(1, 10)] == ["1", "5", "3", "7", "2", "6", "4", "8", None]
    assert [row["name"] for row in groups["ticks"]] == ["loosened, round 1", "loosened, round 2", "nut free, gap open"]
    assert groups["round ticks"] == []


@pytest.mark.parametrize(
    ("fields", "watched", "said"),
    [
        ({"hold_point": "pass 1", "witness": "all"}, {1: "HOLD", 2: "WITNESS"}, None),
        ({"hold_point": "pass 2 and 3"}, {2: "HOLD", 3: "HOLD"}, None),
        ({"witness": "client"}, {}, "witness point: client"),
        ({"hold_point": "9"}, {}, "hold point: 9"),
        ({}, {}, None),
    ],
)
def test_witness_and_hold_stand_in_the_passes_they_name(plan, joint, fields, watched, said):
    content, entry = one(plan, joint(**fields))
    values, groups = record(entry, content.head)
    assert values["hold"] == said
    found = {number: row["witness"] for number, row in enumerate(groups["done"]) if row["witness"]}
    for number, word in watched.items():
        assert found[number].startswith(
            {"HOLD": "HOLD: go on only when signed", "WITNESS": "WITNESS: call first"}[word]
        )
    assert set(watched) <= set(found)
    how = [row["how"] for row in filling(content, entry).groups["pass"]]
    assert all(
        ("HOLD: go on only when signed" in how[number]) == ("HOLD" in (found.get(number) or "")) for number in found
    )


def test_the_gap_has_its_unit(plan, joint, hand):
    for given, unit in ((joint(), "in"), (hand(), "mm")):
        content, entry = one(plan, given)
        assert record(entry, content.head)[0]["gap unit"] == unit


TOOL = ("HT-1", 20, 200, "77", "HC-1", datetime.date(2026, 1, 1), datetime.date(2026, 12, 31))


def test_a_hand_card_names_a_wrench_of_the_book_or_says_that_there_is_none(plan, hand):
    content, entry = one(plan, hand())
    assert hand_cautions(entry, content.head) == [
        "every pass: no calibrated hand torque wrench of the wrench book fits; ask before starting"
    ]
    assert "ask before starting" in filling(content, entry).values["attention"]
    content = plan(hand(), tools=(TOOL,))
    (entry,) = content.joints
    assert hand_cautions(entry, content.head) == []
    values = filling(content, entry).values
    assert values["wrench"] == "hand torque wrench HT-1, no. 77, 20 N·m to 200 N·m"
    assert values["certificate"] == "HC-1, valid until 2026-12-31"
    assert record(entry, content.head)[1]["used"] == [{"wrench": "HT-1"}]
    late = replace(entry, date="2027-01-01")
    assert hand_cautions(late, content.head) != []


def test_a_card_says_its_issue_its_day_what_it_replaces_and_when_it_is_void(plan, joint):
    content, entry = one(plan, joint(crew="A", work_order="WO-5"), issue=3, replaces="1111-2222")
    values = identity(content, entry, "2026-03-01")
    assert values["which"] == "issue 3 · issued 2026-03-01 · replaces card 1111-2222"
    assert values["void"] == (
        "Void after 2027-01-08, the last day of G-2's certificate; once a later issue is out; where studs, nuts, "
        "gasket or lubricant are not those stated."
    )
    assert values["work"] == "crew A · work order WO-5"
    assert identity(content, replace(entry, issue=1, replaces=None), None)["which"] == "issue 1 · issued ____-__-__"


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_pages_are_parted_by_hand_and_scaled_so_that_each_fits(tmp_path, plan, joint, paper):
    name = "joint card letter" if paper == "Letter" else "joint card"
    content = plan(joint(studs=32), joint("long", remarks="heat traced, " * 120))
    write_pack(content, shipped(name), tmp_path / "cards.xlsx", paper=paper)
    scales = []
    for sheet in load_workbook(tmp_path / "cards.xlsx"):
        assert len(sheet.row_breaks.brk) == 1
        assert not sheet.sheet_properties.pageSetUpPr.fitToPage
        scale = int(sheet.page_setup.scale)
        high = {"A4": 841.9, "Letter": 792.0}[paper] - 72 * 0.64
        rows = [
            0.0 if sheet.row_dimensions[row].hidden else sheet.row_dimensions[row].height or 15.0
            for row in range(1, sheet.max_row + 1)
        ]
        turn = sheet.row_breaks.brk[0].id
        assert max(sum(rows[:turn]), sum(rows[turn:])) * scale / 100 <= high
        scales.append(scale)
        written = [row for row in rows[turn:] if row == 31.0]
        assert written
        if sheet.title.startswith("E-1204"):
            assert 31.0 * scale / 100 >= 22.7  # 8 mm
            figure = next(c for row in sheet.iter_rows() for c in row if c.value == 4050)
            assert figure.font.size * 0.716 * scale / 100 >= 7.5 / 25.4 * 72  # digits of 7.5 mm
    assert scales[1] <= scales[0]


def test_every_page_says_which_page_of_which_card_it_is(tmp_path, plan, joint):
    content = plan(joint())
    write_pack(content, shipped("joint card"), tmp_path / "cards.xlsx", issued="2026-03-01")
    (sheet,) = load_workbook(tmp_path / "cards.xlsx")
    turn = sheet.row_breaks.brk[0].id
    for first, last, page in ((1, turn, 1), (turn + 1, sheet.max_row, 2)):
        words = " ".join(str(c.value) for row in sheet.iter_rows(min_row=first, max_row=last) for c in row if c.value)
        assert f"page {page} of 2" in words
        assert content.joints[0].card in words
        assert "issued 2026-03-01" in words
        assert bool(re.search(r"STOP, pressure off", words)) == (page == 1)
        assert ("Differences found" in words) == (page == 2)


def test_a_nut_whose_width_alone_is_stated_has_no_series_and_the_card_says_so(plan, joint):
    content = plan(joint(nut_series=None))
    (entry,) = content.joints
    known = filling(content, replace(entry, across_flats=Amount(60.0, "mm"), nut_series=None)).values
    assert (known["across flats"], known["nut series"]) == (60, "series not stated")
    assert filling(content, replace(entry, nut_series="ISO 4032")).values["nut series"] == "ISO 4032"
