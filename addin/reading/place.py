"""Where the list stands in rows of cells: the rows of its headings, what stands above each, its rows of units."""

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from addin.cells.numbers import Cell, error_text, is_blank
from addin.reading.evidence import evidence, look
from addin.reading.facts_in_cells import parts
from addin.reading.grammar import Lexicon, hear, strengths
from addin.reading.heads import Head
from addin.reading.spellings import plain_fractions, spelled, unit_of

HEADINGS_WITHIN = 60
"""The heading row of a list stands within the first rows of its sheet."""
NAMES_NEEDED = 3
"""Fewer headings of the trade than this do not make a list."""
_LOOK_ON = 15
_LONGEST = 80
_SEPARATOR = " / "
STUDS = frozenset(("thread", "studs", "size"))
CORE = STUDS | {"stress", "percent", "load", "torque"}
_FIGURES = re.compile(r"[\d.,/\s\"'#x×-]+|M\d.*")
_NO_UNIT = frozenset(
    ("-", "–", "nominal", "each", "ea", "pc", "pcs", "no", "no.", "nos", "nos.", "qty", "text", "date", "unit", "units", "off",
     "y/n", "(y/n)", "n/a", "id", "type", "stk", "stk.", "j/n", "st", "st.", "szt", "szt.", "ks", "kpl", "stck", "stück", "uds", "ud", "pza",
     "pzas", "pz", "pz.", "dn", "pn", "dn/pn", "nps", "sign", "sign.", "init", "init.", "initials")
)  # fmt: skip

Rows = Sequence[Sequence[Cell]]


class ListArea(Protocol):
    """A merged range: rows and columns from 1, ends included."""

    @property
    def top(self) -> int: ...  # noqa: D102
    @property
    def left(self) -> int: ...  # noqa: D102
    @property
    def bottom(self) -> int: ...  # noqa: D102
    @property
    def right(self) -> int: ...  # noqa: D102


@dataclass(frozen=True)
class Place:
    """A list's place: `top` and `last` rows of its headings, `body` its first row of data (all from 0), its headings."""

    top: int
    last: int
    body: int
    heads: tuple[Head, ...]
    named: frozenset[str]


def is_heading(cell: Cell) -> bool:
    """Whether a cell can be a heading: a text that is no error."""
    return isinstance(cell, str) and not is_blank(cell) and not error_text(cell)


def text_of(cell: Cell) -> str:
    """A cell as the text of a heading, "" where it is none."""
    return " ".join(cell.replace("\u00a0", " ").split()) if is_heading(cell) and len(cell) < _LONGEST else ""


def names(heads: Sequence[Head], words: Lexicon | None = None) -> frozenset[str]:
    """What headings name: fields, and for other words of the trade a name of their own."""
    found = set()
    for head in heads:
        heard = hear(head.text, words)
        named = strengths(heard, hear(head.above, words) if head.above else None)
        best = max(named.items(), key=lambda pair: pair[1], default=("", 0.0))
        unit = spelled(head.text).unit
        if best[1] >= 0.55:
            found.add(best[0])
        elif unit is not None and unit.kind == "torque" and not heard.unknown:
            found.add("torque")
        elif heard.concepts and not heard.unknown and len(spelled(head.text).words) <= 5:
            found.add(f"other {head.at}")
    return frozenset(found)


def fields_named(text: str) -> set[str]:
    """The fields that a heading may name by its words alone, without any cells.

    >>> "joint" in fields_named("Joint No."), fields_named("Operation"), fields_named("Torque date")
    (True, {'operation'}, set())
    """
    heard = hear(text)
    return {name for name, strength in strengths(heard).items() if strength >= 0.75} if heard.explained else set()


def place(
    rows: Rows, merged: Sequence[ListArea] = (), known: Collection[str] = (), words: Lexicon | None = None
) -> Place | None:
    """The list whose headings stand in one of the first rows; None where no row has headings of joints.

    `known`: headings (as compared) of answers of this sheet: the row that has most of them is the list's.
    """
    tops = rows[:HEADINGS_WITHIN]
    best, at, until = (0.0, 0), -1, len(tops)
    for i, row in enumerate(tops):
        if i >= until:
            break
        if sum(is_heading(cell) for cell in row) < 2:
            continue
        heads = _heads(tops, i, merged)
        named = names(heads, words)
        fields = [name for name in named if not name.startswith("other")]
        if len(fields) < NAMES_NEEDED or not (set(fields) & STUDS or ("joint" in fields and set(fields) & CORE)):
            continue
        filled = [cell for cell in row if not is_blank(cell)]
        if holds_values(row):
            continue  # a joint all of whose cells are texts
        if i and len(filled) < _SHORTEST and len(heads) > 2 * len(filled) and not _parts_a_banner(tops[i - 1], row):
            continue  # the title of a section below the names
        if i and (is_unit_row(filled) or _stands_over_numbers(tops[i - 1], row, rows[i + 1 : i + 1 + _LOOK_BELOW])):
            continue  # a row of units belongs to the names above it
        numbers = sum(not isinstance(cell, str) or bool(_FIGURES.fullmatch(cell.strip())) for cell in filled)
        rank = (len(fields) + 0.4 * (len(named) - len(fields)) - 0.7 * numbers, len(heads))
        if rank > best:
            best, at = rank, i
            until = min(until, at + _LOOK_ON)
    while 0 <= at < len(tops) - 1:  # names below names: a second row that tells more columns apart
        own = [cell for cell in tops[at + 1] if not is_blank(cell)]
        if (
            not (len(own) >= 3 or _parts_a_banner(tops[at], tops[at + 1]))
            or is_unit_row(own)
            or holds_values(tops[at + 1])
            or _stands_over_numbers(tops[at], tops[at + 1], rows[at + 2 : at + 2 + _LOOK_BELOW])
            or any(not text_of(c) or _FIGURES.fullmatch(text_of(c)) for c in own)
        ):
            break
        if len(_heads(tops, at + 1, merged)) <= len(_heads(tops, at, merged)):
            break
        at += 1
    if known:
        from addin.reading.understood import heading_key

        there = [
            len({heading_key(head.shown) for head in found_at(rows, i, merged).heads} & set(known))
            for i in range(len(tops))
        ]
        if there and 2 * max(there) >= len(known):
            at = there.index(max(there))
    return found_at(rows, at, merged, words) if at >= 0 else None


def place_by_cells(rows: Rows, merged: Sequence[ListArea] = ()) -> Place | None:
    """The list under a row of texts that are not known, where a column below holds threads and another counts of studs.

    >>> heads, joint = ["Plmk", "Qwrtz", "Brn", "Zdf"], ["A-1", "M24", 12, 480]
    >>> place_by_cells([["Title"], heads, joint, ["A-2", "M20", 8, 270], ["A-3", "M16", 8, 140]]).body
    2
    """
    for i, row in enumerate(rows[:HEADINGS_WITHIN]):
        texts = [k for k, cell in enumerate(row) if text_of(cell)]
        if len(texts) < _SHORTEST + 1 or len(texts) < sum(not is_blank(cell) for cell in row):
            continue
        below = [
            each for each in rows[i + 1 : i + 1 + _LOOK_ON] if sum(not is_blank(cell) for cell in each) >= _SHORTEST
        ]
        if len(below) < _SHORTEST:
            continue
        told = [evidence(look([each[k] if k < len(each) else None for each in below])) for k in texts]
        threads = [k for k, found in enumerate(told) if found.get("thread", -1.0) >= _SURELY]
        studs = [k for k, found in enumerate(told) if found.get("studs", -1.0) >= _SURELY]
        if threads and any(k not in threads for k in studs):
            return found_at(rows, i, merged)
    return None


_SURELY = 0.75


def found_at(rows: Rows, at: int, merged: Sequence[ListArea], words: Lexicon | None = None) -> Place:
    """The list whose last row of names is a given one."""
    heads = _heads(rows, at, merged)
    below = rows[at + 1] if at + 1 < len(rows) else ()
    body = at + 1
    units = {k: str(cell).strip() for k, cell in enumerate(below) if not is_blank(cell)}
    if is_unit_row([below[k] for k in units]) or _stands_over_numbers(
        rows[at], below, rows[at + 2 : at + 2 + _LOOK_BELOW]
    ):
        heads = [replace(head, unit=units.get(head.at, "")) for head in _over_their_units(heads, units, at + 1, merged)]
        body += 1
    top = at
    while top > 0 and any(head.above for head in heads) and any(
        (text := text_of(cell)) and any(text in head.above for head in heads) for cell in rows[top - 1]
    ):  # fmt: skip
        top -= 1
    return Place(top, body - 1, body, tuple(heads), names(heads, words))


def _over_their_units(
    heads: Sequence[Head], units: Mapping[int, str], row: int, merged: Sequence[ListArea]
) -> list[Head]:  # fmt: skip
    """Names with those of columns that share a merged name and have a unit of their own: "Torque" over "Nm" and "ft-lb"."""
    by_place = {head.at: head for head in heads}
    for area in merged:
        if area.top <= row == area.bottom and area.left - 1 in by_place and area.left - 1 in units:
            shared = by_place[area.left - 1]
            for at in range(area.left, area.right):
                if at in units:
                    by_place.setdefault(at, replace(shared, at=at))
    return [by_place[at] for at in sorted(by_place)]


def is_unit_row(cells: Sequence[Cell]) -> bool:
    """Whether a row below the names holds nothing but units and their like, one of them a unit."""
    if not cells or not all(isinstance(cell, str) for cell in cells):
        return False
    texts = [str(cell).strip() for cell in cells]
    inner = [text.strip(" ()[]{}") for text in texts]
    units = [_is_unit(text) for text in inner]
    plain = [text.lower() in _NO_UNIT for text in inner]
    form = [bool(_FORM_OF_CELLS.fullmatch(text)) for text in inner]
    if not any(units) and not (len(texts) > 2 and all(plain)):
        return False
    good = sum(u or p for u, p in zip(units, plain, strict=True))
    return all(u or p or f for u, p, f in zip(units, plain, form, strict=True)) or (
        good >= 0.7 * len(texts) and sum(units) >= 2 and not any(re.search(r"[0-9]{2}", t) for t in texts)
    )


_FORM_OF_CELLS = re.compile(
    r"[^\W\d]{1,9}\.?(?:(?: ?[x×*] ?| - |-)[^\W\d]{1,9}\.?){1,4}"
    r"|(?:A/?F|SW)(?: ?(?:in|mm)\.?)?"
    r"|(?:ASTM|ASME|EN|DIN|ISO|API|SA|A)(?:[- ]?\d{2,5}(?:-\d)?)?"
    r"|% ?(?:of )?[^\W\d]\w{1,6}(?:[.,]\d)?",
    re.IGNORECASE,
)
"""What stands below a name and is no unit: the form of its cells ("No. x dia x lg"), a standard, a share of something."""


def holds_values(row: Sequence[Cell]) -> bool:
    """Whether a row holds values of a joint: studs with their thread, or a figure with its unit of torque or force.

    >>> holds_values(["U-01", "Suction", "24 x 1 5/8 in", "2600 Nm"]), holds_values(["Joint", "Studs", "Torque Nm"])
    (True, False)
    """
    for cell in row:
        text = text_of(cell)
        if not text[:1].isdigit() and text[:1] not in ("M", "m"):
            continue
        if {"thread", "studs"} <= parts(plain_fractions(text)).keys():
            return True
        found = _FIGURE_WITH_UNIT.fullmatch(text)
        if found and (unit := unit_of(found[1])) is not None and unit.kind in ("torque", "force", "stress"):
            return True
    return False


_FIGURE_WITH_UNIT = re.compile(r"\d[\d.,' ]*\s*([A-Za-z][A-Za-z.·/\- ]*\d?)")


def _parts_a_banner(names: Sequence[Cell], below: Sequence[Cell]) -> bool:
    """Whether two texts side by side part one name above them, whose second column has no name of its own.

    >>> _parts_a_banner(["Joint", "Torque", None, "By"], [None, "initial", "final", None])
    True
    """
    at = [k for k, cell in enumerate(below) if not is_blank(cell)]
    if len(at) != 2 or at[1] != at[0] + 1 or not all(text_of(below[k]) for k in at):
        return False
    return bool(at[0] < len(names) and text_of(names[at[0]])) and (at[1] >= len(names) or is_blank(names[at[1]]))


_LOOK_BELOW = 8
_SHORTEST = 3


def _stands_over_numbers(names: Sequence[Cell], row: Sequence[Cell], below: Rows) -> bool:
    """Whether a row of short texts, some of them units, stands over numbers where it holds units: a row of units.

    A row that names a column which the row of names above it leaves blank is another row of names, and so is one of
    stages: "30 %", "60 %", "100 %" below one name.

    >>> names, units = ["Flange", "d1", "FB", "MA", "Bolts"], ["EN 1092-1", "mm", "kN", "Nm", "n x d"]
    >>> _stands_over_numbers(names, units, [["DN200", 228, 79.8, 338, "12 x M27"]])
    True
    >>> _stands_over_numbers(["Joint", "Torque", None, None], [None, "30 %", "60 %", "100 %"], [["P-1", 122, 243, 405]])
    False
    """
    cells = {k: str(cell).strip() for k, cell in enumerate(row) if not is_blank(cell)}
    if len(cells) < _SHORTEST or not all(isinstance(row[k], str) and len(text) < 20 for k, text in cells.items()):
        return False
    units = [k for k, text in cells.items() if _is_unit(text.strip(" ()[]{}")) or _PER_CENT.fullmatch(text)]
    if len(units) < _SHORTEST or any(_FIGURES.fullmatch(text) for text in cells.values()):
        return False
    shares = [k for k in units if _PER_CENT.fullmatch(cells[k])]
    if any((k not in units or k in shares) and not (k < len(names) and text_of(names[k])) for k in cells):
        return False
    found = [other[k] for other in below for k in units if k < len(other) and not is_blank(other[k])]
    figures = sum(not isinstance(cell, str) or bool(re.match(r"[\d.,]", cell)) for cell in found)
    return len(found) >= len(units) and figures >= 0.7 * len(found)


_PER_CENT = re.compile(r"\d{1,3} ?%")


def _is_unit(text: str) -> bool:
    if unit_of(text) is not None:
        return True
    parts = [part.strip() for part in text.split("/")]
    first = unit_of(parts[0])
    if len(parts) == 2 and first is not None and first.kind == "force" and parts[1].strip(".").isalpha():
        return True  # "kN/tirant": of one stud
    return len(parts) > 1 and all(unit_of(part) is not None for part in parts)


def _heads(rows: Rows, at: int, merged: Sequence[ListArea]) -> list[Head]:
    """The headings of a row, each with what stands above it where that is part of the headings too."""
    above, spanned = _above(rows, at, merged)
    heads = []
    for k in range(max(len(rows[at]), max(above, default=-1) + 1)):
        cell = rows[at][k] if k < len(rows[at]) else None
        text = text_of(cell)
        if text:
            heads.append(Head(k, text, above.get(k, ""), k in spanned, parts=_parts(cell)))
        elif k in above and is_blank(cell) and k not in spanned:
            heads.append(Head(k, above[k]))
    return heads


_OF_THE_PAGE = re.compile(
    r"(?:sheet|page|blatt|seite|folha|hoja|foglio|feuille|side)\b.*\d|(?:rev|issue|iss|ver|version|ind|v|index|stand|ausgabe)\b[ .:]*[a-z]?\d*\b"
    r"|(?:afe|wo|po|job|proj\w*|doc\w*|contract|date|dated|drawn|prepared|bearb|by)\b(?=.*[:\d])",
    re.IGNORECASE,
)
"""What stands in the corner of a page ("Sheet 1 of 2", "issue 2") is no heading over the columns below it."""


_VALUE = re.compile(r"\d[.,]\d|^[A-Z]{0,3}\d*-\d{2,}\b")


def _parts(cell: Cell) -> tuple[str, ...]:
    """What line breaks or bars between blanks part in a heading."""
    return tuple(text for part in re.split(r"\n|\s[/|]\s", str(cell)) if (text := " ".join(part.split())))


def _above(rows: Rows, at: int, merged: Sequence[ListArea]) -> tuple[dict[int, str], set[int]]:
    """Texts above a row that belong to its headings, by column, and the columns that share one of them.

    A title, alone in its row or nearly so, does not belong to them.
    """
    if at == 0:
        return {}, set()
    texts = {k: text for k, cell in enumerate(rows[at - 1]) if (text := text_of(cell))}
    if any(":" in text or "=" in text or len(text) > 45 for text in texts.values()) or len(texts) < sum(
        not is_blank(c) for c in rows[at - 1]
    ):
        return {}, set()  # labels and their values
    if any(_VALUE.search(text) and "%" not in text for text in texts.values()):
        return {}, set()  # "Design pressure | 5.8 MPa"
    texts = {k: text for k, text in texts.items() if not _OF_THE_PAGE.match(text)}
    own = {k for k, cell in enumerate(rows[at]) if text_of(cell)}
    wide = [each for each in merged if each.top <= at <= each.bottom and each.left < each.right]
    wide = [each for each in wide if each.left - 1 in texts and each.bottom == at]
    tall = [each for each in merged if each.bottom == at + 1 and each.top <= at and each.left == each.right]
    gaps = [k for k in texts if k not in own]
    if not (len(texts) >= 3 or len(wide) >= 2 or (wide and tall) or (wide and gaps)):
        return {}, set()
    spanned = set()
    for each in wide:
        for k in range(each.left - 1, each.right):
            texts[k] = texts[each.left - 1]
            spanned.add(k)
    if not wide and gaps:  # a banner that is not merged stands over the columns to its right without a name above
        for k in sorted(own):
            left = max((j for j in texts if j <= k), default=None)
            if left is not None and k not in texts and left in own and all(j in own for j in range(left, k + 1)):
                texts[k] = texts[left]
                spanned |= {left, k}
    higher, wider = _above(rows, at - 1, merged)  # groups of groups
    for k in wider & texts.keys():
        texts[k] = f"{higher[k]}{_SEPARATOR}{texts[k]}"
    for each in tall:  # a name merged downwards may begin two rows above
        top = rows[each.top - 1][each.left - 1] if each.left <= len(rows[each.top - 1]) else None
        if (text := text_of(top)) and each.left - 1 not in own:
            texts[each.left - 1] = text
    return texts, spanned
