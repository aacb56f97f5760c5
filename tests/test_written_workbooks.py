"""Every workbook that is shipped or written keeps the order of elements, counts and indices of the standard."""

import zipfile
from pathlib import Path

import pytest
from click.testing import CliRunner
from workbook_order import faults

from addin.cli import main
from addin.shipped import folder

SHIPPED = sorted([*folder("templates").glob("*.xls[xm]"), *folder("samples").glob("*.xlsx")])


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_shipped_workbooks_are_in_order(path: Path) -> None:
    assert faults(path) == []


def test_written_workbooks_are_in_order(tmp_path: Path) -> None:
    samples = folder("samples")
    command = ["plan", samples / "drigrauvex-joints.xlsx", "--wrenches", samples / "drigrauvex-wrenches.xlsx", "--out",
               tmp_path, "--pack", "--extend", "--interaction"]  # fmt: skip
    CliRunner().invoke(main, [str(each) for each in command], catch_exceptions=False)
    CliRunner().invoke(main, ["pack", str(tmp_path / "drigrauvex-joints-plan.json"), "--out", str(tmp_path / "pack")])
    written = sorted(tmp_path.rglob("*.xlsx"))
    assert len(written) > 6
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
