"""Every row of every table in `published/` against the program.

Tolerance: half a unit of the last digit given. Where a table is rounded or adjusted, the wider tolerance
stands beside its check (`printed_hardware.py`, `printed_preload.py`) with its reason. Tables and rows that nothing
computes are listed here with the reason.
"""

import sys
from collections import Counter
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))  # pytest, looking for doctests, imports this file by its path
import printed_hardware  # noqa: E402, F401  each registers its checks
import printed_preload  # noqa: E402, F401
from printed import ABOUT, BASES, CHECKS, FOLDER, rows_of  # noqa: E402

UNUSED_TABLES: dict[str, str] = {}
UNUSED_ROWS: dict[str, dict[int, str]] = {
    "cad_flanges": dict.fromkeys((21, 42, 54, 75), "NPS 22 has no row of ours"),
    "cad_nuts": {11: "M14 of ISO 4033 has no row of ours"},
}
"""table: {line of the file: reason}"""


def test_the_readme_counts_what_was_read_apart_from_what_was_remembered() -> None:
    bases = Counter(
        cell.basis()
        for name, check in CHECKS.items()
        for row in rows_of(name)
        if row.number not in UNUSED_ROWS.get(name, {})
        for cell in check(row)
    )
    said = f"{bases.total()} values with published tables: " + ", ".join(f"{n} {b}" for b, n in bases.most_common())

    readme = (FOLDER.parents[1] / "README.md").read_text(encoding="utf-8")
    assert said in " ".join(readme.split())


def test_a_table_from_memory_never_counts_as_read() -> None:
    counted = {
        name: {cell.basis() for row in rows_of(name) for cell in CHECKS[name](row)}
        for name in ("vdi2230_A1_coarse", "bearing_vdi_inputs", "tightening_sequences")
    }

    assert counted == {
        "vdi2230_A1_coarse": {"from memory", "by formula"},
        "bearing_vdi_inputs": {"from memory"},
        "tightening_sequences": {"from memory"},
    }


@pytest.mark.parametrize("name", sorted(CHECKS))
def test_published(name: str, published_counts: dict[str, str], by_basis: Counter[str]) -> None:
    rows = rows_of(name)
    out, stated, bases = [], Counter[str](), Counter[str]()
    read: set[str] = set()
    for row in rows:
        cells = [] if row.number in UNUSED_ROWS.get(name, {}) else list(CHECKS[name](row))
        read |= row.read
        assert cells or row.number in UNUSED_ROWS.get(name, {}), f"line {row.number} is compared with nothing"
        out += [str(cell) for cell in cells if not cell.holds()]
        bases.update(cell.basis() for cell in cells)
        stated.update(cell.why for cell in cells if cell.why and cell.why != "exact")
    left_out = UNUSED_ROWS.get(name, {})
    line = f"{len(rows) - len(left_out)} of {len(rows)} rows, {bases.total()} values: "
    line += ", ".join(f"{count} {basis}" for basis, count in sorted(bases.items()))
    line += "".join(f"; {count} with a stated tolerance ({why})" for why, count in stated.items())
    line += "".join(f"; line {number} left out: {why}" for number, why in left_out.items())
    differs = sum(bool(row.get("differs")) for row in rows) - len(left_out)
    line += f"; {differs} rows where the library differs by an error of its own" if "differs" in rows[0] else ""
    published_counts[name] = line
    by_basis.update(bases)
    assert not out, "\n".join(out)
    assert set(rows[0]) - ABOUT - read == set(), "columns that no check has read"


def test_every_table_is_used_or_listed(published_counts: dict[str, str]) -> None:
    files = {path.stem for path in FOLDER.glob("*.csv")}
    published_counts.update({name: f"not used: {why}" for name, why in UNUSED_TABLES.items()})

    assert files == set(CHECKS) | set(UNUSED_TABLES)
    assert not set(CHECKS) & set(UNUSED_TABLES)


def test_every_row_names_its_source_and_basis() -> None:
    for path in sorted(FOLDER.glob("*.csv")):
        for row in rows_of(path.stem):
            assert row["source"], f"{path.name} line {row.number}"
            assert row["basis"] in BASES, f"{path.name} {row.number}"


def test_no_value_from_memory_is_called_printed() -> None:
    for folder in (FOLDER, FOLDER.parents[1] / "calc" / "data"):
        for path in sorted(folder.glob("*.csv")):
            for number, text in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
                said = text.replace("no printed value claimed", "")
                assert "from memory" not in said or "printed" not in said.lower(), f"{path.name} line {number}"
