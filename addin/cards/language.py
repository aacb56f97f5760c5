"""A second language on what is printed: a table of English words and theirs, laid over what a form is filled with.

A workbook: column A the English, column B the other language, `{}` for what changes (a number, a name). Numbers and
units are never changed. What the table does not have stands in English and is listed. Cautions and when to stop stand
in English too until the table names who checked it.
"""

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from xml.sax.saxutils import escape

from addin.cards.card_record import BANDS
from addin.cards.card_tokens import MOST_SHOWN
from addin.cards.stud_circle import CLOCKWISE
from addin.cells.numbers import plain_text, stands_for_nothing
from addin.forms.tokens import Filling, Picture, TemplateError, Value
from addin.plan.usual_cautions import USUAL
from addin.workbooks.package import WorkbookError, open_package
from addin.workbooks.shared_texts import READER_FAULTS
from addin.workbooks.value_book import ValueBook

CHECKED_BY = "Checked by"
NOT_CHECKED = "not checked by a native speaker of the trade"
SAFETY = frozenset(
    ("cautions", "stop lines", "attention", "notice", "rule", "stop words", "follows", "void", "hold", "not turned",
     "turned")
)  # fmt: skip
"""Tokens that stand in English too as long as nobody has checked the table."""
WORDED = SAFETY | frozenset(
    ("operation", "order heading", "circular", "picture legend", "no picture", "set heading", "at set heading",
     "alternates heading", "wrenches heading", "supports", "which", "no ticks", "reached heading", "after",
     *(f"{band} heading" for band in BANDS),
     "difference", "backup wrench", "target", "limits", "range", "stages note", "stud note", "name", "part", "how",
     "set", "witness",
     *(f"set heading {number}" for number in range(1, 5)), *(f"set {number}" for number in range(1, 7)),
     *(f"alternate pass {number}" for number in range(1, MOST_SHOWN + 1)),
     *(f"pressure {number}" for number in range(1, 9)))
)  # fmt: skip
"""Tokens of a card that hold words of the program; all others are the list's and the book's own."""
WORKED = frozenset(
    ("what", "note", "on card", "left out", "pattern", "passes heading", "pass torque heading",
     "pass pressure heading", "pass torque there heading", "break heading", "supports", "date", "operation")
)  # fmt: skip
"""Tokens of the page behind a card that hold words of the program; formulas and numbers stay as they are."""
SHEETS_WORDED = frozenset(
    ("ends at", "lowest from", "finding heading", "uses", "certified range", "how counted", "shown", "reconciles",
     "date", "status", "reason",
     "operation", "text", "supports", *(f"cautions {kind}" for kind in USUAL))
)  # fmt: skip
"""Tokens of the other sheets that hold words of the program."""
PERHAPS_WORDED = frozenset(
    ("lowest rating", "links", "kind", "serial number", "certificate", "calibrated", "valid until", "hose", "pump",
     "rated pressure", "hose rated pressure", "pump rated pressure", "gauge range", "gauge class", "gauge certificate",
     "gauge valid until", "torque limit", "area", "item", "for", "day", "wrench", "new card", "link", "gauge",
     "ratings", "words", "washers", "stud condition", "source", "tools")
)  # fmt: skip
"""Tokens that hold a name of the list or the book, or words where there is none; a name is not missing in the table."""
SHEETS_SAFETY = frozenset((*(f"cautions {kind}" for kind in USUAL), "text", "reason"))
_UNITS = frozenset(("lbf·ft", "lbf·in", "N·m", "kN·m", "psi", "ksi", "bar", "MPa", "kN", "lbf", "mm", "in"))
_LONG = 40
_LEAST = 4
"""Letters that a pattern must have of its own: with fewer it would fit any text."""


class Words:
    """A table of words. `missing` collects what it does not have, `refused` what would change a number."""

    def __init__(self, path: Path, *, beside: bool = False) -> None:
        self.path, self.beside = path, beside
        self.checked_by: str | None = None
        self.missing: dict[str, None] = {}
        self.refused: dict[str, None] = {}
        self._exact: dict[str, str] = {}
        self._patterns: list[tuple[str, re.Pattern[str], str]] = []
        self._read()
        self._patterns.sort(key=lambda each: -len(each[1].pattern))  # what says most fits best
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
            english = " ".join(english.split())
            if english.count("{}") != other.count("{}"):
                raise TemplateError(f"{self.path.name}, row {number}: '{english}' and '{other}' differ in their {{}}")
            if self._exact.setdefault(english, other) != other:
                raise TemplateError(f"{self.path.name}, row {number}: '{english}' stands twice")
            pieces = english.split("{}")
            if len(pieces) > 1 and sum(map(str.isalpha, "".join(pieces))) >= _LEAST:
                pattern = "(.+?)".join(map(re.escape, pieces))
                self._patterns.append((max(pieces, key=len), re.compile(pattern), other))
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
        if len(english) + len(other) < _LONG:
            return f"{english} / {other.removeprefix(', ')}"
        return f"{english}\n{other}"

    def fixed(self, english: str) -> str:
        """A text of the form itself."""
        if not re.search(r"[A-Za-z]{2}", english):
            return english
        stripped = english.strip()
        return english.replace(stripped, self.text(stripped))

    def _look_up(self, line: str) -> str:
        mark = "• " if line.startswith("• ") else ""
        bare = " ".join(line.removeprefix("• ").split())
        if not re.search(r"[A-Za-z]{2}", bare) or re.sub(r"^[\d.,−-]+ ", "", bare) in _UNITS:
            return line
        found = self._known(bare)
        if found is None and "; " in bare:
            return mark + "; ".join(self._line(part) for part in bare.split("; "))
        if found is None:
            self.missing[bare] = None
            return line
        if _figures(found) != _figures(bare):
            self.refused[bare] = None
            return line
        return mark + found

    def _known(self, bare: str) -> str | None:
        """A text of the table, or one that fits a pattern of it."""
        if (found := self._exact.get(bare)) is not None:
            return found
        for own, pattern, other in self._patterns:
            if own in bare and (match := pattern.fullmatch(bare)):
                if any("; " in each for each in match.groups()) and all(map(self._known, bare.split("; "))):
                    return None  # its parts say more than one of them with the others in it
                pieces = other.split("{}")
                given = [self._piece(each) for each in match.groups()]
                return pieces[0] + "".join(a + b for a, b in zip(given, pieces[1:], strict=True))
        return None

    def _perhaps(self, text: str) -> str:
        """A name as it is, words of the table in the other language."""
        lines = []
        for line in text.split("\n"):
            parts = [(part, self._known(" ".join(part.split()))) for part in line.split("; ")]
            same = [found is not None and _figures(found) == _figures(part) for part, found in parts]
            lines.append(
                "; ".join(str(found) if good else part for (part, found), good in zip(parts, same, strict=True))
            )
        other = "\n".join(lines)
        return f"{text} / {other}" if self.beside and other != text else other

    def _piece(self, text: str) -> str:
        """What stands for `{}`: a name or a number as it is, words of the table in the other language."""
        if (found := self._exact.get(text)) is not None:
            return found
        parts = text.split("; ")
        if len(parts) > 1 and any(part in self._exact for part in parts):
            return "; ".join(self._line(part) for part in parts)
        return text

    def filled(self, filling: Filling, worded: frozenset[str] = WORDED, safety: frozenset[str] = SAFETY) -> Filling:
        """What a form is filled with, in the other language. worded : tokens that hold words of the program."""

        def said(values: Mapping[str, Value]) -> dict[str, Value]:
            return {
                name: value if not isinstance(value, str)
                else self.text(value, both=name in safety and self.checked_by is None) if name in worded
                else self._perhaps(value) if name in PERHAPS_WORDED
                else value
                for name, value in values.items()
            }  # fmt: skip

        groups = {name: [said(row) for row in rows] for name, rows in filling.groups.items()}
        pictures = {name: self._picture(picture) for name, picture in filling.pictures.items()}
        return replace(filling, values=said(filling.values), groups=groups, pictures=pictures)

    def _picture(self, picture: Picture) -> Picture:
        """A picture with its one word in the other language."""
        word = f"<a:t>{escape(self.text(CLOCKWISE))}</a:t>"
        return lambda area, free: picture(area, free).replace(f"<a:t>{CLOCKWISE}</a:t>", word)

    def sheet(self, filling: Filling) -> Filling:
        """The same for a sheet that is no card."""
        return self.filled(filling, SHEETS_WORDED, SHEETS_SAFETY)

    def working(self, filling: Filling) -> Filling:
        """The same for the page behind a card."""
        return self.filled(filling, WORKED, frozenset())

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


def _figures(text: str) -> list[str]:
    return sorted(re.findall(r"\d+", text))
