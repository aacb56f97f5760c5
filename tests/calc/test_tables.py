"""The standards' tables: every one loads, and no figure stands without its source and how it was read."""

from pathlib import Path

import pytest

import calc
from calc.tables import load
from calc.units import factor

NAMES = sorted(path.stem for path in (Path(calc.__file__).parent / "data").glob("*.csv"))
READ = ("read in a copy", "from memory", "common practice, no source", "in a copy", "by formula")


@pytest.mark.parametrize("name", NAMES)
def test_every_figure_has_a_source_and_says_how_it_was_read(name: str) -> None:
    table = load(name)
    each_row = table.read.startswith("as each row says")

    assert table.source
    assert table.rows
    assert each_row or table.read.startswith(READ), table.read
    for row in table.rows:
        assert not each_row or (row["source"] and str(row["basis"]).startswith(READ)), row


def test_units_of_the_printed_page_become_si_and_blanks_stay_blank() -> None:
    row = next(row for row in load("materials_astm").rows if row["grade"] == "A453 660")

    assert row["yield"] == 85 * factor("stress", "ksi")
    assert row["to"] is None
    assert load("flanges_b165").rows[0]["studs"] == 4.0
