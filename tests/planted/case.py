"""A row of a right list that may be spoilt, the register of mistakes, and slips of the fingers."""

import random
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from plant import INCH_STUDS, Plant, Row

Words = list[list[str]]  # a sentence names the thing when it holds a word of each group


@dataclass
class Case:
    """A row: itself (a copy that may be spoilt), the whole list, and where it stands.

    A mistake may say in the row what would be right: "_right", the right torque over the old one, or "_torque" [N·m].
    """

    rng: random.Random
    row: Row
    plant: Plant
    at: int

    @property
    def target(self) -> str:
        """Field of the list's target."""
        return self.plant.style.target

    @property
    def unit(self) -> str:
        """Unit of the list's target."""
        return self.plant.style.unit

    @property
    def inch(self) -> str | None:
        """Nominal size of an inch stud."""
        return next((key for key, value in INCH_STUDS.items() if value[0] == self.row["thread"]), None)

    def has(self, *fields: str) -> bool:
        """Whether the list has columns for all of these, filled in this row (remarks may be empty)."""
        columns = {name for _, name in self.plant.style.headings}
        return all(name in columns and (self.row.get(name) is not None or name == "remarks") for name in fields)

    def other(self, name: str, near: bool = False) -> Any:
        """A different value of that field, of a neighbouring row or of any."""
        rows = self.plant.rows[max(self.at - 4, 0) : self.at + 5] if near else self.plant.rows
        values = [row[name] for row in rows if row.get(name) is not None and row[name] != self.row[name]]
        return self.rng.choice(values) if values else None


Spoil = Callable[[Case], Any]
MISTAKES: dict[str, tuple[Spoil, Words, str]] = {}
"""Name -> how the row is spoilt (False where it cannot be), words of a caution that names the thing, and where a
careful colleague could see it: "row" (the row alone), "list" (the other rows), "book" (with the wrench book), "file"
(what the workbook stores beside the value), "nothing" (only the source document shows it)."""


def field(name: str, at: str, change: Callable[[Case, Any], Any], words: Words, shown: str, needs: str = "") -> None:
    """A mistake in one field, where the list has it; `at` may be "target". None, or the same again: does not apply."""

    def spoil(case: Case) -> bool:
        key = case.target if at == "target" else at
        if not case.has(key, *needs.split()):
            return False
        new = change(case, case.row[key])
        if new is None or new == case.row[key] or (isinstance(new, (int, float)) and new <= 0):
            return False
        case.row[key] = new
        return True

    assert name not in MISTAKES
    MISTAKES[name] = (spoil, words, shown)


def number_like(value: float, digits: str) -> float | int:
    """A number again, whole where the first was."""
    return float(digits) if isinstance(value, float) and not value.is_integer() else int(float(digits))


def swap(rng: random.Random, value: float) -> float | None:
    """Two neighbouring digits changed over."""
    text = f"{value:g}" if value < 1e6 else str(int(value))
    places = [n for n in range(len(text) - 1) if text[n] != text[n + 1] and "." not in text[n : n + 2]]
    places = [n for n in places if not (n == 0 and text[1] == "0")]
    if not places:
        return None
    n = rng.choice(places)
    return number_like(value, text[:n] + text[n + 1] + text[n] + text[n + 2 :])


def hit(rng: random.Random, value: float, pad: dict[str, str]) -> float | None:
    """One significant digit typed on the key beside it."""
    text = f"{value:g}" if value < 1e6 else str(int(value))
    last = len(text.rstrip("0")) if "." not in text else len(text)
    n = rng.choice([n for n in range(last) if text[n] in pad])
    digits = text[:n] + rng.choice(pad[text[n]]) + text[n + 1 :]
    return None if float(digits) <= 0 else number_like(value, digits)


ROW = {"1": "2", "2": "13", "3": "24", "4": "35", "5": "46", "6": "57", "7": "68", "8": "79", "9": "80", "0": "9"}
PAD = {
    "1": "24",
    "2": "135",
    "3": "26",
    "4": "157",
    "5": "2468",
    "6": "359",
    "7": "48",
    "8": "579",
    "9": "68",
    "0": "12",
}
