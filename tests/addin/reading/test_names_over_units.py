"""Rows below the names: units of one column or of several that share a name, or shares of the torque."""

from pathlib import Path

from few_lines import columns, read_lines

ROWS = [[f"P-{i}", size, 12, "B7", *torques] for i, (size, *torques) in enumerate([
    ("1", 122, 243, 405), ("1 1/4", 243, 486, 810), ("1 3/8", 333, 666, 1110), ("7/8", 81, 162, 270)])]  # fmt: skip
HEADS = ["Joint", "Stud", "Qty", "Grade", "Torque ft-lb", None, None]


def test_shares_of_the_torque_below_one_name_are_names_of_columns(tmp_path: Path) -> None:
    for merged in ((), ("E1:G1",)):
        found = columns(read_lines(tmp_path, [HEADS, [None] * 4 + ["30%", "60%", "100%"], *ROWS], *merged))
        assert {name: found[name].state for name in list(found)[4:]} == {
            "Torque ft-lb / 30%": "not used", "Torque ft-lb / 60%": "not used", "Torque ft-lb / 100%": "sure",
        }  # fmt: skip


def test_a_merged_name_over_two_units_names_two_columns(tmp_path: Path) -> None:
    rows = [[*row[:4], row[6], round(row[6] * 1.3558)] for row in ROWS]
    heads = [[*HEADS[:4], "Torque", None], [None] * 4 + ["ft-lb", "Nm"]]
    found = columns(read_lines(tmp_path, [*heads, *rows], "E1:F1"))
    used = {name: (found[name].state, found[name].unit) for name in list(found)[4:]}
    assert used.keys() == {"Torque / ft-lb", "Torque / Nm"}
    assert {unit for _, unit in used.values()} == {"lbf·ft", "N·m"}


def test_roman_numbers_below_a_torque_are_its_passes(tmp_path: Path) -> None:
    heads = [[*HEADS[:4], "Torque [ft-lb]", None, None], [None] * 4 + ["I.", "II.", "III."]]
    found = columns(read_lines(tmp_path, [*heads, *ROWS], "E1:G1"))
    assert [column.field for column in list(found.values())[4:]] == [None, None, "torque"]


def test_a_row_of_units_with_forms_of_cells_and_places_to_sign(tmp_path: Path) -> None:
    heads = ["Item", "Location", "Fastener", "Spec", "Torque", "Skt", "By"]
    units = ["no.", None, "qty - dia-TPI x lg", None, "ft.lb", "AF in", "sign"]
    rows = [[i + 1, f"Cyl {i} HE head", "12 - 7/8-9 x 4", "A193 B7", 230, "1 7/16", None] for i in range(4)]
    read = read_lines(tmp_path, [heads, units, *rows])
    assert read.numbers == (3, 4, 5, 6)
    assert read.rows.joints.studs.tolist() == [12] * 4
    found = columns(read)
    assert found["Torque / ft.lb"].unit == "lbf·ft"


def test_a_share_of_the_yield_in_the_row_of_units_is_a_percentage(tmp_path: Path) -> None:
    heads = ["Flange ID", "Size", "Dia", "Lgth", "Qty", "Mat'l", "Bolt stress", "Tightening"]
    units = [None, "inch", "inch", "mm", "nos", None, "% SMYS", "sign"]
    rows = [[f"GTP-FL-10{i}", "12", "2", "390", 16, "B7M", "55", None] for i in range(4)]
    found = columns(read_lines(tmp_path, [heads, units, *rows]))
    assert found["Bolt stress / % SMYS"].field == "percent"


def test_a_load_of_one_tie_rod_in_the_row_of_units(tmp_path: Path) -> None:
    heads = ["Tub.", "DN", "Tirants (nb x Ø x L)", "Couple", "Effort"]
    rows = [[f"N{i}", 500, "20 x M30 x 150", 80, 168] for i in range(4)]
    found = columns(read_lines(tmp_path, [heads, [None, "mm", None, "daN.m", "kN/tirant"], *rows]))
    assert found["Couple / daN.m"].unit == "daN·m"


def test_a_sentence_in_capitals_ends_at_its_point(tmp_path: Path) -> None:
    note = "USE THE MOLY COLUMN. Dry values only so nobody over-does it."
    heads = [*HEADS[:4], "Torque ft-lb moly", "Torque ft-lb dry"]
    rows = [[*row[:4], row[6], round(1.5 * row[6])] for row in ROWS]
    found = columns(read_lines(tmp_path, [[note], heads, *rows]))
    assert (found["Torque ft-lb moly"].field, found["Torque ft-lb dry"].state) == ("torque", "not used")


def test_a_class_under_flange_and_a_number_sign_counts_no_flanges(tmp_path: Path) -> None:
    heads = [["Joint ID", "Flange", None, "Bolting", None, "Torque (ft-lb)"], [None, "Size", "#", "Nos", "Dia", None]]
    joints = [('16"', "600", "20", '1 1/2"', 1405), ('8"', "300", "12", '7/8"', 260), ('6"', "600", "12", '1"', 380)]
    rows = [[f"T2-J-00{i}", *joint] for i, joint in enumerate(joints)]
    found = columns(read_lines(tmp_path, [*heads, *rows], "B1:C1", "D1:E1"))
    assert (found["Flange / #"].field, found["Bolting / Nos"].state) == ("rating", "sure")
