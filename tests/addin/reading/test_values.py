"""Rows as they stand: two facts in a cell, pitch apart, dittos, tags of two columns, rows that wait."""

from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from addin.cells.words import line
from addin.reading.joint_list import JointList, read_joint_list
from addin.reading.understood import Answers
from calc.units import system

FTLB = 0.45359237 * 9.80665 * 0.3048
WHOLE = {"operation": "final make-up", "method": "hydraulic"}


def read(folder: Path, lines: list[list[Any]], **more: Any) -> JointList:
    book = Workbook()
    for cells in lines:
        book.worksheets[0].append(cells)
    book.save(folder / "list.xlsx")
    return read_joint_list(folder / "list.xlsx", answers=Answers(whole=more.pop("whole", WHOLE), **more))


def test_count_thread_and_length_in_one_cell(tmp_path: Path) -> None:
    lines = [
        ["Flange No.", "Bolts", "Torque"],
        ["F-1", '12 off 7/8" x 5 1/2"', "230 ft/lb"],
        ["F-2", '16 off 1" x 6"', "345 ft/lb"],
    ]
    found = read(tmp_path, lines)
    assert found.rows.joints.thread == ('7/8"', '1"')
    assert found.rows.joints.studs.tolist() == [12, 16]
    assert found.rows.texts["length"] == ['5 1/2"', '6"']
    assert found.rows.joints.torque.tolist() == pytest.approx([230 * FTLB, 345 * FTLB])
    assert not found.questions


@pytest.mark.parametrize(
    ("text", "thread", "studs"),
    [("20 x M36x4", "M36x4", 20), ("8 M20", "M20", 8), ("24 / 1 1/8", "1 1/8", 24), ('7/8" x 140', '7/8"', None)],
)
def test_facts_of_one_cell(tmp_path: Path, text: str, thread: str, studs: int | None) -> None:
    lines = [["Flange No.", "Stud bolts", "Torque Nm"], ["F-1", text, 900], ["F-2", text, 900], ["F-3", text, 900]]
    joints = read(tmp_path, lines, accept=True).rows.joints
    assert joints.thread[0] == thread
    assert (joints.studs[0] == studs) if studs else joints.studs[0] != joints.studs[0]


def test_a_pitch_in_its_own_column(tmp_path: Path) -> None:
    lines = [
        ["Flange", "Size", "Pitch mm", "No. off", "Torque Nm"],
        ["F-1", "M48", 5, 16, 4000],
        ["F-2", "M36", 3, 12, 1900],
    ]
    assert read(tmp_path, lines, accept=True).rows.joints.thread == ("M48x5", "M36x3")


def test_a_metric_size_above_m27_without_a_pitch_is_one_question_of_the_list(tmp_path: Path) -> None:
    lines = [
        ["Flange", "Bolt", "No. off", "Torque Nm"],
        ["F-1", "M48", 16, 4000],
        ["F-2", "M36", 12, 1900],
        ["F-3", "M24", 12, 480],
    ]
    found = read(tmp_path, lines)
    assert [question.text for question in found.questions] == [
        "whole list: thread pitch: no pitch stands with M48 (1 row), M36 (1 row): the coarse one, or a pitch of 3 mm?"
    ]
    assert not found.questions[0].blocks
    assert found.rows.joints.thread == ("", "", "M24")
    told = read(tmp_path, lines, whole={**WHOLE, "pitch": "coarse"})
    assert told.rows.joints.thread == ("M48x5", "M36x4", "M24")


def test_dittos_are_followed_and_told(tmp_path: Path) -> None:
    lines = [
        ["Flange", "Bolt", "No. off", "Torque Nm"],
        ["F-1", "M24", 12, 480],
        ["F-2", "-do-", "as above", '"'],
        ["F-3", "M20", 8, 270],
    ]
    found = read(tmp_path, lines)
    assert found.rows.joints.thread == ("M24", "M24", "M20")
    assert found.rows.joints.torque.tolist() == [480, 480, 270]
    assert "cells that say 'as above' have the value above them: 1 in 'Bolt'" in " ".join(s.text for s in found.said)


@pytest.mark.parametrize(
    ("words", "waits"),
    [
        ("Cancelled", True), ("CANCELED - see MOC", True), ("void", True), ("deleted", True), ("HLD", True),
        ("do not tighten", True), ("DO NOT TORQUE, flange cracked", True), ("don't bolt up", True),
        ("stop work", True), ("out of scope", True), ("pending engineering", True), ("defer to next outage", True),
        ("not required", True), ("do not tighten above 500 Nm", False), ("do not torque dry", False),
        ("void space below flange", False), ("gasket not required to be new", False), ("scaffold deleted", False),
    ],
)  # fmt: skip
def test_words_that_take_a_row_out_of_the_work_make_it_wait(tmp_path: Path, words: str, waits: bool) -> None:
    lines = [["Flange", "Bolt", "No. off", "Torque Nm", "Remarks"], ["F-1", "M24", 12, 480, words],
             ["F-2", "M20", 8, 270, None]]  # fmt: skip
    found = read(tmp_path, lines)
    assert [row.row for row in found.understood.waiting] == ([2] if waits else [])


def test_nozzles_that_repeat_are_named_with_their_vessel(tmp_path: Path) -> None:
    lines = [["Vessel", "Nozzle", "Bolt", "No. off", "Torque Nm"], ["V-1", "N1", "M24", 12, 480],
             ["V-1", "N2", "M20", 8, 270],
             ["V-2", "N1", "M24", 12, 480], ["V-2", "N2", "M24", 12, 480]]  # fmt: skip
    found = read(tmp_path, lines, accept=True)
    assert found.rows.joints.joint == ("V-1 N1", "V-1 N2", "V-2 N1", "V-2 N2")
    assert "'Vessel' and 'Nozzle' together name the joint" in " ".join(s.text for s in found.said)


def test_a_row_on_hold_waits_until_it_is_freed(tmp_path: Path) -> None:
    lines = [["Flange", "Bolt", "No. off", "Torque Nm", "Remarks"], ["F-1", "M24", 12, 480, "HOLD - need new blind"],
             ["F-2", "M20", 8, 270, "hold point H1"], ["F-3", "M20", 8, 270, "do not use moly"],
             ["F-4", "M20", 8, 270, "do not open"]]  # fmt: skip
    found = read(tmp_path, lines)
    assert [(row.row, row.words) for row in found.understood.waiting] == [
        (2, "HOLD - need new blind"),
        (5, "do not open"),
    ]
    assert [fault.code for fault in found.rows.joints.faults] == ["row_waits", "row_waits"]
    freed = read(tmp_path, lines, freed=frozenset({("F-1", "", "HOLD - need new blind")}))
    assert [row.row for row in freed.understood.waiting] == [5]


def test_codes_of_a_legend_are_told_and_other_words_are_listed_once(tmp_path: Path) -> None:
    lines = [["Flange", "Op", "Bolt", "No. off", "Torque Nm"], ["F-1", "B", "M24", 12, 480],
             ["F-2", "F", "M24", 12, 480],
             ["F-3", "MU", "M24", 12, 480], ["F-4", "MU", "M24", 12, 480], [],
             ["B = break out, F = final make up"]]  # fmt: skip
    found = read(tmp_path, lines, whole={"method": "hydraulic"}, accept=True)
    assert found.rows.joints.operation[:2] == ("break", "final make-up")
    (meaning,) = found.understood.meanings
    assert (meaning.text, meaning.count, meaning.meaning) == ("MU", 2, "final make-up")
    assert meaning.why == "'MU' may be final make-up"


def test_a_torque_beside_its_stress_is_compared_and_not_planned_twice(tmp_path: Path) -> None:
    area = 352.5e-6  # M24, ISO 898-1, from memory
    torque = round(0.15 * 0.024 * 300e6 * area)
    lines = [["Stresses on tensile area, K = 0.15"], ["Flange", "Bolt", "No. off", "Stress MPa", "Torque Nm"],
             *([f"F-{i}", "M24", 12, 300, torque] for i in range(4))]  # fmt: skip
    found = read(tmp_path, lines)
    assert found.rows.joints.stress.tolist() == [300e6] * 4
    assert all(value != value for value in found.rows.joints.torque)
    (checked,) = found.checked
    assert (checked.field, checked.values) == ("torque", (torque,) * 4)


def _torques(folder: Path, *texts: str) -> JointList:
    made = [[f"F-{at}", 8, "M36x4", 900] for at in range(12)]
    made += [[f"G-{at}", 8, "M90x6", text] for at, text in enumerate(texts)]
    return read(folder, [["Flange No.", "Bolts", "Stud size", "Torque (N·m)"], *made])


@pytest.mark.parametrize(
    ("texts", "values", "kind"),
    [
        (("9.500", "2.300,5"), [9500, 2300.5], "thousands"),
        (("9,500", "2,300.5"), [9500, 2300.5], "thousands"),
        (("9.500 N·m", "1.234.000", "2.300,5"), [9500, None, 2300.5], "thousands"),
        (("9.500", "12,5"), [9500, 12.5], "thousands"),
    ],
)
def test_a_mark_is_read_as_others_of_its_column_have_it(
    tmp_path: Path, texts: tuple[str, ...], values: list[float | None], kind: str
) -> None:
    found = _torques(tmp_path, *texts)

    assert [v for v in found.rows.joints.torque.tolist()[12:] if v == v] == [v for v in values if v is not None]
    first, other = texts[0].removesuffix(" N·m"), texts[-1]
    assert [told.text for told in found.said if told.kind == "marks"] == [
        f"'{first}' in 'Torque (N·m)' is read with its mark before {kind}, as '{other}' there has it"
    ]


@pytest.mark.parametrize("texts", [("9.500",), ("9.500", "2.300,5", "2,300.5"), ("9.500", "8.250")])
def test_a_mark_that_nothing_tells_or_others_contradict_stops(tmp_path: Path, texts: tuple[str, ...]) -> None:
    found = _torques(tmp_path, *texts)

    assert [line(fault, system("SI")) for fault in found.rows.joints.faults if fault.row == 12] == [
        "torque '9.500' may be 9.5 or 9500: its mark may part thousands or decimals; type it as a number without one"
    ]


def test_what_is_taken_for_studs_that_say_no_series_is_said_once(tmp_path: Path) -> None:
    heads = ["Flange No.", "Bolts", "Stud size", "Torque (N·m)", "Nut series"]
    studs = [("1 1/4", None), ('7/8"', None), ("1-8 UNC", None), ("1 1/2-8 UN", "heavy hex"), ("M24", "ISO 4032")]
    lines: list[list[Any]] = [[f"F-{at}", 8, stud, 500, nut] for at, (stud, nut) in enumerate(studs)]

    assert [told.text for told in read(tmp_path, [heads, *lines]).said if told.kind == "taken_for_studs"] == [
        "taken where the list does not say: UNC to 1 in, 8 threads per inch above (2 rows); heavy hex nuts on inch "
        "studs (3 rows); coarse pitch to M27 (1 row)"
    ]
    stated = [lines[3], ["F-6", 8, "M24x3", 500, "ISO 4032"]]
    assert [told for told in read(tmp_path, [heads, *stated]).said if told.kind == "taken_for_studs"] == []


def test_units_of_mass_in_the_cells_of_a_load_are_forces(tmp_path: Path) -> None:
    """33000 lb of load is 33000 lbf = 146.79 kN, 15 t is 147.1 kN; "15 tonf" may be long or short, and stops."""
    book = Workbook()
    sheet = book.active
    sheet.append(["Joint No.", "Stud size", "Qty", "Load per stud", "Operation", "Method"])
    for text in ("33000 lb", "33000 lbs", "15 t", "33 kip", "15000 daN", "15300 kgf", "15 tonf"):
        sheet.append([f"V-{text} N1", "M24", 8, text, "final make-up", "hand"])
    book.save(tmp_path / "list.xlsx")
    joints = read_joint_list(tmp_path / "list.xlsx").rows.joints

    assert joints.load[:6] == pytest.approx([146791.3, 146791.3, 147099.75, 146791.3, 150000, 150041.7], rel=1e-5)
    assert [f.row for f in joints.faults if f.quantity == "load"] == [6]
