"""Counts, threads and lengths of studs as people write them in one cell, and torques beside those of the joint."""

from pathlib import Path

import pytest
from few_lines import columns, read_lines

TORQUES = [4000, 2650, 1600, 880]


def read(folder: Path, cells: list[str], heading: str) -> list[tuple[str, float]]:
    rows = [[f"P-{i}", "DN300", cell, torque] for i, (cell, torque) in enumerate(zip(cells, TORQUES, strict=True))]
    found = read_lines(folder, [["Joint", "DN", heading, "Torque Nm"], *rows])
    joints = found.rows.joints
    return list(zip(joints.thread, joints.studs.tolist(), strict=True))


@pytest.mark.parametrize(
    ("heading", "cells"),
    [
        ("Visserie", ["16 goujons M48x3 lg 345", "16 goujons M42x3 lg 310",
                      "20 tiges filetées M36x3 lg 280", "32 goujons M30x3 lg 190"]),
        ("Stehbolzen", ["16 Stehbolzen M48x3 L=345", "16 Stehbolzen M42x3 L=310",
                        "20 Stehbolzen M36x3 L=280", "32 Bolzen M30x3 L=190"]),
        ("Śruby / szpilki", ["16 szpilek M48x3 dł. 345", "16 szpilek M42x3 dł. 310",
                             "20 śrub M36x3 dł. 280", "32 śruby M30x3 dł. 190"]),
        ("Espárragos", ["16 espárragos M48x3", "16 espárragos M42x3", "20 pernos M36x3", "32 pernos M30x3"]),
    ],
)  # fmt: skip
def test_a_count_the_kind_of_stud_its_thread_and_its_length(tmp_path: Path, heading: str, cells: list[str]) -> None:
    assert read(tmp_path, cells, heading) == [("M48x3", 16), ("M42x3", 16), ("M36x3", 20), ("M30x3", 32)]


def test_inch_studs_with_their_length_and_grade_in_one_cell(tmp_path: Path) -> None:
    cells = ['28x 3/4" x 70 B7', '12x 7/8" x 120 B7', '20x 1 1/8" x 170 B7', "16x 1 3/8 x 200 B16"]
    assert [studs for _, studs in read(tmp_path, cells, "Bouten")] == [28, 12, 20, 16]
    found = read_lines(
        tmp_path,
        [["Joint", "DN", "Bouten", "Torque Nm"], *([f"P-{i}", "DN300", cell, 300] for i, cell in enumerate(cells))],
    )
    assert found.rows.joints.grade == ("B7", "B7", "B7", "B16")


def test_a_coarse_thread_with_half_a_thread_per_inch(tmp_path: Path) -> None:
    cells = ["2-4 1/2UNC x 11", "1 3/4-5UNC x 9 1/2", "1-8UNC x 7", "1 1/4-7UNC x 4"]
    rows = [[f"P-{i}", 16, cell, 500] for i, cell in enumerate(cells)]
    found = read_lines(tmp_path, [["Joint", "No.", "Size x lg", "Torque ft-lb"], *rows])
    assert found.rows.joints.thread[0] == "2-4 1/2UNC"
    assert "" not in found.rows.joints.thread


def test_the_torque_of_a_packing_gland_is_none_of_the_joint(tmp_path: Path) -> None:
    heads = [["Valvola", "Tiranti", None, "Coppia", "Premistoppa"], [None, "n°", "filetto", "Nm", "coppia dadi Nm"]]
    rows = [[f"V-{i}", 16, "M24", 380, 40] for i in range(4)]
    found = columns(read_lines(tmp_path, [*heads, *rows]))
    assert found["Coppia / Nm"].state == "sure"
    assert (found["Premistoppa / coppia dadi Nm"].state, found["Premistoppa / coppia dadi Nm"].why) == (
        "not used", "the heading speaks of the gland of a packing",
    )  # fmt: skip


def test_rows_with_a_stress_and_rows_with_their_makers_torque_have_each_their_target(tmp_path: Path) -> None:
    lines = [
        ["stress on the tensile area"],
        ["Joint", "Qty", "Stud", "TGT KSI", "OEM FT-LB"],
        ["P-1", 20, "1 1/2-8UN", 50, None],
        ["P-2", 20, "1 3/8-8UN", 50, None],
        ["P-3", 16, "1 1/8-8UN", None, 530],
        ["P-4", 16, "1 1/4-8UN", None, 760],
    ]
    found = columns(read_lines(tmp_path, lines))
    assert {name: found[name].state for name in ("TGT KSI", "OEM FT-LB")} == {"TGT KSI": "sure", "OEM FT-LB": "sure"}


def test_a_note_gives_torques_in_kilogram_metres(tmp_path: Path) -> None:
    lines = [
        ["All torque values in Kg-Mtr"],
        ["Joint", "Qty", "Stud", "Torque"],
        *([f"P-{i}", 16, "M36x3", 145] for i in range(4)),
    ]
    assert columns(read_lines(tmp_path, lines))["Torque"].unit == "kgf·m"


def test_a_count_with_a_bracket_behind_it_and_a_grade_behind_a_dash(tmp_path: Path) -> None:
    cells = ["16) 1 X 5-1/4", "28) 3/4 X 3", "20) 1-1/8 X 6-1/4", "12) 7/8 X 4-1/2"]
    assert [studs for _, studs in read(tmp_path, cells, "STUDS")] == [16, 28, 20, 12]
    cells = ["16 x M42 x 260 – 10.9", "48 x M48 x 220 – 8.8", "8 x M56 x 310 – 8.8", "12 x M30 x 150 – 10.9"]
    rows = [[f"P-{i}", "DN300", cell, 1000] for i, cell in enumerate(cells)]
    heading = "Parafusos (qt. x diâm. x comp. – classe)"
    found = columns(read_lines(tmp_path, [["Joint", "DN", heading, "Torque Nm"], *rows]))[heading]
    assert (found.state, found.field, sorted(found.also)) == ("sure", "thread", ["grade", "length", "studs"])


def test_diameters_of_studs_in_turkish_are_no_sizes_of_pipes(tmp_path: Path) -> None:
    heads = [["Ekipman", "Flanş yeri", "Çap", "Saplama", None, "Sıkma torku (Nm)", "İş emri no"],
             [None] * 3 + ["Adet", "Çap (inç)"]]  # fmt: skip
    sizes = [("Ø1100", "1 1/4", 985), ('12"', "1 1/8", 700), ('8"', "7/8", 310)]
    rows = [[f"E-{i}", f"N{i}", size, 20, stud, torque, f"7001{i}"] for i, (size, stud, torque) in enumerate(sizes)]
    found = columns(read_lines(tmp_path, [*heads, *rows], "D1:E1"))
    for name, field in (
        ("Saplama / Çap (inç)", "thread"),
        ("Sıkma torku (Nm)", "torque"),
        ("İş emri no", "work_order"),
    ):
        assert (found[name].state, found[name].field) == ("sure", field)


def test_numbers_of_rows_are_no_sizes_of_pipes(tmp_path: Path) -> None:
    rows = [[i + 1, f"J-{i}", '24" 300', "24 - 1-1/2 x 9", 2000] for i in range(6)]
    found = columns(
        read_lines(tmp_path, [["Ln", "Joint", "Size & class", "Studs (qty - dia x lg)", "Torque ft-lb"], *rows])
    )
    assert found["Ln"].field != "size"


def test_the_torque_of_a_later_retightening_is_proposed_where_no_other_stands(tmp_path: Path) -> None:
    rows = [[f"J-{i}", "8 no. M24 x 120 gr 8.8", 300 + i, None] for i in range(4)]
    found = columns(read_lines(tmp_path, [["Flanged joint", "Fixings", "Re-torque to Nm", "Found Nm"], *rows]))
    assert (found["Re-torque to Nm"].state, found["Re-torque to Nm"].field) == ("proposed", "torque")


def test_a_pressure_of_the_tool_is_no_design_pressure(tmp_path: Path) -> None:
    rows = [[f"J-{i}", 20, '1 5/8"', 370, 980, 850] for i in range(4)]
    heads = [
        ["Flangenr.", "Bolte", None, "Opspænding", None, None],
        [None, "stk", "dim.", "Moment Nm", "Tryk A bar", "Tryk B bar"],
    ]
    found = columns(read_lines(tmp_path, [*heads, *rows], "B1:C1", "D1:F1"))
    assert not [name for name, column in found.items() if column.field == "design_pressure"]


def test_the_torque_of_the_last_season_is_none_and_that_of_now_is(tmp_path: Path) -> None:
    heads = [
        ["TAG", "UNIÃO", "FIXADOR", None, "APERTO", None],
        [None, None, "Qtd", "Bitola (pol)", "Safra ant.", "Atual"],
    ]
    rows = [["TM-01", f"Castelo {i}", 16, size, torque * 0.9, torque]
            for i, (size, torque) in enumerate([("1 1/4", 110), ("1 1/8", 80), ("7/8", 37), ("3/4", 23)])]  # fmt: skip
    found = columns(read_lines(tmp_path, [["Valores de aperto em kgf.m"], *heads, *rows], "C2:D2", "E2:F2"))
    assert found["APERTO / Safra ant."].field is None
    assert (found["APERTO / Atual"].field, found["APERTO / Atual"].unit) == ("torque", "kgf·m")


def test_the_gasket_that_came_out_is_not_shown_as_the_one_to_fit(tmp_path: Path) -> None:
    rows = [[f"5F-02{i}", 8, '3/4"', "Fibre 3 mm", "PTFE filled sheet", 150] for i in range(4)]
    heads = ["Flange tag", "Studs", "Size", "Gasket out", "Gasket in", "Torque ft-lb"]
    found = columns(read_lines(tmp_path, [heads, *rows]))
    assert found["Gasket out"].field is None


def test_kinds_of_tool_are_no_wrench_of_the_book_surely(tmp_path: Path) -> None:
    heads = ["Tag", "Bolter", "Dim.", "Moment Nm", "Verktøy"]
    rows = [[f"FL-3-0{i}", 12, "M30x3.5", 900, kind] for i, kind in enumerate("SSMM")]
    found = columns(read_lines(tmp_path, [["M = momentverktøy, S = strekkeverktøy"], heads, *rows]))
    assert (found["Verktøy"].state, found["Verktøy"].field) != ("sure", "wrench")


def test_a_count_in_brackets_before_the_stud(tmp_path: Path) -> None:
    cells = [
        "(20) 1-1/4 x 7-1/4 B8M CL.2",
        "(16) 1-1/8 x 7-1/2 B8M CL.2",
        "(12) 7/8 x 6-1/4 B8M CL.2",
        "(8) 3/4 x 4 B7",
    ]
    assert [studs for _, studs in read(tmp_path, cells, "Bolting")] == [20, 16, 12, 8]


def test_open_and_closed_points_of_a_list_name_no_operation(tmp_path: Path) -> None:
    rows = [[f"F0{i}", 8, "M24", 400, "Open"] for i in range(4)]
    found = read_lines(tmp_path, [["Joint tag", "Qty", "Stud", "Torque Nm", "Open / Closed"], *rows])
    assert columns(found)["Open / Closed"].state == "not used"
    assert found.understood.waiting == ()


def test_the_last_pass_in_portuguese_is_the_target(tmp_path: Path) -> None:
    heads = [
        ["Junta", "Estojos", None, "Torque (kgf.m)"],
        [None, "qtd", "diâm. (pol)", "1º passo", "2º passo", "3º passo (final)"],
    ]
    rows = [[f"J-{i}", 24, size, torque * 0.3, torque * 0.6, torque] for i, (size, torque) in enumerate(
        [("1 5/8", 265), ("1 1/2", 200), ("1 1/4", 115), ("7/8", 40)])]  # fmt: skip
    found = columns(read_lines(tmp_path, [*heads, *rows], "B1:C1", "D1:F1"))
    assert [column.field for name, column in found.items() if "passo" in name] == [None, None, "torque"]


def test_days_under_break_are_no_operation(tmp_path: Path) -> None:
    rows = [[f"F0{i}", 8, "M24", 400, f"2027-04-{20 + i}"] for i in range(4)]
    found = columns(read_lines(tmp_path, [["Joint tag", "Qty", "Stud", "Torque Nm", "Break"], *rows]))
    assert found["Break"].field != "operation"


def test_a_count_a_metric_stud_and_a_steel_of_the_en_in_one_cell(tmp_path: Path) -> None:
    cells = ["24 kpl M36x1450 34CrNiMo6", "12 kpl M27x130 25CrMo4", "20 kpl M39x190 25CrMo4", "8 kpl M24x115 A4-80"]
    rows = [[f"P-{i}", "DN300", cell, 1000] for i, cell in enumerate(cells)]
    found = read_lines(tmp_path, [["Joint", "DN", "Pultit", "Torque Nm"], *rows])
    assert found.rows.joints.studs.tolist() == [24, 12, 20, 8]
    assert found.rows.joints.grade[1] == "25CrMo4"
