"""Rows that wait by their own words, in the languages of lists and wherever in the row the words stand."""

from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook
from openpyxl.comments import Comment

from addin.cells.words import line as sentence
from addin.reading.joint_list import JointList, read_joint_list
from addin.reading.understood import Answers, ColumnAnswer
from calc.units import system

HEAD = ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (ft-lb)"]
ROW = ["final make-up", "hydraulic", "1 1/4", 16, 700]
FREE_IT = "; if it may be worked on, write yes beside it on the sheet of answers"


def read(folder: Path, heading: str, cells: list[Any], answers: Answers | None = None) -> JointList:
    book = Workbook()
    for line in [[*HEAD, heading], *([f"F-{i}", *ROW, cell] for i, cell in enumerate(cells))]:
        book.worksheets[0].append(line)
    book.save(folder / "list.xlsx")
    return read_joint_list(folder / "list.xlsx", answers=answers)


def waits(found: JointList) -> list[str]:
    return [f"{each.joint} {each.words}" for each in found.understood.waiting]


HELD = {
    "en": ["HOLD", "on hold", "Cancelled", "Deleted from scope", "Do not work", "Not released", "Deferred to 2028",
           "Awaiting material", "Parked", "out of scope", "client hold", "gasket not in yet - HOLD", "postponed",
           "torque TBC", "torque to be confirmed", "only if shell is pulled", "don't touch w/o OEM on site",
           "Not to be opened", "closed until 12 May", "shut until 12 May", "Pend. approval"],
    "de": ["gesperrt", "gesperrt bis Freigabe Prüfung", "GESPERRT", "zurückgestellt", "zurueckgestellt", "entfällt",
           "nicht freigegeben", "noch nicht freigegeben", "wartet auf Material", "storniert", "nicht öffnen",
           "Freigabe fehlt", "verschoben auf 2028", "gestrichen", "Drehmoment noch offen", "nur wenn undicht",
           "geschlossen bis KW 12", "wird nicht ausgefuehrt", "Termin verschoben", "kein Schmierstoff",
           "trocken anziehen"],
    "fr": ["bloqué", "en attente", "annulé", "ne pas intervenir", "reporté", "en attente pièces", "supprimé", "retenu",
           "pas encore libéré", "BLOQUÉE", "hors périmètre", "A SURSEOIR - soupape en atelier", "couple à confirmer",
           "joint en sursis", "seulement si fuite", "uniquement si fuite", "fermé jusqu'au 12 mai", "goujons manquants",
           "serrer après accord", "sans graisse"],
    "es": ["en espera", "cancelado", "anulado", "retenido", "no trabajar", "aplazado", "bloqueado", "no liberado",
           "PENDIENTE permiso", "junta nueva EPDM, par a confirmar", "solo si hay fuga", "sin grasa"],
    "it": ["sospeso", "in attesa", "annullato", "bloccato", "non aprire", "lato cliente: NON serrare",
           "coppia da confermare", "solo se perde", "mancano i tiranti", "attendere benestare", "serrare a secco",
           "senza grasso"],
    "nl": ["geblokkeerd", "vastgehouden", "niet vrijgegeven", "uitgesteld", "in de wacht", "alleen als lek"],
    "pl": ["wstrzymane", "zablokowane", "anulowane", "nie otwierać", "tylko jeśli cieknie"],
    "north": ["sperrat", "spärrad", "stoppet", "ikke frigitt", "Venter på deler", "ej frisläppt", "på hold",
              "brännaren kvar, öppnas ej", "STÄNGD tills tömd", "tarkastus, EI avata", "endast om läckage",
              "kun hvis lekkasje", "flangen åbnes ikke"],
    "cs": ["pozastaveno", "zrušeno", "neuvolněno", "jen pokud teče"],
    "pt": ["AGUARDANDO junta - não abrir", "suspenso", "não liberado", "AG. LIBERAÇÃO", "aguardar liberação"],
}  # fmt: skip
FREE = ["frei", "freigegeben", "nicht gesperrt", "nicht mehr gesperrt", "Sperre aufgehoben", "Ready", "released",
        "listo", "prêt", "pronto", "libéré", "ok", "scaffold deleted", "void space below flange", "do not use moly",
        "gasket not required to be new", "hold point H1", "Vent 3 in", "locked out by operations", "Gerüst vorhanden",
        "insulation removed", "gasket type TBC", "not to be tightened above 250 Nm",
        "no lube on PTFE coated studs",
        "Isolierung entfernt", "stud hold-down checked", "3"]  # fmt: skip


@pytest.mark.parametrize("heading", ["Remarks", "Status", "Sperrvermerk", "Xyz"])
@pytest.mark.parametrize("tongue", HELD)
def test_a_held_row_waits_in_every_tongue_under_every_heading(tmp_path: Path, tongue: str, heading: str) -> None:
    found = read(tmp_path, heading, HELD[tongue])
    assert waits(found) == [f"F-{i} {words}" for i, words in enumerate(HELD[tongue])]
    assert {fault.code for fault in found.rows.joints.faults} == {"row_waits"}


@pytest.mark.parametrize("heading", ["Remarks", "Status", "Xyz"])
def test_words_that_hold_nothing_let_the_row_go(tmp_path: Path, heading: str) -> None:
    doubt = ["scaffold deleted", "locked out by operations"] if heading == "Status" else []
    assert [each.words for each in read(tmp_path, heading, FREE).understood.waiting] == doubt


@pytest.mark.parametrize(
    "heading",
    ["Sperrvermerk", "Freigabe", "Stand", "Status", "État", "Statut", "Estado", "Stato", "Bemerkung", "Observations",
     "Zustand", "Gasket", "Xyz"],
)  # fmt: skip
def test_the_column_and_the_words_are_named_whatever_the_column_is(tmp_path: Path, heading: str) -> None:
    found = read(tmp_path, heading, ["ok", "gesperrt"])
    (fault,) = [each for each in found.rows.joints.faults if each.code == "row_waits"]
    assert sentence(fault, system("US")) == f"the row waits: column G '{heading}' says 'gesperrt'" + FREE_IT
    assert found.place(fault) == "Sheet!G3"


@pytest.mark.parametrize(
    ("heading", "cells", "held"),
    [
        ("Ready?", ["Y", "N", "No", "nein", None, False, True], [1, 2, 3, 5]),
        ("Freigabe", ["ja", "nein", "x", "-"], [1]),
        ("Status", ["Y", "N", "No", "OK", 0], [1, 2]),
        ("On hold", ["Y", "N", "yes", None, True, "x"], [0, 2, 4, 5]),
        ("Gesperrt", ["ja", "nein", "X", None], [0, 2]),
        ("Cancelled", ["no", "yes", "1"], [1, 2]),
        ("Hydrotest", ["Y", "N", "no"], []),
        ("Hold", ["H", "W", "x", "HOLD - no gasket"], [3]),  # a tick there is a point of inspection
        ("Lock nut", ["Y", "N"], []),
        ("Absperrung", ["ja", "nein"], []),
        ("Arbeitssperre", ["ja", "nein"], [0]),
    ],
)
def test_yes_and_no_hold_by_what_the_heading_promises(
    tmp_path: Path, heading: str, cells: list[Any], held: list[int]
) -> None:
    found = read(tmp_path, heading, cells)
    assert [each.row - 2 for each in found.understood.waiting] == held


def test_removed_holds_in_a_column_of_states_and_as_a_whole_remark_only(tmp_path: Path) -> None:
    assert waits(read(tmp_path, "Status", ["removed", "Locked"])) == ["F-0 removed", "F-1 Locked"]
    assert waits(read(tmp_path, "Remarks", ["removed", "insulation removed"])) == ["F-0 removed"]
    assert waits(read(tmp_path, "Insulation", ["removed", "in place"])) == []


def test_an_answer_that_calls_it_a_hold_point_frees_nothing(tmp_path: Path) -> None:
    told = Answers(columns={"sperrvermerk": ColumnAnswer("hold_point")}, by="A. Weir, 2026-03-01")
    found = read(tmp_path, "Sperrvermerk", ["gesperrt bis Freigabe Prüfung", "ja", None], told)
    assert [each.words for each in found.understood.waiting] == ["gesperrt bis Freigabe Prüfung", "Sperrvermerk: ja"]


def test_a_row_freed_in_one_column_waits_for_the_other(tmp_path: Path) -> None:
    book = Workbook()
    for line in [[*HEAD, "Status", "Remarks"], ["F-0", *ROW, "on hold", "nicht freigegeben"], ["F-1", *ROW, "ok", ""]]:
        book.worksheets[0].append(line)
    book.save(tmp_path / "list.xlsx")
    assert waits(read_joint_list(tmp_path / "list.xlsx")) == ["F-0 on hold", "F-0 nicht freigegeben"]
    freed = frozenset({("F-0", "final make-up", "on hold")})
    found = read_joint_list(tmp_path / "list.xlsx", answers=Answers(freed=freed))
    assert waits(found) == ["F-0 nicht freigegeben"]
    both = freed | {("F-0", "final make-up", "nicht freigegeben")}
    assert waits(read_joint_list(tmp_path / "list.xlsx", answers=Answers(freed=both))) == []


def test_a_ditto_and_a_code_of_the_legend_hold_like_the_word(tmp_path: Path) -> None:
    found = read(tmp_path, "Status", ["gesperrt", "dito", "frei", "dito"])
    assert [each.row for each in found.understood.waiting] == [2, 3]
    book = Workbook()
    sheet = book.worksheets[0]
    for line in [[*HEAD, "Status"], ["F-0", *ROW, "G"], ["F-1", *ROW, "F"], [], ["Legende: G = gesperrt; F = frei"]]:
        sheet.append(line)
    book.save(tmp_path / "list.xlsx")
    assert waits(read_joint_list(tmp_path / "list.xlsx")) == ["F-0 G"]


def test_a_comment_and_a_heading_over_joints_hold_too(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.worksheets[0]
    lines = [HEAD, ["Unit 100"], ["F-0", *ROW], ["F-1", *ROW], ["Unit 200 - ON HOLD, not released"], ["F-2", *ROW],
             ["Unit 300"], ["F-3", *ROW]]  # fmt: skip
    for each in lines:
        sheet.append(each)
    sheet["F4"].comment = Comment("nicht freigegeben", "planner")
    book.save(tmp_path / "list.xlsx")
    found = read_joint_list(tmp_path / "list.xlsx")
    assert [sentence(fault, system("US")) for fault in found.rows.joints.faults] == [
        "the row waits: a comment of one of its cells says 'nicht freigegeben'" + FREE_IT,
        "the row waits: row 5 above it says 'Unit 200 - ON HOLD, not released'" + FREE_IT,
    ]
    assert [found.place(fault) for fault in found.rows.joints.faults] == ["Sheet!row 4", "Sheet!row 6"]


def test_the_line_of_the_column_says_how_many_rows_it_holds(tmp_path: Path) -> None:
    found = read(tmp_path, "Sperrvermerk", ["gesperrt", "frei", "nicht freigegeben", None])
    column = next(each for each in found.understood.columns if each.heading == "Sperrvermerk")
    assert column.why.endswith("; 2 of its cells make the row wait")


def test_in_a_long_list_each_word_is_found_where_it_stands(tmp_path: Path) -> None:
    cells: list[Any] = [f"seen {i}" if i % 3 else None if i % 2 else i for i in range(700)]
    said = {0: "HOLD", 255: "hold 2", 256: "ditto", 257: "do.", 511: "on hold 2", 640: "gesperrt 12"}
    for i, text in said.items():
        cells[i] = text
    cells[641:643] = [7, "dito"]
    found = read(tmp_path, "Xyz", cells)
    meant = said | {256: "hold 2", 257: "hold 2", 642: "gesperrt 12"}
    assert waits(found) == [f"F-{i} {words}" for i, words in meant.items()]
