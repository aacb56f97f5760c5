"""A second language on the cards: a table of English words and theirs, laid over what a card is filled with.

A workbook: column A the English, column B the other language, `{}` for what changes (a number, a name). Numbers and
units are never changed. What the table does not have stands in English and is listed. Cautions and when to stop stand
in English too until the table names who checked it.
"""

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from addin.cells.numbers import plain_text, stands_for_nothing
from addin.forms.tokens import Filling, TemplateError, Value
from addin.workbooks.package import WorkbookError, open_package
from addin.workbooks.shared_texts import READER_FAULTS
from addin.workbooks.value_book import ValueBook

CHECKED_BY = "Checked by"
NOT_CHECKED = "not checked by a native speaker of the trade"
SAFETY = frozenset(("cautions", "stop lines", "attention", "notice", "rule", "stop words", "follows", "void", "hold"))
"""Tokens that stand in English too as long as nobody has checked the table."""
WORDED = SAFETY | frozenset(
    ("operation", "order heading", "circular", "picture legend", "no picture", "set heading", "at set heading",
     "alternates heading", "wrenches heading", "supports", "which", "ticks heading", "more ticks heading", "no ticks",
     "difference", "backup wrench", "target", "limits", "stages note", "stud note", "name", "how", "set", "witness",
     *(f"set heading {number}" for number in range(1, 5)), *(f"set {number}" for number in range(1, 5)),
     *(f"pressure {number}" for number in range(1, 9)))
)  # fmt: skip
"""Tokens that hold words of the program; all others are the list's and the book's own."""
_LONG = 40


class Words:
    """A table of words. `missing` collects what it does not have, `refused` what would change a number."""

    def __init__(self, path: Path, *, beside: bool = False) -> None:
        self.path, self.beside = path, beside
        self.checked_by: str | None = None
        self.missing: dict[str, None] = {}
        self.refused: dict[str, None] = {}
        self._exact: dict[str, str] = {}
        self._patterns: list[tuple[re.Pattern[str], str]] = []
        self._read()
        self._line = lru_cache(maxsize=8192)(self._look_up)

    def _read(self) -> None:
        try:
            package = open_package(self.path)
            rows = list(ValueBook(package)[package.sheets[0].name].iter_rows())
        except WorkbookError as error:
            raise TemplateError(str(error)) from error
        except READER_FAULTS as error:
            raise TemplateError(f"{self.path.name}: cannot be read as a workbook ({type(error).__name__})") from error
        for number, row in enumerate(rows, 1):
            cells = [None if stands_for_nothing(cell) else plain_text(cell) for cell in [*row, None, None][:2]]
            english, other = cells
            if english is None or other is None or number == 1:
                continue
            if english == CHECKED_BY:
                self.checked_by = other
                continue
            english = english.strip()
            if english.count("{}") != other.count("{}"):
                raise TemplateError(f"{self.path.name}, row {number}: '{english}' and '{other}' differ in their {{}}")
            if self._exact.setdefault(english, other) != other:
                raise TemplateError(f"{self.path.name}, row {number}: '{english}' stands twice")
            if "{}" in english:
                pattern = "(.+?)".join(map(re.escape, english.split("{}")))
                self._patterns.append((re.compile(pattern), other))
        if not self._exact:
            raise TemplateError(
                f"{self.path.name}: holds no words: English in column A, the other language in column B"
            )

    def text(self, english: str, *, both: bool = False) -> str:
        """A text in the other language, line by line; `both` : in English too."""
        lines = [(line, self._line(line)) for line in english.split("\n")]
        if not (both or self.beside):
            return "\n".join(other for _, other in lines)
        other = "\n".join(other for line, other in lines if other != line)
        if not other:
            return english
        return f"{english}{' / ' if len(english) + len(other) < _LONG else chr(10)}{other}"

    def fixed(self, english: str) -> str:
        """A text of the form itself."""
        if not re.search(r"[A-Za-z]{2}", english):
            return english
        stripped = english.strip()
        return english.replace(stripped, self.text(stripped))

    def _look_up(self, line: str) -> str:
        mark = "• " if line.startswith("• ") else ""
        bare = line.removeprefix("• ").strip()
        if not re.search(r"[A-Za-z]{2}", bare):
            return line
        found = self._exact.get(bare)
        if found is None:
            for pattern, other in self._patterns:
                if match := pattern.fullmatch(bare):
                    pieces = other.split("{}")
                    given = [self._exact.get(each, each) for each in match.groups()]
                    found = pieces[0] + "".join(a + b for a, b in zip(given, pieces[1:], strict=True))
                    break
        if found is None:
            self.missing[bare] = None
            return line
        if sorted(re.findall(r"\d+", found)) != sorted(re.findall(r"\d+", bare)):
            self.refused[bare] = None
            return line
        return mark + found

    def filled(self, filling: Filling) -> Filling:
        """What a card is filled with, in the other language."""
        values = self._values(filling.values)
        groups = {name: [self._values(row) for row in rows] for name, rows in filling.groups.items()}
        return replace(filling, values=values, groups=groups)

    def _values(self, values: Mapping[str, Value]) -> dict[str, Value]:
        return {
            name: self.text(value, both=name in SAFETY and self.checked_by is None)
            if isinstance(value, str) and name in WORDED
            else value
            for name, value in values.items()
        }

    def notes(self) -> list[str]:
        """What the user should know of the table."""
        said = [] if self.checked_by else [
            f"{self.path.name}: {NOT_CHECKED}; cautions and stop lines stand in English too"
        ]  # fmt: skip
        said += [f"{self.path.name}: would change a number, printed in English: {line}" for line in self.refused]
        if self.missing:
            said.append(f"{self.path.name}: {len(self.missing)} texts are not in it and stand in English:")
            said += [f"  {line}" for line in self.missing]
        return said
