"""Cards from a plan: what each says, what is left out and why."""

import copy
import re
import shutil
import subprocess

import pytest
from msgspec.structs import replace
from openpyxl import load_workbook
from printing import print_pdf
from small_plans import BROKEN, changed

from addin.cards.sheets import write_pack
from addin.forms.template import TemplateError
from addin.plan.entries import Amount
from addin.plan.record_joint import FindingEntry, SettingEntry


@pytest.fixture
def pack(tmp_path, template, plan):
    """Write cards of these joints; returns the sheets' texts by sheet, and keeps the report."""

    def run(*rows, change=lambda content: None, settings=None, **more):
        run.target.unlink(missing_ok=True)
        content = plan(*rows, **(settings or {}))
        change(content)
        pack.report = write_pack(content, template, tmp_path / "cards.xlsx", **more)
        return load_workbook(tmp_path / "cards.xlsx").worksheets

    pack.report = None
    run.target = tmp_path / "cards.xlsx"
    run.last = lambda: pack.report
    return run


def shown(sheet):
    """Values of the rows that print, row by row."""
    rows = []
    for row in sheet.iter_rows():
        if not sheet.row_dimensions[row[0].row].hidden:
            rows.append([cell.value for cell in row if cell.value is not None])
    return [row for row in rows if row]


def words(sheet):
    return "\n".join(str(value) for row in shown(sheet) for value in row)


def table(sheet):
    """The pass table: (pass, per cent, torque, what to set, torque there)."""
    begin = next(row for row in range(1, sheet.max_row) if sheet.cell(row, 1).value == "Pass") + 1
    found = []
    for row in range(begin, begin + 12):
        if not sheet.row_dimensions[row].hidden:
            found.append([sheet.cell(row, column).value for column in (1, 8, 9, 12, 21)])
    return found


def test_one_sheet_for_each_card(pack, joint, hand):
    sheets = pack(joint(), joint("P-1", studs=8), hand())

    report = pack.last()
    assert [sheet.title for sheet in sheets] == [name for *_, name in report.cards]
    assert [card[:2] for card in report.cards] == [
        ("E-1204 channel", "final make-up"),
        ("P-1", "final make-up"),
        ("P-310 suction", "final make-up"),
    ]
    assert not report.unknown_tokens
    assert not report.refused
    assert not report.notes


def test_pass_table_of_a_hydraulic_card(pack, joint):
    (sheet,) = pack(joint())

    assert table(sheet) == [
        ["snug\nby hand: at most 20 lbf·ft, faces aligned, gap even", None, None, "no pump", None],
        ["pass 1\ncross", 30, 422, 1250, 419],
        ["pass 2\ncross", 60, 843, 2450, 840],
        ["pass 3\ncross", 100, 1405, 4050, 1402],
        ["pass 4\ncircular until no nut turns", 100, 1405, 4050, 1402],
        ["pass 5\ncircular check after a wait of 4 h", 100, 1405, 4050, 1402],
    ]
    assert "PRESSURE TO SET on HW-3, psi" in words(sheet)


def test_identity_and_tools(pack, joint):
    (sheet,) = pack(joint())

    for text in (
        "E-1204 channel", "final make-up", f"card {pack.last().cards[0][2]}", "job date 2026-03-14",
        "24 × 1 1/2-8 UN, A193 B7",
        "list drigrauvex-joints.xlsx, sheet Joints, row 7", "2-3/8 in across flats, heavy hex", "L-20",
        "nut factor 0.16; source: site lubricant table, maker's sheet 4", "stress 50 ksi on the root B1.1 area",
        "of the 94.5 ksi allowed",  # 90 % of 105 ksi
        "70263 lbf", "1405 lbf·ft", "HW-3", "2-3/8 in link", "G-2  P-1", "4050 psi",
        "1402 lbf·ft (−0.3 % on the final torque)", "wrench, hose, pump: 10000 psi",
        "for 2-3/8 in across flats", "C-1041, valid until 2027-01-10",
        "never replaces the site's procedure",
        "12 o'clock seen from the turned side", "nut side facing the channel",
    ):  # fmt: skip
        assert text in words(sheet), text


def test_usual_cautions_stand_on_every_card(pack, joint, hand):
    wet, dry = pack(joint(), hand())

    for sheet in (wet, dry):
        assert "Line proven free of pressure, drained and released for work." in words(sheet)
        assert "Protective equipment as the site and the job ask." in words(sheet)
    said = (
        "While there is pressure: hands off wrench, reaction arm and backup wrench; one trained person at the control.",
        "Reaction on something that holds; backup wrench secured.",
        "Out of line of wrench, studs and hoses.",
        "Nothing above the lowest rating of wrench, hose, pump and gauge; hoses sound, couplings screwed fully home.",
        "Never feel for a leak by hand: oil under the skin is an emergency, to hospital immediately.",
        "Make a short first stroke and check that the wrench seats squarely; then go on.",
        "Pressure off before anything is connected, moved or taken away.",
    )
    places = [words(wet).index(text) for text in said]
    assert places == sorted(places), "what hurts most comes first"
    assert not [text for text in said if text in words(dry)]


def test_every_card_says_when_to_stop_and_call(pack, joint, hand):
    wet, dry, broken = (words(sheet) for sheet in pack(joint(), hand(), joint("B", operation="break", **BROKEN)))

    assert (
        "STOP, pressure off, and call the supervisor when: the gauge does not reach the mark or falls back; a nut does "
        "not move at all in the first pass; a stud turns with its nut; a nut turns suddenly, or on and on; the gap is "
        "uneven or the gasket moves; anything leaks."
    ) in wet
    assert "STOP, wrench off the nut, and call the supervisor when: a nut does not move at all in the first" in dry
    assert "gauge" not in dry.split("STOP, ")[1].split("\n")[0]
    assert "STOP, pressure off, and call the supervisor when: the gauge does not reach the mark" in broken
    assert "first pass" not in broken


def test_a_nut_that_stays_stops_no_retightening_and_one_that_turns_does(pack, joint, hand):
    for again in pack(joint(operation="retighten"), hand(operation="retighten")):
        said = next(line for line in words(again).split("\n") if line.startswith("STOP, "))
        assert "a nut turns further than the engineer states (one flat, 60°, where nothing is stated)" in said
        assert "does not move" not in said


def test_the_joints_own_cautions_stand_on_its_card_and_no_stops(pack, joint):
    stop = FindingEntry(level="stop", code="x", text="never here", place="Joints!A7")

    def change(content):
        changed(content, 0, findings=(*content.joints[0].findings, stop))

    sheet, plain = pack(joint(condition="re-used"), joint("P-2"), change=change)

    own = next(row for row in shown(sheet) if row[0] == "This joint:")
    assert own[1].startswith("• re-used studs: the friction taken may not hold for them")
    assert "never here" not in words(sheet)
    assert "This joint:" not in words(plain)


def test_a_pass_by_other_means_shows_no_pressure(pack, joint):
    """The table of HW-20 begins at 3000 psi, 0.351 x 3000 - 20 = 1033 lbf·ft: two stages lie below it."""
    (sheet,) = pack(joint(wrench="HW-20"))

    assert [row[1:] for row in table(sheet)[1:4]] == [
        [30, 422, "other means", None], [60, 843, "other means", None], [100, 1405, 4050, 1402],
    ]  # fmt: skip
    assert table(sheet)[1][0] == "pass 1\ncross\nbelow the lowest certified point, 1033 lbf·ft"


def test_hand_card_shows_torque_and_no_pressure(pack, hand):
    (sheet,) = pack(hand())

    assert [row[3] for row in table(sheet)] == [
        "by hand",
        25,
        50,
        85,
        85,
        85,
    ]  # steps of 5, 10 and 5 within 2 % of 25.2, 50.4 and 84
    assert "TORQUE TO SET, N·m" in words(sheet)
    assert "PRESSURE" not in words(sheet)


def test_hand_torque_never_fills_a_pressure_of_a_contractors_template(tmp_path, plan, hand):
    from openpyxl import Workbook

    book = Workbook()
    for row, text in enumerate(("{{joint}}", "{{operation}}", "{{card}}", *["{{pass.pressure}}"] * 6), 1):
        book.active.cell(row, 1, text)
        book.active.cell(row, 2, "{{pass.torque}}" if "pass" in text else None)
    book.save(tmp_path / "own.xlsx")

    write_pack(plan(hand()), tmp_path / "own.xlsx", tmp_path / "cards.xlsx")
    sheet = load_workbook(tmp_path / "cards.xlsx").worksheets[0]
    assert [cell.value for cell in sheet["A"][3:]] == ["no pressure"] * 6
    assert [cell.value for cell in sheet["B"][4:]] == [25.2, 50.4, 84, 84, 84]


@pytest.mark.parametrize("planned", [True, False])
def test_break_card_has_no_tightening_pass_and_no_setpoint(pack, joint, planned):
    """As planned, and where a plan calls a tightened joint one to break out."""
    if planned:
        (sheet,) = pack(joint(operation="break", **BROKEN))
    else:
        (sheet,) = pack(joint(), change=lambda content: changed(content, 0, operation="break"))

    assert [row[3] for row in table(sheet)] == ["start low"]
    assert "BREAK: loosen only." in words(sheet)
    for text in ("4050", "1402", "1401", "2450", "PRESSURE TO SET", "circular"):
        assert text not in words(sheet)
    assert "wrench, hose, pump: 10000 psi" in words(sheet)
    left_out = "E-1204 channel break: a break card shows no tightening passes; those of the plan are left out"
    assert pack.last().notes == ([] if planned else [left_out])


@pytest.mark.parametrize(
    ("operation", "text"),
    [("test make-up", "for the test only"), ("retighten", "only under engineering authority"), ("final make-up", None)],
)
def test_words_of_the_operation(pack, joint, operation, text):
    (sheet,) = pack(joint(operation=operation))

    assert (text or "E-1204") in words(sheet)
    assert ("Authority: ____" in words(sheet)) == (operation == "retighten")


def test_where_the_list_does_not_say_the_card_asks(pack, joint):
    target = {"stress": None, "stress_area": None, "torque": "800 lbf·ft", "lubricant": None}
    (sheet,) = pack(joint(stud_1=None, turned_side=None, grade=None, **target))

    text = words(sheet)
    assert "mark it, as agreed at the joint. Position: ____" in text
    assert ["wrench side", "________________________"] in [row[-2:] for row in shown(sheet)]
    assert "not known: friction not stated" in text
    assert "Not checked: stud ceiling (not known: friction not stated)" in text
    assert text.count("not stated") >= 5
    assert "None" not in text
    assert "12 o'clock" not in text


def test_wrenches_with_one_mark(pack, several):
    (sheet,) = pack(several(same=True))

    assert [row[3] for row in table(sheet)] == ["no pump", 1250, 2450, 4050, 4050, 4050]
    assert "PRESSURE TO SET on HW-3 and HW-13, psi" in words(sheet)
    assert " 1+15→" in words(sheet).replace("\u00a0", " ")


def test_wrenches_with_marks_of_their_own_have_no_common_figure(pack, several):
    (sheet,) = pack(several())

    rows = shown(sheet)
    begin = next(number for number, row in enumerate(rows) if row[0] == "Pass")
    assert rows[begin][3:5] == ["PRESSURE TO SET\non HW-3, psi", "PRESSURE TO SET\non HW-4, psi"]
    assert rows[begin + 1] == ["snug\nby hand: at most 20 lbf·ft, faces aligned, gap even", "no pump", "no pump"]
    assert [row[3:] for row in rows[begin + 2 : begin + 7]] == [
        [1250, 1300], [2450, 2550], [4050, 4200], [4050, 4200], [4050, 4200],
    ]  # fmt: skip
    assert "see below" not in words(sheet)
    assert ["HW-4", "2\u20113/8 in link, gauge G-3, pump P-2, hose H-1, torque at 4200 psi: 1408 lbf·ft"] in rows


def test_four_wrenches_with_marks_of_their_own_have_four_columns(pack, several):
    (sheet,) = pack(several(count=4))

    rows = shown(sheet)
    begin = next(number for number, row in enumerate(rows) if row[0] == "Pass")
    assert rows[begin][3:7] == [f"PRESSURE TO SET\non HW-{number}, psi" for number in (3, 4, 5, 6)]
    assert rows[begin + 5][:1] + rows[begin + 5][3:] == ["pass 4\ncircular until no nut turns", 4050, 4200, 4300, 4450]


def test_a_wrench_whose_gauge_has_another_unit_says_so(pack, several):
    """HW-9 meets 1405.3 lbf·ft at 1425.3 / 0.345 = 4131 psi, 284.8 bar: 285 on its marks of 2.5 bar."""
    (sheet,) = pack(several() | {"wrench": "HW-3, HW-9"})

    assert "PRESSURE TO SET\non HW-3, psi" in words(sheet)
    assert "PRESSURE TO SET\non HW-9, bar" in words(sheet)
    assert "PRESSURE TO SET on" not in words(sheet)
    assert ["pass 4\ncircular until no nut turns", 4050, 285] in [row[:1] + row[3:] for row in shown(sheet)]


def test_pressures_show_as_they_are_set(pack, joint):
    (sheet,) = pack(joint(wrench="HW-9"))

    row = next(row for row in range(1, sheet.max_row) if sheet.cell(row, 12).value == 172.5)
    assert sheet.cell(row, 12).number_format == "General"


def test_order_is_printed_from_left_to_right(pack, joint):
    """The published cross order of eight studs."""
    (sheet,) = pack(joint(studs=8))

    order = next(value for row in shown(sheet) for value in row if str(value).startswith("1→"))
    assert order.replace("\u00a0", " ") == "1→ 5→ 3→ 7→ 2→ 6→ 4→ 8"


@pytest.mark.parametrize(
    ("studs", "together", "first", "around"),
    [
        (36, 1, "1.–6. 1,2,3→ 19,20,21→", "stud to stud: 1, 2, 3 …, clockwise"),
        (36, 2, "1.–3. 1+19, 2+20, 3+21→", "1+19, 2+20 … 18+36 together, clockwise"),
        (48, 1, "1.–8. 1,2,3,4→ 25,26,27,28→", "stud to stud: 1, 2, 3 …, clockwise"),
        (24, 4, "1.–2. 1+13+7+19→ 4+16+10+22→", "1+7+13+19, 2+8+14+20 … 6+12+18+24 together, clockwise"),
        (4, 2, "1+3→2+4", "1+3, 2+4 together, clockwise"),
    ],
)
def test_moves_print_as_they_are_pulled(pack, joint, several, studs, together, first, around):
    """Neighbours pulled one after the other stand together; the circular pass keeps wrenches evenly apart."""
    given = several(studs=studs, count=together) if together > 1 else joint(studs=studs)
    (sheet,) = pack(given)

    rows = shown(sheet)
    order = next(
        value
        for row in rows
        for value in row
        if re.match(r"(1[.]–[0-9]+[.])?1(→|,|[+][0-9+]+(→|,))", str(value).replace("\u00a0", ""))
    )
    assert order.replace("\u00a0", "").split("\n")[0] == first.replace(" ", "")
    assert around in [row[-1] for row in rows if row[-2:-1] == ["circular"]]
    said = {(36, 1): "three", (36, 2): "three", (48, 1): "four"}.get((studs, together))
    assert (f"{said} neighbours one after the other, then across" in words(sheet)) == (said is not None)


@pytest.mark.parametrize(("studs", "order", "heading"), [
    (200, "", "Cross order"), (200, "quadrants", "Order: quadrants"),
    (200, "groups of 5", "Order: groups of 5, 5 neighbours one after the other, then across"),
    (196, "", "Cross order"), (120, "groups of 6", "Order: groups of 6, 6 neighbours one after the other, then across"),
])  # fmt: skip
def test_the_order_of_a_large_joint_is_printed_whole(pack, joint, studs, order, heading):
    """As many studs as the tables of standards have, and more: none is missing, none stands twice."""
    (sheet,) = pack(joint(studs=studs, order=order))

    assert f"{heading}; each line from left to right" in words(sheet)
    texts = [str(cell.value).replace("\u00a0", " ") for row in sheet.iter_rows() for cell in row]
    lines = next(text for text in texts if text.count("→") > 15).split("\n")
    pulled = " ".join(re.sub(r"^ *\d+[.](–\d+[.])?", "", line) for line in lines)
    pulled = re.sub(r"(\d+)–(\d+)", lambda span: " ".join(map(str, range(int(span[1]), int(span[2]) + 1))), pulled)
    moves = re.findall(r"\d+", pulled)
    assert sorted(map(int, moves)) == list(range(1, studs + 1))
    assert moves[0] == "1"


def test_an_order_of_the_lists_own_gets_no_circle(pack, joint):
    import zipfile

    (sheet,) = pack(joint(studs=4, order="2, 1, 4, 3"))

    assert "No picture: the order is the list's own." in words(sheet)
    assert table(sheet)[1][0] == "pass 1\nin the order given"
    assert "clockwise" not in words(sheet)

    with zipfile.ZipFile(pack.target) as book:
        drawings = [book.read(name).decode() for name in book.namelist() if "drawing" in name]
    assert ["Order picture" in drawing for drawing in drawings if "Card mark" in drawing] == [False]


def test_stopped_and_other_rows_get_no_card(pack, joint):
    pack(joint(), joint("S-1", lubricant=None), joint("O-1", method="tensioned"))

    assert len(pack.last().cards) == 1
    (stopped, other) = pack.last().skipped
    assert stopped[:2] == ("S-1", "final make-up")
    assert stopped[2].startswith("stopped: preload cannot be turned into torque")
    assert other == ("O-1", "final make-up", "other method")


def test_faulty_joints_are_refused_and_the_rest_goes_on(pack, joint, several):
    def change(content):
        entry = content.joints[1]
        one = entry.wrenches[0]
        mixed = (SettingEntry(pressure=Amount(86.0, "bar"), torque_at_pressure=None), *one.passes[1:])
        changed(content, 1, wrenches=(replace(one, passes=mixed),))
        changed(content, 2, own_order=((1,), (2,)))
        changed(content, 3, own_order=((1,), (1,)), studs=2)
        changed(content, 4, card=None)

    pack(joint(), joint("A"), joint("B", studs=8), joint("C", studs=4), joint("E"), change=change)

    assert [(tag, reason) for tag, _, reason in pack.last().refused] == [
        ("A", "the plan gives pressure in several units"),
        ("B", "the order does not name each of the 8 studs once"),
        ("C", "the order does not name each of the 2 studs once"),
        ("E", "the plan gives no card revision"),
    ]
    assert len(pack.last().cards) == 1


def test_two_cards_with_one_revision_are_refused(tmp_path, template, plan, joint):
    content = plan(joint("A"), joint("B"), joint("C"))
    changed(content, 1, card=content.joints[0].card)

    report = write_pack(content, template, tmp_path / "cards.xlsx")
    assert [tag for tag, *_ in report.refused] == ["A", "B"]
    assert [tag for tag, *_ in report.cards] == ["C"]


def test_more_passes_than_the_template_has(pack, joint):
    with pytest.raises(TemplateError, match="no card"):
        pack(joint("L"), settings={"scheme": "10/15/20/25/30/35/40/45/50/55/60/100"})


def test_only_the_joints_asked_for(pack, joint):
    pack(joint("A"), joint("A", "break", **BROKEN), joint("B"), joints=["A", "Z"])

    assert [card[:2] for card in pack.last().cards] == [("A", "final make-up"), ("A", "break")]
    assert pack.last().refused == [("Z", "", "the plan has no joint of this tag")]


def test_no_card_at_all_writes_nothing(tmp_path, template, plan, joint):
    with pytest.raises(TemplateError, match="no card to write"):
        write_pack(plan(joint(lubricant=None)), template, tmp_path / "cards.xlsx")
    assert not (tmp_path / "cards.xlsx").exists()


def test_tag_that_looks_like_a_formula(pack, joint):
    (sheet,) = pack(joint("=1+1", remarks="=2+2"))

    assert sheet["A1"].value == "=1+1"
    assert sheet["A1"].data_type == "s"
    assert sheet.title == "=1+1 final make-up"


def test_progress_is_told(tmp_path, template, plan, joint):
    seen = []
    write_pack(
        plan(joint("A"), joint("B")), template, tmp_path / "c.xlsx", progress=lambda done, of: seen.append((done, of))
    )

    assert seen == [(0, 2), (1, 2), (2, 2)]


def test_the_plan_is_not_changed(tmp_path, template, plan, joint, several):
    content = plan(joint(), several())
    before = copy.deepcopy(content.joints)
    write_pack(content, template, tmp_path / "cards.xlsx")

    assert content.joints == before


@pytest.mark.skipif(shutil.which("pdfinfo") is None, reason="needs pdfinfo")
def test_every_card_prints_on_two_pages(tmp_path, template, plan, joint, hand, several, office):
    """Both papers; long tags, many findings, 4 to 64 studs, four wrenches."""
    long = joint("R-301 bottom head of the second stage reactor, nozzle N14/B", studs=64, condition="re-used",
                 remarks="heat traced, " * 60)  # fmt: skip
    content = plan(
        joint(studs=4, operation="break", **BROKEN), hand(), long, several(count=4, studs=44),
        joint("D", "retighten", 28),
    )  # fmt: skip
    said = FindingEntry(level="caution", code="x", text="washers as found, look at their faces " * 3, place="Joints!A9")
    changed(content, 2, findings=(*content.joints[2].findings, *[said] * 7))
    for paper, size in (("A4", "A4"), ("Letter", "letter")):
        report = write_pack(content, template, tmp_path / f"{paper}.xlsx", paper=paper)
        print_pdf(office, tmp_path / f"{paper}.xlsx")
        told = subprocess.run(["pdfinfo", tmp_path / f"{paper}.pdf"], check=True, capture_output=True, text=True).stdout
        assert f"Pages:           {2 * len(report.cards)}\n" in told
        assert f"({size})" in told
