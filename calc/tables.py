"""The standards' tables in `data/`: each CSV names its source and how it was read, then columns, units, rows.

Line 1 `# source: ...`, line 2 `# read: in a copy / by formula / from memory`, further `#` lines are notes; then the
names, the units (empty for text and plain numbers), and one line per row of the printed table in its own units.
"""

import csv
import pkgutil
from dataclasses import dataclass
from functools import cache
from typing import Any

from calc.units import factor, kinds_of


@dataclass(frozen=True)
class Table:
    """A table in SI: its source, how it was read, and its rows as name-to-value mappings (text stays text)."""

    source: str
    read: str
    rows: tuple[dict[str, Any], ...]


@cache
def load(name: str) -> Table:
    """Read `data/NAME.csv`; numbers of columns that have a unit are converted to SI, blanks become None.

    >>> load("materials_astm").rows[0]["grade"]
    'A193 B7'
    """
    content = pkgutil.get_data("calc", f"data/{name}.csv") or b""
    lines = content.decode("utf-8").splitlines()
    notes = dict(line[1:].split(":", 1) for line in lines if line.startswith("#") and ":" in line)
    notes = {key.strip(): value.strip() for key, value in notes.items()}
    names, units, *rows = csv.reader(line for line in lines if line and not line.startswith("#"))
    factors = [factor(kinds_of(unit)[0], unit) if unit not in ("", "1") else None for unit in units]
    return Table(
        notes["source"],
        notes["read"],
        tuple(
            {
                key: (None if text == "" else text if unit == "" else float(text) * (scale or 1.0))
                for key, unit, scale, text in zip(names, units, factors, row, strict=True)
            }
            for row in rows
        ),
    )
