"""Tables of `published/`: rows, cells, tolerances, how each value was had."""

import csv
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

FOLDER = Path(__file__).parent / "published"
ABOUT = {"source", "basis", "note"}
BASES = {
    "read in a copy": "read in a copy",
    "by formula": "by formula",
    "by formula, as the rows read": "by formula",
    "by definition": "by definition",
    "from memory": "from memory",
    "from memory, formula agrees": "from memory",
}
"""basis of a row: what its values are counted as"""
_WORKED_OUT = ("formula", "rule", "friction_form", "bolt_load", "d2_mm", "d3_mm", "D1_mm", "A3_core", "Ar_d_minus")
"""Columns that were worked out for the file and stand in no copy that was read, by a part of their names."""


class Row(dict[str, str]):
    """One row; remembers which columns were read, so that none is passed over in silence."""

    def __init__(self, number: int, cells: dict[str, str]) -> None:
        super().__init__(cells)
        self.number, self.read = number, set[str]()

    def __getitem__(self, column: str) -> str:
        self.read.add(column)
        return super().__getitem__(column)

    def number_in(self, column: str) -> float:
        return float(self[column])


@dataclass
class Cell:
    """One value of a table beside ours; `why` says why the tolerance is not half a unit of the last digit."""

    row: Row
    column: str
    stated: str
    ours: float | str
    tolerance: float
    why: str = ""

    def holds(self) -> bool:
        if isinstance(self.ours, str):
            return self.stated == self.ours
        return abs(float(self.stated) - self.ours) <= self.tolerance + 1e-10 * abs(self.ours)

    def basis(self) -> str:
        """How the value was had: "read in a copy", "by formula", "by definition" or "from memory"."""
        if any(part in self.column for part in _WORKED_OUT):
            return "by formula"
        if "Ar_minor" in self.column and "root area from memory" in dict.get(self.row, "note", ""):
            return "from memory"
        return BASES[self.row.get("basis", "")]

    def __str__(self) -> str:
        return f"line {self.row.number} {self.column}: table {self.stated}, ours {self.ours} ± {self.tolerance:.3g}"


def half_unit(stated: str, figures: int | None = None) -> float:
    """Half a unit of the last digit given, or of the last of so many significant figures."""
    if figures and float(stated):
        return 0.5 * 10.0 ** (math.floor(math.log10(abs(float(stated)))) - figures + 1)
    return 0.5 * 10.0 ** -len(stated.partition(".")[2])


def compare(row: Row, column: str, ours: float | str, tolerance: float = 0.0, why: str = "") -> Iterator[Cell]:
    """The cell beside ours, unless it is blank."""
    stated = row[column]
    if stated:
        normal = 0.0 if isinstance(ours, str) else half_unit(stated)
        yield Cell(row, column, stated, ours if isinstance(ours, str) else float(ours), tolerance or normal, why)


def rows_of(name: str) -> list[Row]:
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return [Row(line, cells) for line, cells in enumerate(csv.DictReader(file), start=2)]


Check = Callable[[Row], Iterator[Cell]]
CHECKS: dict[str, Check] = {}


def table(name: str) -> Callable[[Check], Check]:
    def keep(check: Check) -> Check:
        CHECKS[name] = check
        return check

    return keep


def fraction(text: str) -> float:
    whole, _, part = text.rpartition("-")
    top, _, bottom = part.partition("/")
    return float(whole or 0) + float(top) / float(bottom or 1)
