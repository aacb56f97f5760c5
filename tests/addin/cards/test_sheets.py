"""Cards from a plan: what each says, what is left out and why."""

import copy
import re
import shutil
import subprocess

import msgspec
import pytest
from openpyxl import load_workbook

from addin.cards.sheets import write_pack
from addin.forms.template import TemplateError
from calc.procedure.order import cross

STAGES = [
    {"pass": 0, "percent": None, "pattern": "snug"}, {"pass": 1, "percent": 30, "pattern": "cross"},
    {"pass": 2, "percent": 60, "pattern": "cross"}, {"pass": 3, "percent": 100, "pattern": "cross"},
    {"pass": 4, "percent": 100, "pattern": "circular until no nut turns"},
    {"pass": 5, "percent": 100, "pattern": "circular check after a wait", "wait_hours": 4},
]  # fmt: skip


@pytest.fixture
def pack(tmp_path, template, plan):
    """Write cards of these joints; returns the sheets' texts by sheet, and keeps the report."""

    def run(*joints, stages=STAGES, **more):
        run.target.unlink(missing_ok=True)
        pack.report = write_pack(plan(*joints, stages=stages), template, tmp_path / "cards.xlsx", **more)
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
        ["pass 1\ncross", 30, 564, 1560, 562],
        ["pass 2\ncross", 60, 1127, 3120, 1125],
        ["pass 3\ncross", 100, 1878, 5200, 1881],
        ["pass 4\ncircular until no nut turns", 100, 1878, 5200, 1881],
        ["pass 5\ncircular check after a wait of 4 h", 100, 1878, 5200, 1881],
    ]
    assert "PRESSURE TO SET on HW-3, psi" in words(sheet)


def test_identity_and_tools(pack, joint):
    (sheet,) = pack(joint())

    for text in (
        "E-1204 channel", "final make-up", "card 7F3A-91C2", "job date 2026-03-14", "24 × 1 1/2-8 UN, A193 B7",
        "list drigrauvex-joints.xlsx, sheet Joints, row 7", "2-3/8 in across flats, heavy hex", "Product L-20",
        "nut factor 0.16; source: site lubricant table, maker's sheet 4", "stress 50 ksi on the root B1.1 area",
        "stud stress, tension with torsion: 62.3 ksi of the 94.5 ksi allowed",
        "78322 lbf", "1878 lbf·ft", "HW-3", "60 mm link", "G-2  P-1", "5200 psi",
        "1881 lbf·ft (+0.1 % on the final torque)", "wrench, hose, pump: 10000 psi",
        "for 2-3/8 in across flats", "C-1041, valid until 2027-01-10",
        "gasket crushing: not checked, gasket stress not given", "never replaces the site's procedure",
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
    wet, dry, broken = (words(sheet) for sheet in pack(joint(), hand(), joint("B", operation="break")))

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
    findings = [
        {"level": "caution", "code": "a", "text": "the certificate ends soon"},
        {"level": "stop", "code": "b", "text": "never here"},
    ]
    sheet, plain = pack(joint(findings=findings), joint("P-2"))

    assert ["This joint:", "• the certificate ends soon"] in shown(sheet)
    assert "never here" not in words(sheet)
    assert "This joint:" not in words(plain)


def test_a_pass_by_other_means_shows_no_pressure(pack, joint):
    low = joint()
    low["passes"][1]["note"] = "other means: below the lowest certified point"
    low["wrenches"][0]["passes"][1] = {}
    (sheet,) = pack(low)

    assert table(sheet)[1] == ["pass 1\ncross\nbelow the lowest certified point", 30, 564, "other means", None]


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


def test_break_card_has_no_tightening_pass_and_no_setpoint(pack, joint):
    (sheet,) = pack(joint(operation="break"))

    assert [row[3] for row in table(sheet)] == ["start low"]
    assert "BREAK: loosen only." in words(sheet)
    for text in ("5200", "1878", "1881", "3120", "PRESSURE TO SET", "circular"):
        assert text not in words(sheet)
    assert "wrench, hose, pump: 10000 psi" in words(sheet)
    assert pack.last().notes == [
        "E-1204 channel break: a break card shows no tightening passes; those of the plan are left out"
    ]


@pytest.mark.parametrize(
    ("operation", "text"),
    [("test make-up", "for the test only"), ("retighten", "only under engineering authority"), ("final make-up", None)],
)
def test_words_of_the_operation(pack, joint, operation, text):
    (sheet,) = pack(joint(operation=operation))

    assert (text or "E-1204") in words(sheet)
    assert ("Authority: ____" in words(sheet)) == (operation == "retighten")


def test_where_the_list_does_not_say_the_card_asks(pack, joint):
    bare = joint(stud_1=None, turned_side=None, grade=None, backup_wrench=None, date=None)
    bare["target"]["friction"] = {"kind": "not stated", "nut_factor": None, "lubricant": None, "source": None}
    bare |= {"preload": None, "preload_note": "not known: friction not stated"}
    (sheet,) = pack(bare)

    text = words(sheet)
    assert "mark it, as agreed at the joint. Position: ____" in text
    assert ["wrench side", "________________________"] in [row[-2:] for row in shown(sheet)]
    assert "not known: friction not stated" in text
    assert text.count("not stated") >= 5
    assert "None" not in text
    assert "12 o'clock" not in text


def test_wrenches_with_one_mark(pack, several):
    (sheet,) = pack(several(same=True))

    assert [row[3] for row in table(sheet)] == ["no pump", 1560, 3120, 5200, 5200, 5200]
    assert "PRESSURE TO SET on HW-3 and HW-4, psi" in words(sheet)
    assert " 1+15→" in words(sheet).replace("\u00a0", " ")


def test_wrenches_with_marks_of_their_own_have_no_common_figure(pack, several):
    (sheet,) = pack(several())

    rows = shown(sheet)
    begin = next(number for number, row in enumerate(rows) if row[0] == "Pass")
    assert rows[begin][3:5] == ["PRESSURE TO SET\non HW-3, psi", "PRESSURE TO SET\non HW-4, psi"]
    assert rows[begin + 1] == ["snug\nby hand: at most 20 lbf·ft, faces aligned, gap even", "no pump", "no pump"]
    assert [row[3:] for row in rows[begin + 2 : begin + 7]] == [
        [1560, 1610], [3120, 3170], [5200, 5300], [5200, 5300], [5200, 5300],
    ]  # fmt: skip
    assert "see below" not in words(sheet)
    assert ["HW-4", "60 mm link, gauge G-3, pump P-2, torque at 5300 psi: 1874 lbf·ft"] in rows


def test_four_wrenches_with_marks_of_their_own_have_four_columns(pack, several):
    (sheet,) = pack(several(count=4))

    rows = shown(sheet)
    begin = next(number for number, row in enumerate(rows) if row[0] == "Pass")
    assert rows[begin][3:7] == [f"PRESSURE TO SET\non HW-{number}, psi" for number in (3, 4, 5, 6)]
    assert rows[begin + 5][:1] + rows[begin + 5][3:] == ["pass 4\ncircular until no nut turns", 5200, 5300, 5400, 5500]


def test_a_wrench_whose_gauge_has_another_unit_says_so(pack, several):
    mixed = several()
    other = mixed["wrenches"][1]
    for item in (other["setpoint"], *[step["pressure"] for step in other["passes"][1:]]):
        item |= {"value": 350.0, "unit": "bar"}
    (sheet,) = pack(mixed)

    assert "PRESSURE TO SET\non HW-3, psi" in words(sheet)
    assert "PRESSURE TO SET\non HW-4, bar" in words(sheet)
    assert "PRESSURE TO SET on" not in words(sheet)


def test_pressures_show_as_they_are_set(pack, joint):
    fine = joint()
    for item in (fine["wrenches"][0], *fine["wrenches"][0]["passes"][1:]):
        item["setpoint" if "setpoint" in item else "pressure"] = {"value": 12.5, "unit": "MPa"}
    (sheet,) = pack(fine)

    row = next(row for row in range(1, sheet.max_row) if sheet.cell(row, 12).value == 12.5)
    assert sheet.cell(row, 12).number_format == "General"


def test_order_is_printed_from_left_to_right(pack, joint):
    (sheet,) = pack(joint(studs=8, order=[[1], [5], [3], [7], [2], [6], [4], [8]]))

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
    (sheet,) = pack(given | {"order": [list(move) for move in cross(studs, together)]})

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


def test_an_order_of_the_lists_own_gets_no_circle(pack, joint):
    import zipfile

    (sheet,) = pack(joint(studs=4, order=[[2], [1], [4], [3]], order_source="the list's own"))

    assert "No picture: the order is the list's own." in words(sheet)
    assert table(sheet)[1][0] == "pass 1\nin the order given"
    assert "clockwise" not in words(sheet)

    with zipfile.ZipFile(pack.target) as book:
        drawings = [book.read(name).decode() for name in book.namelist() if "drawing" in name]
    assert ["Order picture" in drawing for drawing in drawings if "Card mark" in drawing] == [False]


def test_stopped_and_other_rows_get_no_card(pack, joint):
    stopped = joint(
        "S-1", status="stopped", card=None, findings=[{"level": "stop", "code": "x", "text": "no friction stated"}]
    )
    other = joint("O-1", status="other method", card=None)
    pack(joint(), stopped, other)

    assert len(pack.last().cards) == 1
    assert pack.last().skipped == [
        ("S-1", "final make-up", "stopped: no friction stated"),
        ("O-1", "final make-up", "other method"),
    ]


def test_faulty_joints_are_refused_and_the_rest_goes_on(pack, joint):
    mixed, gap, twice = joint("A"), joint("B", studs=8, order=[[1], [2]]), joint("C", studs=2, order=[[1], [1]])
    mixed["wrenches"][0]["passes"][2]["pressure"] = {"value": 200.0, "unit": "bar"}
    pack(joint(), mixed, gap, twice, joint("E", card=None))

    assert [(tag, reason) for tag, _, reason in pack.last().refused] == [
        ("A", "the plan gives pressure in several units"),
        ("B", "the order does not name each of the 8 studs once"),
        ("C", "the order does not name each of the 2 studs once"),
        ("E", "the plan gives no card revision"),
    ]
    assert len(pack.last().cards) == 1


def test_two_cards_with_one_revision_are_refused(tmp_path, template, plan, joint):
    content = plan(joint("A"), joint("B"), joint("C"))
    content.joints[1] = msgspec.structs.replace(content.joints[1], card=content.joints[0].card)

    report = write_pack(content, template, tmp_path / "cards.xlsx")
    assert [tag for tag, *_ in report.refused] == ["A", "B"]
    assert [tag for tag, *_ in report.cards] == ["C"]


def test_more_passes_than_the_template_has(pack, joint):
    more = [{"pass": number, "percent": 100, "pattern": "circular until no nut turns"} for number in range(6, 14)]
    with pytest.raises(TemplateError, match="no card"):
        pack(joint("L"), stages=[*STAGES, *more])


def test_only_the_joints_asked_for(pack, joint):
    pack(joint("A"), joint("A", "break"), joint("B"), joints=["A", "Z"])

    assert [card[:2] for card in pack.last().cards] == [("A", "final make-up"), ("A", "break")]
    assert pack.last().refused == [("Z", "", "the plan has no joint of this tag")]


def test_no_card_at_all_writes_nothing(tmp_path, template, plan, joint):
    with pytest.raises(TemplateError, match="no card to write"):
        write_pack(plan(joint(status="stopped")), template, tmp_path / "cards.xlsx")
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


@pytest.mark.skipif(
    shutil.which("soffice") is None or shutil.which("pdfinfo") is None, reason="needs LibreOffice and pdfinfo"
)
def test_every_card_prints_on_two_pages(tmp_path, template, plan, joint, hand, several):
    """Both papers; long tags, many findings, 4 to 64 studs, four wrenches."""
    many = [
        {"level": "caution", "code": "x", "text": "studs are re-used: friction may be higher than planned " * 2}
    ] * 8
    long = joint(
        "R-301 bottom head of the second stage reactor, nozzle N14/B",
        studs=64,
        findings=many,
        remarks="heat traced, " * 60,
    )
    content = plan(
        joint(studs=4, operation="break"), hand(), long, several(count=4, studs=44), joint("D", "retighten", 28)
    )
    for paper, size in (("A4", "A4"), ("Letter", "letter")):
        report = write_pack(content, template, tmp_path / f"{paper}.xlsx", paper=paper)
        profile = f"-env:UserInstallation=file://{tmp_path}/profile"
        command = [
            "soffice",
            profile,
            "--headless",
            "--convert-to",
            "pdf",
            "--outdir",
            tmp_path,
            tmp_path / f"{paper}.xlsx",
        ]
        subprocess.run(command, check=True, capture_output=True, timeout=120)
        told = subprocess.run(["pdfinfo", tmp_path / f"{paper}.pdf"], check=True, capture_output=True, text=True).stdout
        assert f"Pages:           {2 * len(report.cards)}\n" in told
        assert f"({size})" in told
