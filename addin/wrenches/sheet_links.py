"""The links of a wrench sheet: heading row, and one row for each link, socket or adapter."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from addin.cells.headings import Heading
from addin.cells.numbers import Cell, plain_text, stands_for_nothing
from addin.cells.table_words import plain
from addin.workbooks.grid import Grid
from addin.wrenches.list_words import headings_of
from calc.findings import InputError, stop
from calc.quantities import INCH
from calc.units import kinds_of, symbol
from calc.wrench.choice import Link

_NAMES = ("link", "socket", "adapter", "link or socket", "link socket or adapter", "link or adapter", "cassette",
          "ratchet link", "insert", "link name", "einsatz", "kassette", "vaso", "bussola")  # fmt: skip
LINK_HEADINGS = {
    **headings_of("links"),
    **dict.fromkeys(_NAMES, "name"),
    **dict.fromkeys(("across flats", "nut across flats", "size", "size across flats", "hex size", "nut size",
                     "schlusselweite", "sur plats", "entrecaras", "chiave esagonale"), "across_flats"),
    **dict.fromkeys(("torque factor", "factor", "link factor", "faktor", "facteur", "fattore", "fator"), "factor"),
    **dict.fromkeys(("torque limit", "maximum torque", "torque maximum", "rated torque", "limit"), "torque_limit"),
    **dict.fromkeys(("link radius", "radius", "nose radius"), "radius"),
}  # fmt: skip
_FRACTION = re.compile(r"(?:(\d+)[\s.-]+)?(\d+)/(\d+)\s*(.*)")


@dataclass(frozen=True)
class Links:
    """The links of a sheet and their units by kind; `rows` of their names, in small letters."""

    links: tuple[Link, ...] = ()
    units: Mapping[str, str] | None = None
    rows: Mapping[str, int] | None = None


def is_links(grid: Grid, row: int) -> bool:
    """Whether a row holds the headings of links."""
    words = [plain(heading.words) for c in grid.filled(row) if (heading := grid.heading(row, c))]
    fields = {LINK_HEADINGS[word] for word in words if word in LINK_HEADINGS}
    return len(fields) >= 2 and bool(fields & {"across_flats", "factor"})


def read_links(grid: Grid, head: int, end: int, own_tables: frozenset[str]) -> Links:
    """The links in the rows below `head` down to `end`; one with a stop is left out.

    A link of `own_tables` (names in small letters) has a table of its own and needs no factor.
    """
    columns = grid.columns(head, LINK_HEADINGS)
    missing = [text for name, text in (("name", "Link or socket"), ("across_flats", "Across flats"),
                                       ("factor", "Torque factor")) if name not in columns]  # fmt: skip
    for text in missing:
        grid.stop("heading_missing", "link", head, grid.filled(head)[0], text=text)
    if missing:
        return Links()
    read: dict[str, list[Link]] = {}
    rows: dict[str, list[int]] = {}
    for row in range(head + 1, end + 1):
        name = grid.take(grid.text, row, columns["name"][0], "link")
        if name == "":
            grid.stop("link_unnamed", "link", row, columns["name"][0])
        if not name:
            continue
        rows.setdefault(name.casefold(), []).append(row)
        link = _link(grid, columns, row, name, own_table=name.casefold() in own_tables)
        if link:
            read.setdefault(name.casefold(), []).append(link)
    for key, where in rows.items():
        for row in where[1:]:
            column = columns["name"][0]
            grid.stop("link_repeated", "link", row, column, text=plain_text(grid.value(row, column)))
            read.pop(key, None)
    units = {}
    for name, kind in (("across_flats", "length"), ("torque_limit", "torque")):
        unit = columns[name][1].unit if name in columns else None
        if unit and kind in kinds_of(unit):
            units[kind] = symbol(kind, unit)
    links = tuple(link for links in read.values() for link in links)
    return Links(links, units, {key: where[0] for key, where in rows.items()})


def _link(
    grid: Grid, columns: Mapping[str, tuple[int, Heading]], row: int, name: str, *, own_table: bool
) -> Link | None:
    """One link, or None with its stop."""
    try:
        at, heading = columns["across_flats"]
        flats = grid.number(row, at, "across_flats", heading, cell=_size(grid.stored(row, at, "across_flats")))
        at, heading = columns["factor"]
        given = not stands_for_nothing(grid.stored(row, at, "link_factor"))
        if not given and not own_table:
            raise stop("link_factor_missing", "link_factor", text=name)
        factor = grid.number(row, at, "link_factor", heading) if given else 1.0
        if own_table and factor != 1.0:
            raise stop("link_factor_and_table", "link_factor", text=name)
        limit = radius = None
        if "torque_limit" in columns:
            at, heading = columns["torque_limit"]
            if not stands_for_nothing(grid.stored(row, at, "torque_limit")):
                limit = grid.number(row, at, "torque", heading)
        if "radius" in columns:
            at, heading = columns["radius"]
            if not stands_for_nothing(grid.stored(row, at, "link_radius")):
                radius = grid.number(row, at, "link_radius", heading, "length")
    except InputError as error:
        grid.add(error.finding, row, at)
        return None
    _doubt(grid, columns, row, name, flats, factor, own_table=own_table)
    return Link(name, flats, factor, math.inf if limit is None else limit, math.nan if radius is None else radius)


def _doubt(
    grid: Grid, columns: Mapping[str, tuple[int, Heading]], row: int, name: str, flats: float, factor: float, *,
    own_table: bool,
) -> None:  # fmt: skip
    """Cautions where the name of a link says another size than its across flats, or an adapter has a factor of 1 or
    less."""
    said = _size_in(name)
    if said and abs(said - flats) > 5e-4:
        grid.caution("link_name_size", "across_flats", row, columns["across_flats"][0], text=name, value=flats)
    if factor <= 1 and not own_table and _OFFSET.search(name):
        code = "adapter_factor_one" if factor == 1 else "adapter_factor_below"
        grid.caution(code, "link_factor", row, columns["factor"][0], text=name, value=factor)


_OFFSET = re.compile(r"\boffset\b|\badapter\b|\bextension\b|\bcrow'?s?[- ]?foot\b", re.IGNORECASE)
_IN_NAME = re.compile(
    r"(?<![\w./-])(?:(?:(?P<whole>\d+)[\s-]+)?(?P<top>\d+)/(?P<bottom>\d+)(?:\s*(?:in\b|\"|″)|(?![\w/]))"
    r"|(?P<inch>\d+(?:\.\d+)?)\s*(?:in\b|\"|″)|(?P<mm>\d{2,3}(?:\.\d+)?)\s*mm\b)",
    re.IGNORECASE,
)


def _size_in(name: str) -> float:
    """The only size that the name of a link states, 0 where it states none or several. [m]

    >>> _size_in("2 3/8 in link"), _size_in("60 mm"), _size_in("link 4"), _size_in("1 in drive, 2 in socket")
    (0.060325, 0.06, 0.0, 0.0)
    """
    found = list(_IN_NAME.finditer(name))
    if len(found) != 1 or "drive" in name.casefold():
        return 0.0
    m = found[0]
    if m["mm"]:
        return float(m["mm"]) / 1000
    inches = float(m["inch"]) if m["inch"] else int(m["whole"] or 0) + int(m["top"]) / max(int(m["bottom"]), 1)
    return inches * INCH


def _size(cell: Cell) -> Cell:
    """A size across flats typed as a fraction, "2-3/8 in", as a number with its unit; anything else as it is."""
    match = _FRACTION.fullmatch(plain_text(cell)) if isinstance(cell, str) else None
    if not match or not int(match[3]):
        return cell
    number = int(match[1] or 0) + int(match[2]) / int(match[3])
    return f"{number} {match[4]}" if match[4] else number
