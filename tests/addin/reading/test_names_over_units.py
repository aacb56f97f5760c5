"""Rows below the names: units of one column or of several that share a name, or shares of the torque."""

from pathlib import Path

from tests.few_lines import columns, read_lines

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
