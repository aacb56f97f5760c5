"""Conditional formats of a sheet part: the planner's that mark whole rows reach our columns; ours mark states."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from addin.workbooks.addresses import Area, area, letters
from addin.workbooks.long_part import Content
from addin.workbooks.markup import attributes, set_attribute, tags, unescape
from addin.workbooks.sheet_part import SheetScan
from addin.workbooks.styles_part import Highlight, StylesPart

BEFORE = frozenset(
    ("sheetData", "sheetCalcPr", "sheetProtection", "protectedRanges", "scenarios", "autoFilter", "sortState",
     "dataConsolidate", "customSheetViews", "mergeCells", "phoneticPr", "conditionalFormatting")
)  # fmt: skip
"""Elements that stand before conditional formats, in the order of the standard."""

_REFERENCE = re.compile(r"(?<![A-Za-z0-9_.$])\$?[A-Za-z]{1,3}\$?[0-9]{1,7}(?![A-Za-z0-9_.(])")


@dataclass(frozen=True)
class Mark:
    """A conditional format of ours: columns and rows, its formula for the first of the rows, and how it looks.

    Formulas that differ from it in columns and rows alone are ours too, of an earlier run.
    """

    area: Area
    formula: str
    look: Highlight


@dataclass(frozen=True)
class _Rule:
    start: int
    end: int
    kind: str
    priority: int
    formulas: tuple[str, ...]


@dataclass(frozen=True)
class _Format:
    """One element of conditional formats."""

    start: int
    end: int
    areas: tuple[Area, ...]
    rules: tuple[_Rule, ...]


def conditional_edits(
    scan: SheetScan, content: Content, plain: Content, ours: Sequence[int], neighbour: int, marks: Sequence[Mark],
    styles: StylesPart | None,
) -> list[tuple[int, int, bytes]]:  # fmt: skip
    """Edits (begin, end, new bytes) behind the rows of a part.

    ours : numbers of our columns; neighbour : the planner's column that they stand beside. A column with marks of its
    own keeps them alone: which of two formats holds there is not the same in every program.
    """
    own = {mark.area.left for mark in marks if mark.area.left == mark.area.right}
    ours = [column for column in ours if column not in own]
    p = scan.prefix
    found = list(_formats(p, plain, scan.data[1]))
    known = {_shape(mark.formula) for mark in marks}
    edits: list[tuple[int, int, bytes]] = []
    kept: list[_Rule] = []
    for each in found:
        gone = [rule for rule in each.rules if rule.formulas and _shape(rule.formulas[0]) in known]
        if gone and len(gone) == len(each.rules):
            edits.append((each.start, each.end, b""))
            continue
        edits += [(rule.start, rule.end, b"") for rule in gone]
        kept += [rule for rule in each.rules if rule not in gone]
        if wider := _wider(each, ours, neighbour):
            tag_end = plain.index(b">", each.start) + 1
            new = set_attribute(content[each.start : tag_end], b"sqref", wider.encode())
            edits.append((each.start, tag_end, new))
    if not marks or styles is None:
        return edits
    first = min((rule.priority for rule in kept), default=len(marks) + 1)
    if first <= len(marks):
        edits += [_moved(content, rule, len(marks)) for rule in kept]
    whole = b""
    for number, mark in enumerate(marks, 1):
        text = mark.formula.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").encode()
        opening = f'conditionalFormatting sqref="{mark.area}">'.encode()
        rule = f'cfRule type="expression" dxfId="{styles.highlight(mark.look)}" priority="{number}">'.encode()
        whole += b"<%b%b<%b%b<%bformula>%b</%bformula></%bcfRule></%bconditionalFormatting>" % (
            p, opening, p, rule, p, text, p, p, p,
        )  # fmt: skip
    place = _place(scan, plain)
    return [*edits, (place, place, whole)]


def _formats(prefix: bytes, plain: Content, start: int) -> Iterator[_Format]:
    p = re.escape(prefix)
    whole = re.compile(rb"<%bconditionalFormatting\b([^<>]*)>(.*?)</%bconditionalFormatting\s*>" % (p, p), re.DOTALL)
    one = re.compile(rb"<%bcfRule\b([^<>]*?)(?:/>|>(.*?)</%bcfRule\s*>)" % (p, p), re.DOTALL)
    said = re.compile(rb"<%bformula\s*>([^<]*)</" % p)
    for found in whole.finditer(plain, start):
        areas = tuple(place for text in attributes(found[1]).get("sqref", "").split() if (place := area(text)))
        rules = tuple(
            _Rule(
                rule.start(), rule.end(), given.get("type", ""), int(given.get("priority") or 0),
                tuple(unescape(text.decode()) for text in said.findall(rule[2] or b"")),
            )
            for rule in one.finditer(plain, found.start(2), found.end(2))
            for given in (attributes(rule[1]),)
        )  # fmt: skip
        yield _Format(found.start(), found.end(), areas, rules)


def _shape(formula: str) -> str:
    """A formula without the columns and rows that it speaks of.

    >>> _shape('LEFT($AE5,7)="stopped"') == _shape('LEFT($B12,7) = "stopped"')
    True
    """
    return _REFERENCE.sub("#", formula).replace(" ", "")


def _whole_rows(rules: Sequence[_Rule]) -> bool:
    """Whether formats mean the same in any column: formulas that name every column with a $."""
    for rule in rules:
        texts = [re.sub(r'"[^"]*"', '""', text) for text in rule.formulas]
        names = [name for text in texts for name in _REFERENCE.findall(text)]
        if rule.kind != "expression" or not texts or not all(name.startswith("$") for name in names):
            return False
    return bool(rules)


def _wider(each: _Format, ours: Sequence[int], neighbour: int) -> str:
    """The ranges of formats of whole rows with our columns in them, "" where nothing changes."""
    reach = [a for a in each.areas if a.left <= neighbour <= a.right and a.right > a.left]
    if not reach or not _whole_rows(each.rules):
        return ""
    areas = list(each.areas)
    for a in reach:
        for first, last in runs(ours):
            if any(b.top <= a.top and b.bottom >= a.bottom and b.left <= first and b.right >= last for b in areas):
                continue
            beside = next((k for k, b in enumerate(areas) if (b.top, b.bottom) == (a.top, a.bottom)
                           and first - 1 <= b.right < last and b.left <= first), None)  # fmt: skip
            if beside is None:
                areas.append(Area(a.top, first, a.bottom, last))
            else:
                areas[beside] = Area(a.top, areas[beside].left, a.bottom, last)
    return " ".join(map(str, areas)) if areas != list(each.areas) else ""


def runs(numbers: Sequence[int]) -> list[tuple[int, int]]:
    """First and last of the columns that stand side by side.

    >>> runs([4, 5, 6, 9])
    [(4, 6), (9, 9)]
    """
    if not numbers:
        return []
    ends = [k for k, (one, other) in enumerate(pairwise(numbers)) if other != one + 1]
    starts = [0, *(k + 1 for k in ends)]
    return [(numbers[a], numbers[b]) for a, b in zip(starts, [*ends, len(numbers) - 1], strict=True)]


def _moved(content: Content, rule: _Rule, by: int) -> tuple[int, int, bytes]:
    end = content.index(b">", rule.start) + 1
    return rule.start, end, set_attribute(content[rule.start : end], b"priority", str(rule.priority + by).encode())


def _place(scan: SheetScan, plain: Content) -> int:
    """Where conditional formats may stand: behind all that comes before them in the order of the standard."""
    start, depth = scan.data[1], 0
    place = start if scan.data[2] else plain.index(b">", start) + 1
    for tag in tags(plain, place):
        if tag.closing:
            depth -= 1
        elif not tag.empty:
            depth += 1
        if depth < 0:
            break
        if depth == 0 and (tag.closing or tag.empty):
            if tag.prefix != scan.prefix or tag.name not in BEFORE:
                break
            place = tag.end
    return place


def columns_said(numbers: Sequence[int]) -> str:
    """Columns as a person reads them.

    >>> columns_said([30, 31, 32, 40])
    'AD:AF, AN'
    """
    return ", ".join(letters(a) if a == b else f"{letters(a)}:{letters(b)}" for a, b in runs(numbers))
