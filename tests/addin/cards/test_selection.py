"""Which cards are wanted and into which folders they go; files of at most 200; forms of the user's own."""

import datetime

import msgspec
import pytest
from openpyxl import Workbook, load_workbook

from addin.cards import issue as room
from addin.cards.days import day_lines
from addin.cards.issue import WantedParts, issue
from addin.cards.selection import Selection, in_order_of_work
from addin.cards.sheets import PackReport, choose
from addin.plan.record_joint import TimeEntry

replace = msgspec.structs.replace


@pytest.fixture
def crews(plan, joint, hand):
    """Four joints of two crews on two days."""
    return plan(
        joint("A-1", crew="A", sequence="10"), joint("A-2", area_of_plant="Unit 3", crew="A", sequence="9"),
        hand("B-1", crew="B"), joint("B-2", date=datetime.date(2026, 3, 15), crew="B"),
    )  # fmt: skip


def test_a_folder_for_each_crew_and_day_in_the_order_of_work(tmp_path, crews):
    issued = issue(crews, "list", tmp_path, WantedParts(("cards", "kit", "cautions"), Selection(by=("crew",))))
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "crew A 2026-03-14", "crew B 2026-03-14", "crew B 2026-03-15",
    ]  # fmt: skip
    assert sorted(path.name for path in (tmp_path / "crew A 2026-03-14").iterdir()) == [
        "list-cards.xlsx", "list-cautions.xlsx", "list-kit-list.xlsx",
    ]  # fmt: skip
    assert [card[0] for card in issued.reports["cards"].cards] == ["A-2", "A-1", "B-1", "B-2"]
    book = load_workbook(tmp_path / "crew A 2026-03-14" / "list-cards.xlsx")
    assert book.sheetnames == ["Contents", "A-2 final make-up", "A-1 final make-up"]
    rows = list(book["Contents"].iter_rows(values_only=True))
    assert rows[2][0] == "2 cards, in this order"
    assert [row[0] for row in rows[-2:]] == ["A-2", "A-1"]
    assert book["Contents"]["A6"].hyperlink.location == "'A-2 final make-up'!A1"


@pytest.mark.parametrize(
    ("selection", "tags"),
    [
        (Selection(("a-*",)), ["A-1", "A-2"]), (Selection(("b-?", "a-2")), ["A-2", "B-1", "B-2"]),
        (Selection(crew=("b",)), ["B-1", "B-2"]), (Selection(area=("unit 3",)), ["A-2"]),
        (Selection(date=("2026-03-15",)), ["B-2"]), (Selection(wrench=("by hand",)), ["B-1"]),
        (Selection(crew=("A",), area=("Unit 2",)), ["A-1"]),
    ],
)  # fmt: skip
def test_patterns_in_any_case(crews, selection, tags):
    asked = selection.of(iter(crews.joints))

    assert [joint.joint for joint in asked.joints] == tags
    assert asked.unmatched == []
    assert asked.count == len(crews.joints)


def test_what_fits_nothing_is_said(crews):
    assert Selection(("Z*",), crew=("C",)).of(crews.joints).unmatched == [("joint", "Z*"), ("crew", "C")]


def test_an_x_in_the_column_print_selects_and_is_said(tmp_path, crews):
    crews.joints[1] = replace(crews.joints[1], print_it=True)
    issued = issue(crews, "list", tmp_path, WantedParts(("cards",)))
    assert [card[0] for card in issued.reports["cards"].cards] == ["A-2"]
    assert "1 of 4 rows are marked in the column Print: only those" in issued.notes
    assert len(Selection(("*",)).of(crews.joints).joints) == 4  # who names joints has said so


def test_work_goes_by_day_place_and_row(crews):
    assert [joint.joint for joint in in_order_of_work(crews.joints)] == ["A-2", "A-1", "B-1", "B-2"]


def test_at_most_so_many_cards_in_a_file(tmp_path, crews, monkeypatch):
    monkeypatch.setattr(room, "MOST_IN_FILE", 3)
    issued = issue(crews, "list", tmp_path, WantedParts(("cards",)))
    assert [path.name for path in issued.reports["cards"].files] == ["list-cards 1-3.xlsx", "list-cards 4-4.xlsx"]
    assert load_workbook(tmp_path / "list-cards 1-3.xlsx").sheetnames[0] == "Contents"


def test_the_work_of_a_day_by_wrench(crews):
    joints = [replace(joint, duration=TimeEntry(value=570.0)) for joint in crews.joints[:2]]
    joints += [replace(crews.joints[0], crew="B", duration=None)]
    assert [line["text"] for line in day_lines(joints)] == [
        "HW-3: 19 h of work, crews A and B; 1 more card, time not estimated"
    ]
    assert day_lines(crews.joints[2:3])[0]["text"].startswith("by hand: ")


def form(path, *rows):
    book = Workbook()
    for row in rows:
        book.active.append(row)
    book.save(path)
    return path


def refused(tmp_path, plan, *rows):
    issued = issue(
        plan, "list", tmp_path, WantedParts(templates={"cards": form(tmp_path / "own.xlsx", *rows)}, only=("cards",))
    )
    return issued.without


WHOLE = (["{{joint}}", "{{operation}}", "{{card}}"], ["{{set heading}}", "{{pass.set}}"], ["{{order}}", "{{cautions}}"])


def test_a_form_that_hides_what_a_crew_needs_is_refused_with_the_list(tmp_path, plan, joint, hand):
    bare = (WHOLE[0], [None, "{{pass.set}}"], *[[None, "{{pass.set}}"]] * 5)
    (line,) = refused(tmp_path, plan(joint()), *bare)
    assert line == (
        "joint cards: own.xlsx: sheet Sheet: missing on the form: the unit beside a pressure ({{set heading}} or "
        "{{set unit}} or {{pass.pressure unit}}); the order ({{order}} or {{order picture}}); the cautions "
        "({{cautions}})"
    )
    assert refused(tmp_path, plan(hand()), *bare) == []  # by hand there is no pressure
    (tmp_path / "list-cards.xlsx").unlink()
    whole = (*WHOLE, *[[None, "{{pass.set}}"]] * 5)
    assert refused(tmp_path, plan(joint()), *whole) == []


def test_a_form_for_retightening_holds_the_authority(tmp_path, plan, joint):
    rows = (*WHOLE, *[[None, "{{pass.set}}"]] * 5)
    wanted = WantedParts(("retightening",), templates={"retightening": form(tmp_path / "own.xlsx", *rows)})
    (line,) = issue(plan(joint("D", "retighten")), "list", tmp_path, wanted).without
    assert line.endswith(
        "missing on the form: the engineer's authority for retightening ({{notice}}, or words of your own)"
    )


def test_a_carried_column_is_printed_and_another_is_named_with_its_cell(tmp_path, plan, joint):
    content = plan(joint())
    content.head = replace(content.head, carried=("work order",))
    content.joints = [replace(content.joints[0], carried={"work order": "WO-7"})]
    rows = (*WHOLE, *[[None, "{{pass.set}}"]] * 5, ["{{list: Work order}}"])
    assert refused(tmp_path, content, *rows) == []
    assert "WO-7" in [c.value for row in load_workbook(tmp_path / "list-cards.xlsx").active.iter_rows() for c in row]
    (line,) = refused(
        tmp_path / "x" if (tmp_path / "x").mkdir() else tmp_path / "x", content, *rows, ["{{list: Crane}}"]
    )
    assert line.endswith("own.xlsx: sheet Sheet: not known as a token: cell A10: {{list: Crane}}")


def test_of_cards_that_are_not_written_only_the_names_are_kept(crews):
    wanted = {crews.joints[0].card, crews.joints[3].card}

    asked = Selection().of(crews.joints, wanted)

    assert [joint.joint for joint in asked.joints] == ["A-1", "B-2"]
    assert asked.unchanged == [(joint.joint, joint.operation) for joint in crews.joints[1:3]]
    assert asked.count == 4
    report = PackReport()
    assert [joint.joint for joint in choose(crews, report, asked=asked, cards=wanted)] == ["A-1", "B-2"]
    assert report.skipped == [(joint.joint, joint.operation, "unchanged") for joint in crews.joints[1:3]]
