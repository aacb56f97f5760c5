"""The pack as a whole: parts and their files, own templates, one file for each card, PDFs, what was withdrawn."""

import os

import pytest
from openpyxl import Workbook, load_workbook
from small_plans import changed

from addin.cards import issue as room
from addin.cards.issue import CARD_PARTS, PARTS, WantedParts, issue
from addin.cards.selection import Selection
from addin.forms.file_names import file_names
from addin.forms.template import Template
from addin.hosts.libreoffice.office import OfficeError
from addin.plan.since import Since
from addin.shipped import template as shipped


@pytest.fixture
def mixed(plan, joint, hand):
    return plan(joint("A"), joint("B"), hand("C"), joint("D", "retighten"), joint("S", lubricant=None))


def names(folder):
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())


@pytest.mark.parametrize("part", PARTS)
def test_the_shipped_templates_know_their_tokens(part):
    kind = PARTS[part]
    template = Template(shipped(kind.template), kind.vocabulary)

    assert template.unknown == []


def test_every_part_is_a_file_of_its_own(tmp_path, mixed):
    issued = issue(mixed, "list", tmp_path, WantedParts())

    assert names(tmp_path) == [
        "list-cards.xlsx", "list-cautions.xlsx", "list-kit-list.xlsx", "list-retightening-cards.xlsx",
        "list-summary.xlsx", "list-wrench-sheets.xlsx",
    ]  # fmt: skip
    assert issued.without == []
    assert [card[0] for card in issued.reports["wrenches"].cards] == ["HW-3"]
    assert [card[0] for card in issued.reports["cards"].cards] == ["A", "B", "C"]
    assert [card[0] for card in issued.reports["retightening"].cards] == ["D"]
    ((tag, operation, reason),) = issued.skipped
    assert (tag, operation) == ("S", "final make-up")
    assert reason.startswith("stopped: preload cannot be turned into torque")


def test_only_some_parts_and_some_joints(tmp_path, mixed):
    issued = issue(mixed, "list", tmp_path, WantedParts(("cards", "kit"), selection=Selection(("A", "Z"))))

    assert names(tmp_path) == ["list-cards.xlsx", "list-kit-list.xlsx"]
    assert [card[0] for card in issued.reports["cards"].cards] == ["A"]
    assert issued.refused == [("Z", "", "the plan has no joint of this tag")]


def test_a_retightening_card_asks_for_authority_first(tmp_path, mixed):
    issue(mixed, "list", tmp_path, WantedParts(("retightening",)))
    sheet = load_workbook(tmp_path / "list-retightening-cards.xlsx").worksheets[0]

    texts = [str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value is not None]
    authority, engineer, consent, setting = (
        next(number for number, text in enumerate(texts) if word in text)
        for word in ("RETIGHTENING: only under the authority", "Engineer", "maker's written consent", "PRESSURE TO SET")
    )
    assert authority < consent < engineer < setting
    assert any("never replaces the site's procedure" in text for text in texts)


def test_an_existing_pack_is_left_alone_and_the_rest_goes_on(tmp_path, mixed):
    (tmp_path / "list-cards.xlsx").write_text("mine")
    issued = issue(mixed, "list", tmp_path, WantedParts(("cards", "kit")))

    assert (tmp_path / "list-cards.xlsx").read_text() == "mine"
    assert len(issued.without) == 1
    assert "is there already" in issued.without[0]
    assert (tmp_path / "list-kit-list.xlsx").exists()


def test_own_templates_for_any_part(tmp_path, mixed):
    book = Workbook()
    book.active.append(["Store of Drigrauvex", "{{area}}"])
    book.active.append(["{{item.item}}", "{{item.count}}"])
    book.active.append(["signed by the store"])
    book.save(tmp_path / "own.xlsx")
    issued = issue(mixed, "list", tmp_path, WantedParts(("kit",), templates={"kit": tmp_path / "own.xlsx"}))
    sheet = load_workbook(tmp_path / "list-kit-list.xlsx").active

    assert sheet["B1"].value == "Unit 2"
    assert sheet["A2"].value == "HW-3, low clearance, no. SN-3"
    assert sheet.cell(sheet.max_row, 1).value == "signed by the store"
    assert not issued.reports["kit"].unknown_tokens


def test_a_token_nobody_knows_is_refused_with_sheet_and_cell(tmp_path, mixed):
    book = Workbook()
    book.active.title = "Store"
    book.active.append(["{{area}}", "{{crane}}"])
    book.active.append(["{{item.item}}", "{{item.colour}}"])
    book.save(tmp_path / "own.xlsx")
    issued = issue(mixed, "list", tmp_path, WantedParts(("cards", "kit"), templates={"kit": tmp_path / "own.xlsx"}))

    assert [line.partition(": ")[2] for line in issued.without] == [
        "own.xlsx: sheet Store: not known as a token: cell B1: {{crane}}; cell B2: {{item.colour}}"
    ]
    assert names(tmp_path) == ["list-cards.xlsx", "own.xlsx"]


def test_a_template_without_the_places_it_needs_is_one_line(tmp_path, mixed):
    Workbook().save(tmp_path / "own.xlsx")
    issued = issue(mixed, "list", tmp_path, WantedParts(("cards", "kit"), templates={"cards": tmp_path / "own.xlsx"}))

    assert issued.without == ["joint cards: own.xlsx: no place for {{joint}}"]
    assert names(tmp_path) == ["list-kit-list.xlsx", "own.xlsx"]


def test_one_file_for_each_card_with_names_that_every_system_takes(tmp_path, plan, joint):
    tags = ['10"-HC/1:2', "P/1", "P-1", "con", "E-1 " + "long " * 60]
    content = plan(*(joint(tag) for tag in tags))
    issued = issue(content, "list", tmp_path, WantedParts(("cards",), one_file_per_joint=True))

    found = [path.name for path in issued.files]
    assert sorted(name for name in found if name.startswith("P-1")) == [
        "P-1 final make-up (2).xlsx", "P-1 final make-up.xlsx",
    ]  # fmt: skip
    assert "10--HC-1-2 final make-up.xlsx" in found
    assert len({name.casefold() for name in found}) == 5
    assert all(len(name) <= 105 for name in found)
    shown = {path.name: load_workbook(path).active["A1"].value for path in issued.files}
    assert sorted(shown.values()) == sorted(tag.strip() for tag in tags)


def test_a_name_that_is_a_device_is_not_used():
    assert file_names(["nul", "COM1.x", "..", "a/../b"]) == ["-nul", "-COM1.x", "-", "a-..-b"]


def test_pdfs_in_batches_with_progress(tmp_path, plan, joint, monkeypatch):
    monkeypatch.setattr(room, "PER_BATCH", 3)
    printed, told = [], []

    def print_one(source, target):
        printed.append((load_workbook(source).sheetnames, target.name))
        target.write_bytes(b"%PDF")

    content = plan(*(joint(f"J-{n}") for n in range(7)), joint("S", lubricant=None))
    wanted = WantedParts(("cards", "summary"), printer=print_one)
    issued = issue(content, "list", tmp_path, wanted, lambda name: lambda done, of: told.append((name, done, of)))

    assert [(len(sheets), name) for sheets, name in printed] == [
        (4, "list-cards 1-3.pdf"), (4, "list-cards 4-6.pdf"), (1, "list-cards 7-7.pdf"), (1, "list-summary.pdf"),
    ]  # fmt: skip
    assert told[-1] == ("joint cards", 7, 7)
    assert [path.name for path in issued.files] == [
        "list-cards.xlsx", "list-cards 1-3.pdf", "list-cards 4-6.pdf", "list-cards 7-7.pdf", "list-summary.xlsx",
        "list-summary.pdf",
    ]  # fmt: skip


def test_a_printer_that_fails_leaves_the_workbook(tmp_path, mixed):
    def fail(source, target):
        raise OfficeError("LibreOffice has ended")

    issued = issue(mixed, "list", tmp_path, WantedParts(("cards", "kit"), printer=fail))

    ended = "LibreOffice has ended"
    assert issued.without == [f"PDF of the joint cards: {ended}", f"PDF of the kit list: {ended}"]
    assert names(tmp_path) == ["list-cards.xlsx", "list-kit-list.xlsx"]


def since(old, new):
    comparison = Since(old, new.head)
    for each in new.joints:
        comparison.add(each)
    return comparison.result()


def test_only_changed_cards_and_the_list_of_those_to_withdraw(tmp_path, plan, joint):
    old = plan(*(joint(tag) for tag in "ABCD"))
    new = plan(joint("A"), joint("B", stress="52000 psi"), joint("C"), joint("D", lubricant=None), joint("N"))
    issued = issue(new, "list", tmp_path, WantedParts(since=since(old, new)))

    assert [card[0] for card in issued.reports["cards"].cards] == ["B", "N"]
    assert [tag for tag, _, reason in issued.skipped if reason == "unchanged"] == ["A", "C"]
    assert names(tmp_path) == ["list-cards.xlsx", "list-withdrawn-cards.xlsx"]
    sheet = load_workbook(tmp_path / "list-withdrawn-cards.xlsx").active
    rows = [[cell.value for cell in row if cell.value is not None] for row in sheet.iter_rows(min_row=5, max_row=6)]
    assert rows == [
        ["B", "final make-up", old.joints[1].card, new.joints[1].card, "replaced by a new card"],
        ["D", "final make-up", old.joints[3].card, "none", "the joint is now stopped"],
    ]


def test_nothing_changed_writes_nothing(tmp_path, plan, joint):
    content = plan(joint("A"), joint("B"))
    issued = issue(content, "list", tmp_path, WantedParts(since=since(content, content)))

    assert issued.files == []
    assert issued.without == []
    assert os.listdir(tmp_path) == []


def test_two_cards_with_one_revision_are_refused_and_the_rest_goes_on(tmp_path, mixed):
    changed(mixed, 1, card=mixed.joints[0].card)
    issued = issue(mixed, "list", tmp_path, WantedParts(CARD_PARTS))

    assert [tag for tag, *_ in issued.refused] == ["A", "B"]
    assert [card[0] for card in issued.reports["cards"].cards] == ["C"]


def test_the_contents_name_the_cards_of_the_other_files(tmp_path, mixed):
    issue(mixed, "list", tmp_path, WantedParts(("cards", "retightening")))
    rows = [[cell for cell in row if cell] for row in
            load_workbook(tmp_path / "list-cards.xlsx")["Contents"].iter_rows(values_only=True)]  # fmt: skip

    assert [row[0] for row in rows if row[1:2] == ["final make-up"]] == ["A", "B", "C"]
    assert rows[-2] == ["Other cards of this pack, each in the file named at the end of its line:"]
    assert rows[-1][:3] == ["D", "retighten", mixed.joints[3].card]
    assert rows[-1][-1] == "list-retightening-cards.xlsx"


@pytest.mark.parametrize(("issued", "late"), [("2099-01-01", True), ("2020-01-01", False)])
def test_a_card_issued_after_its_job_date_says_so(tmp_path, mixed, issued, late):
    done = issue(mixed, "list", tmp_path, WantedParts(("cards",), issued=issued))
    sheet = load_workbook(tmp_path / "list-cards.xlsx")["A final make-up"]
    texts = "\n".join(str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value)
    day = mixed.joints[0].date
    said = (
        f"• issued {issued}, after the job date {day}: ask which day holds; certificates were checked for the job date"
    )

    assert (said in texts) == late
    assert (f"issued {issued}, after the job date of A, B, C and 1 more: the cards say so" in done.notes) == late
