"""Forms of cells as they are written in several countries: counts, threads, lengths, grades, sizes in one cell.

What each form means is common practice, no source.
"""

from pathlib import Path

import pytest

from addin.reading.facts_in_cells import parts
from addin.reading.grammar import hear, strengths
from addin.reading.spellings import plain_fractions
from addin.reading.understood import Answers
from tests.few_lines import columns, read_lines


@pytest.mark.parametrize(
    ("text", "studs", "thread", "length"),
    [
        ("4xM20", "4", "M20", None),
        ("n. 12 da M24", "12", "M24", None),
        ("N.12 M24x120", "12", "M24", "120"),
        ("12 à M24x120", "12", "M24", "120"),
        ("8 st M20", "8", "M20", None),
        ("16/M30", "16", "M30", None),
        ("12 adet M24", "12", "M24", None),
        ("12 un. M24", "12", "M24", None),
        ("12 Schr. M24x110", "12", "M24", "110"),
        ('12 esp. 7/8" x 130', "12", '7/8"', "130"),
        ("12 vaarnapulttia M24", "12", "M24", None),
        ("M24x110 (12)", "12", "M24", "110"),
        ("M24x110 - 12 st", "12", "M24", "110"),
        ("M24 (12x)", "12", "M24", None),
        ("M24x3x110 12 Stk", "12", "M24x3", "110"),
        ('7/8" x 130mm x 12 nos', "12", '7/8"', "130mm"),
        ('Qty 12 - 7/8"', "12", '7/8"', None),
        ("M24 * 110", None, "M24", "110"),
        ("M24/110", None, "M24", "110"),
        ("M24x110 DIN 2510", None, "M24", "110"),
    ],
)
def test_count_thread_and_length(text: str, studs: str | None, thread: str, length: str | None) -> None:
    wanted = {"studs": studs, "thread": thread, "length": length}
    assert parts(text) == {name: value for name, value in wanted.items() if value}


@pytest.mark.parametrize(
    "text", ["M64 (4)", "M24 (M27)", '1" (25)', '7/8" (12)', "1 1/8-8 UN", "M16 x 20", "M24/24", "M20 (20)"]
)
def test_a_number_that_may_be_another_thing_is_no_count_and_no_length(text: str) -> None:
    assert parts(text) == {}


def test_no_stud_is_shorter_than_it_is_thick() -> None:
    assert parts("M24 x 12") == {"studs": "12", "thread": "M24"}
    assert parts("M24 x 80") == {"thread": "M24", "length": "80"}


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("M30-3.5", "M30x3.5"),
        ("M30 - 3,5", "M30x3,5"),
        ("M36-4", "M36x4"),
        ("M24-6g", "M24"),
        ("M36x4-6g", "M36x4"),
        ("1 1/8 UN-8", "1 1/8-8 UN"),
        ("1-1/8-8 UN 2A", "1-1/8-8 UN"),
        ('1"1/8', "1 1/8"),
        ('Ø 7/8"', '7/8"'),
        ("M20-4", "M20-4"),  # no pitch of M20: it may be four of them
        ("M24-101", "M24-101"),
        ("Ø24", "Ø24"),
    ],
)
def test_threads_in_the_one_spelling(text: str, plain: str) -> None:
    assert plain_fractions(text) == plain


@pytest.mark.parametrize(
    ("text", "grade", "nut"),
    [
        ("B7/2H", "B7", "2H"),
        ("B7-2H", "B7", "2H"),
        ("B7, 2H", "B7", "2H"),
        ("A193-B7+A194-2H", "A193-B7", "A194-2H"),
        ("A193 B7 (A194 2H)", "A193 B7", "A194 2H"),
        ("ASTM A193 B7/A194 2H", "ASTM A193 B7", "A194 2H"),
        ("25CrMo4 / C45E", "25CrMo4", "C45E"),
        ("A4-80/A4", "A4-80", "A4"),
        ("5.6 / 5", "5.6", "5"),
    ],
)
def test_grades_of_stud_and_nut(text: str, grade: str, nut: str) -> None:
    assert parts(text) == {"grade": grade, "nut_grade": nut}


@pytest.mark.parametrize("text", ["B7+Zn", "B7/PTFE", "8.8 / galv.", "10.9 fzv"])
def test_a_coating_is_no_grade_of_the_nuts(text: str) -> None:
    assert "nut_grade" not in parts(text)


@pytest.mark.parametrize(
    ("text", "size", "rating"),
    [
        ("DN 200/40", "DN 200", "40"),
        ('8"-600# RTJ', '8"', "600#"),
        ("NPS 8 Sch 80 CL600", "NPS 8", "CL600"),
        ("NW200/PN40", "NW200", "PN40"),
        ('8" S/600', '8"', "S/600"),
        ("DN 200 Table E", "DN 200", "Table E"),
    ],
)
def test_size_and_class(text: str, size: str, rating: str) -> None:
    assert parts(text) == {"size": size, "rating": rating}


def test_diameters_in_millimetres_are_no_counts(tmp_path: Path) -> None:
    lines = [[f"P-{i}", text, 400] for i, text in enumerate(["24 mm", "20 mm", "20 mm", "16 mm"])]
    told = Answers(accept=True)
    found = read_lines(tmp_path, [["Joint", "Bolts", "Torque Nm"], *lines], answers=told)
    assert columns(found)["Bolts"].field != "studs"


def test_torques_of_an_earlier_time_and_of_loosening_are_never_the_target(tmp_path: Path) -> None:
    heads = [
        "Č. spoje",
        "Poč. šr.",
        "Závit šr.",
        "Povol. moment Nm",
        "Utah. mom. Nm",
        "Tlak čerp. bar",
        "Staré těs.",
        "Nové těsnění",
    ]
    rows = [[f"P-{i}", 8, "M20", 330, 220, 150, "grafit", "spirálové"] for i in range(4)]
    found = columns(read_lines(tmp_path, [heads, *rows]))
    used = {name: each.field for name, each in found.items() if each.used}
    assert used["Utah. mom. Nm"] == "torque"
    assert used["Nové těsnění"] == "gasket"
    assert used["Č. spoje"] == "joint"
    assert not used.keys() & {"Povol. moment Nm", "Tlak čerp. bar", "Staré těs."}


def test_a_year_of_two_figures_in_a_heading_is_an_earlier_time(tmp_path: Path) -> None:
    rows = [[f"P-{i}", 8, "M20", 200, 220] for i in range(4)]
    both = columns(read_lines(tmp_path, [["Joint", "Bolts", "Size", "'19 Torque Nm", "Torque Nm"], *rows]))
    assert (both["'19 Torque Nm"].state, both["Torque Nm"].state) == ("checked against", "sure")
    assert both["'19 Torque Nm"].why.startswith("its heading names 2019: a value of an earlier time")
    alone = columns(read_lines(tmp_path, [["Joint", "Bolts", "Size", "'19 Torque Nm"], *(row[:4] for row in rows)]))
    assert alone["'19 Torque Nm"].state == "proposed"


def test_what_follows_from_another_target_is_not_proposed_before_it(tmp_path: Path) -> None:
    rows = [[f"P-{i}", 8, thread, load, torque] for i, (thread, load, torque) in enumerate(
        [("M20", 98, 294), ("M24", 141, 508), ("M27", 184, 745), ("M20", 98, 294)])]  # fmt: skip
    found = columns(read_lines(tmp_path, [["Joint", "Bolts", "Size", "Load kN", "Equiv. torque Nm"], *rows]))
    assert found["Equiv. torque Nm"].state == "checked against"


@pytest.mark.parametrize(
    "heading", ["No. of nuts", "Anz. Muttern", "Cant. tuercas", "Ilość nakrętek", "Nb écrous", "Antal muttrar"]
)
def test_a_number_of_nuts_is_no_size_across_flats(tmp_path: Path, heading: str) -> None:
    rows = [[f"P-{i}", "M20", 12, 220, count] for i, count in enumerate([24, 36, 32, 24])]
    found = columns(read_lines(tmp_path, [["Joint", "Size", "No. of bolts", "Torque Nm", heading], *rows]))
    assert (found[heading].state, found[heading].why) == ("not used", "the heading speaks of a number of nuts")


@pytest.mark.parametrize(
    "heading", ["Mak. tork Nm", "Coppia eff. Nm", "Act. Trq Nm", "Manom.", "Drehm. alt Nm", "T. diseño"]
)
def test_a_limit_a_record_a_gauge_and_a_temperature_are_no_target(tmp_path: Path, heading: str) -> None:
    rows = [[f"P-{i}", "M20", 12, 220, 240] for i in range(4)]
    found = columns(read_lines(tmp_path, [["Joint", "Size", "No. of bolts", "Torque Nm", heading], *rows]))
    assert found["Torque Nm"].state == "sure"
    assert not found[heading].used


def test_t_is_a_torque_where_no_design_stands_with_it(tmp_path: Path) -> None:
    rows = [
        [f"P-{i}", thread, 12, torque] for i, (thread, torque) in enumerate([("M20", 294), ("M24", 508), ("M27", 745)])
    ]
    found = columns(read_lines(tmp_path, [["Joint", "Size", "No. of bolts", "T calc Nm"], *rows]))
    assert (found["T calc Nm"].field, found["T calc Nm"].unit) == ("torque", "N·m")


@pytest.mark.parametrize(("above", "own"), [("Muttern", "Anz."), ("Nuts", "Qty"), ("Tuercas", "Cant."), ("Dadi", "N.")])
def test_a_count_below_nuts_is_no_count_of_studs(above: str, own: str) -> None:
    assert not strengths(hear(own), hear(above)).get("studs")
    assert strengths(hear(own), hear("Studs"))["studs"] >= 0.8


@pytest.mark.parametrize(
    "own",
    ["Lösen", "Povol.", "Prec.", "Sökme", "Løsne", "Avaus", "Desserr.", "Alt", "Maks.", "Förra", "Ist", "Zmierz."],
)
def test_what_stands_below_a_torque_may_make_it_another(own: str) -> None:
    assert strengths(hear(own), hear("Moment")).get("torque", 0.0) < 0.6
