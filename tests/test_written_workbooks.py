"""Every workbook that is shipped or written keeps the order of elements, counts and indices of the standard."""

import zipfile
from pathlib import Path

import pytest
import small_plans
from click.testing import CliRunner
from workbook_order import faults

from addin.cli import main
from addin.shipped import folder

SHIPPED = sorted([*folder("templates").glob("*.xls[xm]"), *folder("samples").glob("*.xlsx")])


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_shipped_workbooks_are_in_order(path: Path) -> None:
    assert faults(path) == []


def test_written_workbooks_are_in_order(tmp_path: Path) -> None:
    """Of joints of every kind: cards, the planned copy with our columns in its area, the engineer's workbook."""
    joint, hand, several = small_plans.joint, small_plans.hand, small_plans.several
    broken = joint("D", "break", **small_plans.BROKEN)
    rows = [joint("A"), joint("B", "retighten"), hand("C"), broken, several("E"), joint("F", thread="1 17/8")]
    small_plans.write_list(tmp_path / "list.xlsx", rows)
    small_plans.write_book(tmp_path / "book.xlsx", ("HW-3", "HW-4"))
    out = tmp_path / "out"
    command = ["plan", tmp_path / "list.xlsx", "--wrenches", tmp_path / "book.xlsx", "--out", out, "--extend",
               "--interaction"]  # fmt: skip
    planned = CliRunner().invoke(main, [str(each) for each in command], catch_exceptions=False)
    assert "6 rows: 5 planned" in planned.output, planned.output
    CliRunner().invoke(main, ["pack", str(out / "list-plan.json"), "--out", str(out / "pack")])
    written = sorted(out.rglob("*.xlsx"))
    assert len(written) > 8, written
    assert {path.name: faults(path) for path in written if faults(path)} == {}


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (b"<sheetData", b"<pageMargins/><sheetData", "elements of worksheet are out of order"),
        (b' s="1"', b' s="999"', "has format 999"),
    ],
)
def test_what_is_out_of_order_is_found(tmp_path: Path, old: bytes, new: bytes, words: str) -> None:
    broken = tmp_path / "broken.xlsx"
    with zipfile.ZipFile(SHIPPED[0]) as source, zipfile.ZipFile(broken, "w") as target:
        for name in source.namelist():
            content = source.read(name)
            target.writestr(name, content.replace(old, new, 1) if "worksheets/sheet" in name else content)
    assert any(words in fault for fault in faults(broken))
