"""Printed tables of `published/`: rows, cells, tolerances. Used by `printed_*.py` and `test_published.py`."""

import csv
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

FOLDER = Path(__file__).parent / "published"
ABOUT = {"source", "basis", "note"}


class Row(dict[str, str]):
    """One printed row; remembers which columns were read, so that none is passed over in silence."""

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
    """One printed value beside ours; `why` says why the tolerance is not half a unit of the last digit."""

    row: Row
    column: str
    printed: str
    ours: float | str
    tolerance: float
    why: str = ""

    def holds(self) -> bool:
        if isinstance(self.ours, str):
            return self.printed == self.ours
        return abs(float(self.printed) - self.ours) <= self.tolerance + 1e-10 * abs(self.ours)

    def __str__(self) -> str:
        return f"line {self.row.number} {self.column}: printed {self.printed}, ours {self.ours} ± {self.tolerance:.3g}"


def half_unit(printed: str, figures: int | None = None) -> float:
    """Half a unit of the last printed digit, or of the last of so many significant figures."""
    if figures and float(printed):
        return 0.5 * 10.0 ** (math.floor(math.log10(abs(float(printed)))) - figures + 1)
    return 0.5 * 10.0 ** -len(printed.partition(".")[2])


def compare(row: Row, column: str, ours: float | str, tolerance: float = 0.0, why: str = "") -> Iterator[Cell]:
    """The printed cell beside ours, unless it is blank."""
    printed = row[column]
    if printed:
        normal = 0.0 if isinstance(ours, str) else half_unit(printed)
        yield Cell(row, column, printed, ours if isinstance(ours, str) else float(ours), tolerance or normal, why)


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
