"""What columns are taken as: sure only where words, cells and laws agree; the rest is proposed, asked or shown."""

from typing import Any

import pytest

from addin.reading.columns import understand
from addin.reading.evidence import look
from addin.reading.heads import Head
from addin.reading.notes import Notes, read_notes
from addin.reading.understood import ASKED, CHECKED, NOT_USED, PROPOSED, SURE, ColumnReading

ROWS = [["F-1", "M24", 12, 480], ["F-2", "M20", 8, 270], ["F-3", "M16", 8, 140], ["F-4", "M24", 12, 480]]


def read(heads: list[str], rows: list[list[Any]], notes: Notes | None = None, **more: Any) -> dict[str, ColumnReading]:
    found = understand([Head(at, text) for at, text in enumerate(heads)], rows, notes, **more)
    return {reading.heading: reading for reading in found}


def with_last(heading: str, *cells: Any, notes: Notes | None = None) -> ColumnReading:
    rows = [[*row, cell] for row, cell in zip(ROWS, cells, strict=True)]
    return read(["Flange No.", "Bolt", "No. off", "Tq Nm", heading], rows, notes)[heading]


def test_a_list_in_the_words_of_another_trade_school_is_read() -> None:
    found = read(["Flg ref", "Blt sz", "Nr off", "Anzugsmoment [Nm]"], ROWS)
    assert [(r.field, r.state) for r in found.values()] == [
        ("joint", SURE), ("thread", SURE), ("studs", SURE), ("torque", SURE)
    ]  # fmt: skip
    assert found["Anzugsmoment [Nm]"].unit == "N·m"


def test_columns_are_judged_by_rows_from_every_part_of_a_long_list() -> None:
    tags = ["TBA"] * 800 + [f"F-{number}" for number in range(200)]
    found = read(["Joint", "Bolt", "No. off", "Tq Nm"], [[tag, "M24", 12, 480] for tag in tags])
    assert (found["Joint"].field, found["Joint"].state) == ("joint", SURE)


@pytest.mark.parametrize("rows", [800, 1600, 8000])
def test_what_repeats_every_few_rows_is_seen_whole(rows: int) -> None:
    operations = ["break", "test make-up", "final make-up", "retighten"]
    assert sorted(look(operations * (rows // 4)).texts) == sorted(operations)


def test_a_named_torque_is_never_dropped_in_silence() -> None:
    rows = [[*row[:3], text] for row, text in zip(ROWS, ["see card", "see card", "per mfr", "see mfr"], strict=True)]
    torque = read(["Flange No.", "Bolt", "No. off", "Torque (Nm)"], rows)["Torque (Nm)"]
    assert torque.state in (PROPOSED, ASKED)
    assert "the cells do not look like it" in torque.why


def test_a_torque_without_a_unit_asks_for_it() -> None:
    torque = read(["Flange No.", "Bolt", "No. off", "Torque"], ROWS)["Torque"]
    assert (torque.state, torque.unit_open) == (ASKED, True)
    assert "neither in the heading, nor in the cells, nor in a note" in torque.why


def test_a_note_gives_the_unit() -> None:
    torque = read(["Flange No.", "Bolt", "No. off", "Torque"], ROWS, read_notes([["All torques in Nm"]], []))["Torque"]
    assert (torque.state, torque.unit) == (SURE, "N·m")
    assert "All torques in Nm" in torque.why


@pytest.mark.parametrize("unit", ["psi", "bar", "kN"])
def test_a_unit_of_another_kind_is_asked_about(unit: str) -> None:
    torque = read(["Flange No.", "Bolt", "No. off", f"Torque ({unit})"], ROWS)[f"Torque ({unit})"]
    assert torque.state == ASKED
    assert "but its unit is one of" in torque.why


def test_a_torque_that_no_such_stud_can_take_is_asked_about() -> None:
    rows = [[*row[:3], 100 * row[3]] for row in ROWS]
    torque = read(["Flange No.", "Bolt", "No. off", "Torque Nm"], rows)["Torque Nm"]
    assert torque.state == ASKED
    assert "does not suit these studs" in torque.why


@pytest.mark.parametrize(
    "heading",
    ["Torque achieved (Nm)", "As left Nm", "Max torque (Nm)", "Previous torque (Nm)", "Break-out torque (Nm)",
     "Residual load (kN)", "Total bolt load (kN)", "Snug torque (Nm)", "Torque checked", "Pump pressure (bar)"],
)  # fmt: skip
def test_what_is_no_target_is_none(heading: str) -> None:
    assert with_last(heading, 470, 260, 150, 475).state in (NOT_USED, CHECKED)


def test_the_last_of_a_series_of_stages_is_the_target() -> None:
    rows = [[*row[:3], 0.3 * row[3], 0.7 * row[3], row[3]] for row in ROWS]
    found = read(["Flange No.", "Bolt", "No. off", "Torque Nm 30%", "70%", "100%"], rows)
    assert [(r.field, r.state) for r in list(found.values())[3:]][:2] == [(None, NOT_USED), (None, NOT_USED)]
    assert (found["100%"].field, found["100%"].unit, found["100%"].state) == ("torque", "N·m", SURE)


def test_dry_and_oiled_torques_are_asked_unless_a_note_chooses() -> None:
    heads = ["Flange No.", "Bolt", "No. off", "Torque Nm (dry)", "Torque Nm (oiled)"]
    rows = [[*row[:3], 1.4 * row[3], row[3]] for row in ROWS]
    asked = read(heads, rows)
    assert {asked[h].state for h in heads[3:]} == {ASKED}
    told = read(heads, rows, read_notes([], [["Use the oiled column."]]))
    assert (told["Torque Nm (oiled)"].state, told["Torque Nm (dry)"].state) == (SURE, NOT_USED)


def test_two_torques_that_agree_are_one() -> None:
    found = with_last("Torque ft-lb", 354, 199, 103, 354)
    assert found.state == CHECKED
    assert "agree within rounding" in found.why


def test_a_stress_without_its_area_is_asked_about() -> None:
    rows = [[*row[:3], stress] for row, stress in zip(ROWS, (300, 300, 280, 300), strict=True)]
    assert read(["Flange No.", "Bolt", "No. off", "Bolt stress MPa"], rows)["Bolt stress MPa"].area_open
    noted = read_notes([["Stresses on tensile stress area"]], [])
    assert read(["Flange No.", "Bolt", "No. off", "Bolt stress MPa"], rows, noted)["Bolt stress MPa"].state == SURE


def test_words_between_nut_and_stud_are_told_apart() -> None:
    assert with_last("Nut grade", "2H", "2H", "4", "2H").field != "grade"
    assert with_last("Stud grade", "B7", "B7", "B16", "B7").state == SURE


def test_two_facts_in_a_cell_are_named() -> None:
    rows = [["F-1", "12 x M24", 480], ["F-2", "8 x M20", 270]]
    bolts = read(["Flange No.", "Bolts", "Torque Nm"], rows)["Bolts"]
    assert ({bolts.field, *bolts.also}, bolts.state) == ({"thread", "studs"}, SURE)


def test_a_legend_explains_a_heading_and_names_of_the_book_speak() -> None:
    told = with_last("FP", 480, 270, 140, 480, notes=read_notes([], [["FP = final pass torque, Nm"]]))
    assert told.field == "torque"
    plain = with_last("Rig", "HX-1", "HX-2", "HX-1", "HX-2")
    assert plain.field is None
    heads = ["Flange No.", "Bolt", "No. off", "Tq Nm", "Tool"]
    for one, other in (("HX-1", "HX-2"), ("Blue", "Grey"), (101, 102)):
        rows = [[*row, cell] for row, cell in zip(ROWS, (one, other, one, other), strict=True)]
        tool = read(heads, rows, known={"wrench": {str(one), str(other)}})["Tool"]
        assert (tool.field, tool.state) == ("wrench", SURE)


def test_whitworth_is_never_read_as_unified() -> None:
    rows = [["F-1", "3/4", 8, 150], ["F-2", "7/8", 8, 220]]
    noted = read_notes([["Studs BSW, old plant"]], [])
    assert read(["Flange No.", "Stud", "No. off", "Tq ft-lb"], rows, noted)["Stud"].state == ASKED


def test_a_word_that_is_only_like_a_known_one_is_proposed() -> None:
    rows = [[*row[:3], row[3]] for row in ROWS]
    found = read(["Flange No.", "Bolt", "No. off", "Lubrikation"], [[*r[:3], "moly"] for r in rows])["Lubrikation"]
    assert found.state in (PROPOSED, SURE)
    assert "looks like" in found.why


@pytest.mark.parametrize(
    ("heading", "unit"),
    [
        ("Bolt load (lb)", "lbf"),
        ("Stud force lbs", "lbf"),
        ("Load (t)", "tf"),
        ("Load (daN)", "daN"),
        ("Load kgf", "kgf"),
    ],
)
def test_a_unit_of_mass_under_load_or_force_is_a_force(heading: str, unit: str) -> None:
    assert with_last(heading, 22, 15, 9, 22).unit == unit


@pytest.mark.parametrize("heading", ["Bolt load (tons)", "Torque (lb)", "Load (kg)"])
def test_tons_and_a_mass_under_torque_are_asked(heading: str) -> None:
    assert with_last(heading, 22000, 15000, 9000, 22000).unit is None


def test_a_diameter_beside_studs_written_with_their_size_is_no_stud_size() -> None:
    """Pipes of 4 and 6 in could be studs; 7/8 in stands with the number of studs. A foot may be written pé."""
    heads = ["União", "Diâm.", "Classe", "Estojos (qtd x diâm.)", "Torque final (lbf.pé)"]
    rows = [
        ["FL-1", '4"', 600, '8 x 7/8"', 235],
        ["FL-2", '6"', 600, '12 x 1"', 350],
        ["FL-3", '4"', 300, '8 x 3/4"', 150],
    ]
    found = read(heads, [[*row] for row in rows])

    assert found["Diâm."].field != "thread"
    studs = found["Estojos (qtd x diâm.)"]
    assert {studs.field, *studs.also} >= {"thread", "studs"}
    assert (found["Torque final (lbf.pé)"].field, found["Torque final (lbf.pé)"].unit) == ("torque", "lbf·ft")


def test_the_nominal_diameter_of_a_bolt_is_its_thread() -> None:
    rows = [["R1-01", 16, "2", 3230], ["R1-02", 8, "1 1/4", 730], ["R1-03", 12, "1 1/2", 1300]]
    found = read(["Joint", "No. bolts", "Bolt nom. dia, in", "T ft·lb"], rows)
    assert (found["Bolt nom. dia, in"].field, found["Bolt nom. dia, in"].state) == ("thread", SURE)


@pytest.mark.parametrize(
    ("tags", "state"), [(("M10", "F1", "F2", "M12"), PROPOSED), (("P10", "F1", "F2", "P12"), SURE)]
)
def test_positions_that_may_be_threads_are_only_proposed_as_the_joint(tags: tuple[str, ...], state: str) -> None:
    found = read(
        ["Position", "Bolt", "No. off", "Tq Nm"], [[tag, *row[1:]] for tag, row in zip(tags, ROWS, strict=True)]
    )
    assert (found["Position"].field, found["Position"].state) == ("joint", state)
