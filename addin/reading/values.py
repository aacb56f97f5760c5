"""Cells of joint rows brought into the form that the fields want: two facts apart, dittos followed, codes told.

Nothing is guessed: what cannot be told apart stays as it stands, and its row says so later.
"""

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from addin.cells.dates import day_comes_first, two_ways
from addin.cells.numbers import Cell, is_blank, plain_text, split_number, stands_for_nothing
from addin.reading.column import Column
from addin.reading.evidence import any_ditto, is_ditto, number
from addin.reading.facts_in_cells import THREAD, numbered, numbers_its_rows, parts, studs_and_nuts, two_diameters
from addin.reading.held_words import says_held
from addin.reading.meant import tell
from addin.reading.seen import FORCES_BY_MASS
from addin.reading.spellings import one_figure, plain_fractions, unit_of
from addin.reading.spoken_work import spoken
from addin.reading.thread_series import series_of
from addin.reading.two_readings import mark_of_numbers, order_of_days
from addin.reading.understood import ASKED, PITCH, PROPOSED, ColumnReading, ValueMeaning
from addin.workbooks.packed_rows import pieces
from calc.hardware.threads import coarse_pitch, pitch_stated
from calc.plan.joints import NUMBER_COLUMNS

_OFF = re.compile(r"(\d{1,3})\s*(?:off|nos?\.?|pcs?\.?|ea\.?|x|stk\.?|st\.?)", re.IGNORECASE)
_KIND = re.compile(
    rf"(?P<thread>{THREAD})[\s,]+(?:full(?:y)? threaded|(?:set ?screw|cap ?screw|tie ?rod|rod|stud ?bolt|eye ?bolt|swing|waisted|reduced shank|anchor|allen|nuts? only|both ends|stud|bolt|cap|hex|set|screw|head|hd|tap|all|thread|thd|socket|dbl end|waisted)s?\b[\s.]*)+",
    re.IGNORECASE,
)
_PITCH_BEHIND = re.compile(
    r"(M\s?\d{1,3})\s*(?:fine|fein|pas fin|fino)?\s*\(?\s*(?:p(?:itch)?\s*=?\s*)?([1-6](?:[.,]\d+)?)\s*\)",
    re.IGNORECASE,
)
"""A metric size with its pitch in brackets behind it: "M64 fine (4)"."""
_NUMBER_UNIT = re.compile(r"(\d[\d.,' ]*)\s*(\D.*)")


@dataclass
class SpreadValues:
    """Rows in the form that the fields want, the columns that read them, and what is to be told of it.

    `dittos`: cells that say "as above", by column heading; `together`: rows whose joint is named by two columns;
    `several`: places of rows whose tag names several joints, with that tag; `marks`: how numbers typed as text were read by others of their column, a sentence a column.
    """

    columns: tuple[Column, ...]
    rows: list[list[Cell]]
    dittos: Counter[str] = field(default_factory=Counter)
    meanings: tuple[ValueMeaning, ...] = ()
    together: str = ""
    marks: list[str] = field(default_factory=list)
    several: dict[int, str] = field(default_factory=dict)
    in_doubt: dict[int, tuple[str, str]] = field(default_factory=dict)
    """Cells whose mark means another thing than elsewhere in their column, by row: field and text."""
    typed: dict[int, list[Cell]] = field(default_factory=dict)
    """The cells of tags and operations as they were typed, by their column."""


def spread(
    readings: Sequence[ColumnReading], columns: Sequence[Column], rows: Iterable[Sequence[Cell]], wide: int,
    legends: Mapping[str, str], answered: Mapping[tuple[str, str], str], *, accept: bool = False, range_at: str = "",
    coded: Mapping[int, Mapping[str, Mapping[str, str]]] | None = None,
) -> SpreadValues:  # fmt: skip
    """Bring rows into the form that their fields want. `wide`: cells of a row that come from the sheet; `accept`: values
    have the meaning that is proposed for them; `range_at`: where in a range of targets a note puts the target;
    `coded`: what codes stand for, by the place of their column.
    """
    made, forbidding = _taken_over(readings, columns, rows, wide)
    out = SpreadValues(tuple(columns), made)
    out.typed = {c.at: [row[c.at] for row in made] for c in columns if c.field in ("joint", "operation")}
    by_place = {reading.at: reading for reading in readings}
    taken = {column.field for column in columns if column.field}
    extra: list[Column] = []
    pitch = next((reading for reading in readings if reading.field == PITCH), None)
    meanings: list[ValueMeaning] = []
    for column in columns:
        if column.field is None:
            continue
        reading = by_place[column.at]
        _follow_dittos(out, column)
        if told := (coded or {}).get(column.at):
            names = [name for name in reading.also if name not in taken]
            new = {name: wide + len(extra) + k for k, name in enumerate(names)}
            _decoded(made, column, new, told)
            extra += [Column(at, column.heading, n, None, column.matched, source=column.at) for n, at in new.items()]
            taken |= set(names)
            continue
        if column.field in _LENGTHS_IN_CELLS:
            _fractions_spelled(made, column)
        if column.field in ("torque", "stress", "load"):
            _units_spelled(made, column)
        asked: list[ValueMeaning] = []
        if column.field in _OF_KIND:
            before = _marks_told(out, column)
            asked = mark_of_numbers(out, column, answered, before, accept=accept)
            meanings += asked
        if (column.field in _OF_KIND or column.field in NUMBER_COLUMNS) and not asked:
            _marked(out, column)
        if column.field == "torque":
            _last_step(out, column)
        if column.field in _OF_KIND and range_at:
            _ranges(made, column, range_at)
        if column.field in _OF_KIND:
            extra += _moved(made, column, columns, wide + len(extra), extra)
        if column.field == "date":
            meanings += order_of_days(out, column, answered, accept=accept)
            _in_their_order(out, column)
        if column.field in ("operation", "method"):
            meanings += _words(out, column, legends, answered, accept=accept)
        if column.field == "joint":
            meanings += _joints_named(out, column, answered, accept=accept)
        if column.field == "studs":
            meanings += _several(out, column, answered, accept=accept)
        if column.field in ("hold_point", "witness"):
            _points(out, column)
        also = [name for name in reading.also if name not in taken]
        if also or column.field in ("thread", "studs", "grade"):
            new = {name: wide + len(extra) + k for k, name in enumerate(also)}
            _apart(made, column, new)
            extra += [
                Column(
                    at,
                    column.heading,
                    name,
                    column.unit if {name, column.field} == _DIAMETERS else None,
                    column.matched,
                    source=column.at,
                )
                for name, at in new.items()
            ]
            taken |= set(also)
        if column.field == "thread" and also and column.unit == "mm":
            _inches_marked(made, column)
        if column.field == "thread" and pitch is not None:
            _with_pitch(made, column, pitch)
        if column.field == "thread" and (other := WHITWORTH.search(column.heading)):
            for row in made:
                if not is_blank(row[column.at]):  # another form of thread: the tables have none, and say so
                    row[column.at] = f"{plain_text(row[column.at])} {other[0]}"
    out.columns = (*columns, *extra)
    tell(out.columns, made, answered)
    _instructions(out, forbidding, wide + len(extra))
    out.meanings = tuple(meanings)
    out.together = _name_together(out, readings)
    return out


def _taken_over(
    readings: Sequence[ColumnReading], columns: Sequence[Column], rows: Iterable[Sequence[Cell]], wide: int
) -> tuple[list[list[Cell]], list[int]]:  # fmt: skip
    """The cells of rows that anything is read from, and the columns of no field in which something is forbidden, with
    these cells; the others are left out, for a list has many of them.
    """
    fields = {*(each.at for each in readings if each.field), *(c.at for c in columns if c.field)}
    taken = sorted(at for at in fields if at < wide)
    others = [each.at for each in readings if each.at not in fields and each.at < wide]
    shared = dict[str, str]().setdefault  # the same text of many rows is kept once
    made: list[list[Cell]] = []
    forbidding = set[int]()
    for piece in pieces(rows):
        places = [*zip(*piece, strict=True)]
        nothing = (None,) * len(piece)
        kept: list[Sequence[Cell]] = [nothing] * wide
        for at in taken:
            kept[at] = [shared(cell, cell) if type(cell) is str else cell for cell in places[at]]
        for at in others:
            said = "\n".join([cell for cell in places[at] if type(cell) is str]).casefold()
            if "not" in said or "don" in said or "never" in said:
                kept[at] = [cell if isinstance(cell, str) and _DO_NOT.search(cell) else None for cell in places[at]]
                forbidding.add(at)
        made += map(list, zip(*kept, strict=True))
    return made, [at for at in others if at in forbidding]


def _texts(rows: Sequence[Sequence[Cell]], at: int) -> set[str]:
    """The different texts of a column."""
    return {cell for row in rows if type(cell := row[at]) is str}


_DIAMETERS = {"gasket_inside_diameter", "gasket_outside_diameter"}
"""Two facts of one cell that share the unit of its heading."""


def _decoded(
    rows: list[list[Cell]], column: Column, new: Mapping[str, int], told: Mapping[str, Mapping[str, str]]
) -> None:  # fmt: skip
    """Codes as what they stand for; one that the table does not have stays, and is refused."""
    for row in rows:
        row += [None] * len(new)
        facts = told.get(plain_text(row[column.at]).casefold())
        if facts is None:
            continue
        for name, at in ((str(column.field), column.at), *new.items()):
            row[at] = _cell(name, facts[name]) if name in facts else None


_TWO_WAYS = re.compile(r"([1-9]\d{0,2})([.,])(\d{3})")
_PARTS_DECIMALS = re.compile(r"\d{1,3}(?:([.,])\d{3})+(?!\1)([.,])\d+|()\d+([.,])(?:\d{1,2}|\d{4,})")
_PARTS_THOUSANDS = re.compile(r"\d{1,3}([.,])\d{3}(?:\1\d{3})+")


def _decimal_mark(text: str) -> str:
    """The mark before the decimals of a number typed as text, "" where it may be the other one."""
    if found := _PARTS_DECIMALS.fullmatch(text):
        return found[2] or found[4]
    return "," if (many := _PARTS_THOUSANDS.fullmatch(text)) and many[1] == "." else "." if many else ""


def _marks_told(out: SpreadValues, column: Column) -> dict[int, str]:
    """By row, the mark before the decimals of numbers typed as text that can be read in one way only."""
    marks = {
        text: mark for text in _texts(out.rows, column.at)
        if (split := split_number(text)) and (mark := _decimal_mark(split[0]))
    }  # fmt: skip
    if not marks:
        return {}
    return {i: marks[cell] for i, row in enumerate(out.rows) if type(cell := row[column.at]) is str and cell in marks}


def _marked(out: SpreadValues, column: Column) -> None:
    """Numbers typed as text with one mark before three digits ("9.500"), where others of the column tell what the mark
    parts ("2.300,5"), and these do not contradict one another.
    """
    splits = {text: split for text in _texts(out.rows, column.at) if (split := split_number(text))}
    if not any(_TWO_WAYS.fullmatch(text) for text, _ in splits.values()):
        return
    parted = {
        i: splits[cell] for i, row in enumerate(out.rows) if type(cell := row[column.at]) is str and cell in splits
    }
    open_ones = {i: found for i, (text, _) in parted.items() if (found := _TWO_WAYS.fullmatch(text))}
    tell = {mark: text for text, _ in parted.values() if (mark := _decimal_mark(text))} if open_ones else {}
    if len(tell) != 1:
        return
    ((decimal, text),) = tell.items()
    for i, found in open_ones.items():
        number = f"{found[1]}.{found[3]}" if found[2] == decimal else f"{found[1]}{found[3]}"
        unit = parted[i][1]
        out.rows[i][column.at] = f"{number.rstrip('0') if '.' in number else number} {unit}" if unit else float(number)
    first = next(iter(open_ones.values()))
    kind = "decimals" if first[2] == decimal else "thousands"
    out.marks.append(
        f"'{first[0]}' in '{column.heading}' is read with its mark before {kind}, as '{text}' there has it"
    )


def _in_their_order(out: SpreadValues, column: Column) -> None:
    """Dates typed as two numbers and a year, in the order of day and month that the others of the column show."""
    first = day_comes_first(_texts(out.rows, column.at))
    if first is None:
        return
    texts = [cell for row in out.rows if isinstance(cell := row[column.at], str)]
    changed = 0
    for row in out.rows:
        cell = row[column.at]
        if isinstance(cell, str) and (day := two_ways(cell.strip(), day_first=first)) is not None:
            row[column.at], changed = day, changed + 1
    if changed:
        order = "day before month" if first else "month before day"
        tells = next(text for text in texts if day_comes_first([text]) is not None)
        out.marks.append(f"dates in '{column.heading}' are read {order}, as '{tells}' there can only be read")


_STEPS = re.compile(r"(\d[\d.,]*)((?:\s*(?:[-–/→>;]|then)\s*\d[\d.,]*){2,4})\s*([^\d\s].*)?")
_FIRST_STEP = 0.6
"""A first step is at most this share of the full torque; a range of limits is narrower."""


def _last_step(out: SpreadValues, column: Column) -> None:
    """Steps of torque in one cell ("300-700-1150 Nm"): the last is the full torque."""
    if not any(_STEPS.fullmatch(plain_text(text)) for text in _texts(out.rows, column.at)):
        return
    for row in out.rows:
        cell = row[column.at]
        if not isinstance(cell, str) or not (found := _STEPS.fullmatch(plain_text(cell))):
            continue
        texts = re.findall(r"\d[\d.,]*", found[1] + found[2])
        steps = [number(text) for text in texts]
        if any(step is None for step in steps):
            continue
        values = [step for step in steps if step is not None]
        if all(one < other for one, other in pairwise(values)) and values[0] <= _FIRST_STEP * values[-1]:
            row[column.at] = f"{texts[-1]} {found[3]}" if found[3] else values[-1]
            out.marks.append(f"'{plain_text(cell)}' in '{column.heading}' is read as steps: the last is the torque")


_RANGE = re.compile(r"(\d[\d.]*)\s*(?:-|–|—|to|\.\.\.?|…)\s*(\d[\d.]*)\s*([A-Za-z].*)?")


def _ranges(rows: list[list[Cell]], column: Column, place: str) -> None:
    """Ranges of targets ("1340 – 1490") as the figure that a note asks for: the middle, the lower or the upper end."""
    for row in rows:
        cell = row[column.at]
        found = _RANGE.fullmatch(plain_text(cell)) if isinstance(cell, str) else None
        if found is None:
            continue
        low, high = float(found[1]), float(found[2])
        if not low < high <= 2 * low:
            continue
        value = {"low": low, "high": high}.get(place, (low + high) / 2)
        row[column.at] = f"{value:g} {found[3]}" if found[3] else value


_OF_KIND = {"torque": "torque", "load": "force", "stress": "stress"}


def _moved(
    rows: list[list[Cell]], column: Column, columns: Sequence[Column], at: int, extra: Sequence[Column]
) -> list[Column]:  # fmt: skip
    """Cells under one target whose own unit is that of another ("545 kN" under torque), put where they belong.

    Where the row has that target already the cell stays, and is refused. Returns the column that was made for them.
    """
    held = {c.field: c.at for c in (*columns, *extra) if c.field in _OF_KIND}
    by_kind = {kind: name for name, kind in _OF_KIND.items() if name != column.field}
    moves: dict[int, str] = {}
    for i, row in enumerate(rows):
        cell = row[column.at]
        if isinstance(cell, str) and (found := _NUMBER_UNIT.fullmatch(plain_text(cell))):
            unit = unit_of(found[2])
            name = by_kind.get(unit.kind, "") if unit is not None and unit.symbol else ""
            if name and (name not in held or is_blank(row[held[name]])):
                moves[i] = name
    made: list[Column] = []
    for name in dict.fromkeys(moves.values()):
        if name not in held:
            held[name] = at + len(made)
            made.append(Column(held[name], column.heading, name, None, column.matched, source=column.at))
    if made:
        for row in rows:
            row += [None] * (at + len(made) - len(row))
    for i, name in moves.items():
        rows[i][held[name]], rows[i][column.at] = rows[i][column.at], None
    return made


def _follow_dittos(out: SpreadValues, column: Column) -> None:
    if not any_ditto(_texts(out.rows, column.at)):
        return
    last: Cell = None
    for row in out.rows:
        cell = row[column.at]
        if isinstance(cell, str) and is_ditto(cell):
            if last is not None:
                row[column.at] = last
                out.dittos[column.heading] += 1
        elif not is_blank(cell):
            last = cell


WHITWORTH = re.compile(r"\bBSW\b|\bBSF\b|whitworth", re.IGNORECASE)
"""Another form of thread than those of the tables, in the same sizes."""
_LENGTHS_IN_CELLS = frozenset(("thread", "studs", "size", "length", "across_flats", "grip"))


def _fractions_spelled(rows: list[list[Cell]], column: Column) -> None:
    """Fractions of an inch in the one spelling that sizes are read with: "1⅛" and "1.1/8" are 1 1/8."""
    at = column.at
    spelled = {text: plain_fractions(text) for text in _texts(rows, at)}
    changed = {text: plain for text, plain in spelled.items() if plain != text}
    if changed:
        for row in rows:
            row[at] = changed.get(row[at], row[at]) if isinstance(row[at], str) else row[at]


def _units_spelled(rows: list[list[Cell]], column: Column) -> None:
    """Units in cells in the one spelling that the numbers are read with: "780 ft/lb" is 780 lbf·ft."""
    if not _texts(rows, column.at):
        return
    for row in rows:
        cell = row[column.at]
        if isinstance(cell, str):
            cell = row[column.at] = one_figure(plain_text(cell)) if column.field == "torque" else cell
        if isinstance(cell, str) and (found := _NUMBER_UNIT.fullmatch(plain_text(cell))):
            unit = unit_of(found[2])
            if column.field == "load" and (force := FORCES_BY_MASS.get(found[2].lower().strip(" ."))):
                row[column.at] = f"{found[1].strip()} {force}"  # of a load, "33000 lb" is a force
            elif unit is not None and unit.symbol and unit.kind in ("torque", "stress", "force", "pressure"):
                row[column.at] = f"{found[1].strip()} {unit.symbol}"


def _apart(rows: list[list[Cell]], column: Column, new: Mapping[str, int]) -> None:
    """Take the facts of a column's cells apart: its own stays, the others go into new cells at the end of the row."""
    name = str(column.field)
    told: dict[str, dict[str, str]] = {}
    texts = _texts(rows, column.at)
    if numbers_its_rows(texts):
        told = {text: {} for text in texts if numbered(text)}
    for row in rows:
        if new:
            row += [None] * len(new)
        cell = row[column.at]
        if not isinstance(cell, str):
            continue
        if cell not in told:
            told[cell] = _facts(name, plain_text(cell))
        found = told[cell]
        if name in found:
            row[column.at] = _cell(name, found[name])
            for other, at in new.items():
                if other in found:
                    row[at] = _cell(other, found[other])


def _facts(name: str, text: str) -> dict[str, str]:
    """The facts of one cell of a field, by field."""
    if name == "studs" and _TIMES.fullmatch(text):
        return {}  # "8 x 2" is asked about, and is no thread of 2 in
    found = parts(text)
    pair = two_diameters(text) if name in ("gasket_inside_diameter", "gasket_outside_diameter") else None
    if pair is not None:
        return {"gasket_inside_diameter": str(pair[0]), "gasket_outside_diameter": str(pair[1])}
    if name == "thread" and not found and (kind := _KIND.fullmatch(text)):
        return {"thread": kind["thread"]}
    if name == "studs" and not found and (off := _OFF.fullmatch(text)):
        return {"studs": off[1]}
    if name == "studs" and (count := studs_and_nuts(text)) is not None:
        return {"studs": str(count)}
    if name == "thread" and (fine := _PITCH_BEHIND.fullmatch(text)):
        return {"thread": f"{fine[1]}x{fine[2]}"}
    return found


def _cell(name: str, text: str) -> Cell:
    value = number(text) if name in ("studs", "gasket_inside_diameter", "gasket_outside_diameter") else None
    return text if value is None else int(value) if value == int(value) else value


def _inches_marked(rows: list[list[Cell]], column: Column) -> None:
    """Where a cell holds a thread and its length, millimetres in the heading are those of the length: a fraction, or a
    number that is no metric size, is a stud in inches.
    """
    for row in rows:
        text = plain_text(row[column.at])
        if re.fullmatch(r"(?:\d[ -])?\d{1,2}/\d{1,2}|[1-5](?:\.\d+)?", text):
            row[column.at] = f'{text}"'


def _with_pitch(rows: list[list[Cell]], column: Column, pitch: ColumnReading) -> None:
    """Size and pitch (threads per inch, or series) of two columns as one designation."""
    for row in rows:
        size, step = row[column.at], row[pitch.at] if pitch.at < len(row) else None
        if is_blank(size) or is_blank(step):
            continue
        text, plain = plain_text(size), plain_text(step)
        if (series := series_of(plain)) and not re.search(r"UN", text, re.IGNORECASE):
            row[column.at] = f"{text.rstrip(chr(34))} {series}"
            continue
        found = re.fullmatch(r"(\d{1,2}(?:[.,]\d+)?)\s*(mm|tpi|UN\w*)?", plain, re.IGNORECASE)
        if not found or (re.search(r"[-x×]\s*\d|UN", text[1:]) and pitch_stated(text)):
            continue  # "1-1/4" has a hyphen and no pitch
        value, unit = found[1].replace(",", "."), (found[2] or "").lower()
        metric = text[:1] in "mM" or column.unit == "mm" or unit == "mm"
        if metric and float(value) <= 8 and unit != "tpi":
            row[column.at] = f"M{text.lstrip('mM ')}x{value}"
        elif not metric and float(value) >= 3.5 and unit != "mm":
            row[column.at] = f"{text.rstrip(chr(34))}-{value}"


def bare_metric(columns: Sequence[Column], rows: Sequence[Sequence[Cell]], *, coarse: bool) -> Counter[str]:
    """Metric sizes above M27 that stand without a pitch, with their number of rows; given the coarse one where told to.

    Up to M27 a bare size means the coarse pitch; above, a pitch of 3 mm and the coarse one are both usual.
    """
    found: Counter[str] = Counter()
    thread = next((column for column in columns if column.field == "thread"), None)
    if thread is None:
        return found
    at, bare = thread.at, re.compile(r"M?\s?(\d{2,3})" if thread.unit == "mm" else r"M\s?(\d{2,3})", re.IGNORECASE)
    sizes = {
        text: match
        for text in set(map(plain_text, {row[at] for row in rows if at < len(row)}))
        if (match := bare.fullmatch(text)) and int(match[1]) > 27
    }
    for row in rows if sizes else ():
        match = sizes.get(plain_text(row[at])) if at < len(row) else None
        if match is None:
            continue
        pitch = coarse_pitch(float(match[1]))
        if coarse and pitch is not None and isinstance(row, list):
            row[at] = f"M{match[1]}x{pitch:g}"
        else:
            found[f"M{match[1]}"] += 1
    return found


def _words(
    out: SpreadValues, column: Column, legends: Mapping[str, str], answered: Mapping[tuple[str, str], str], *, accept: bool
) -> list[ValueMeaning]:  # fmt: skip
    """Operations and methods told by a legend or an answer; the words that stay unknown, once each."""
    from addin.reading.joint_rows import known_word, likely_word

    name = str(column.field)
    codes = _codes(legends, column.heading)
    counted: Counter[str] = Counter()
    known: dict[str, str | None] = {}
    for row in out.rows:
        cell = row[column.at]
        if not isinstance(cell, (str, int)) or isinstance(cell, bool):
            continue
        key = str(cell)
        if key not in known:
            text = plain_text(cell)
            told = answered.get((name, text.casefold())) or codes.get(text.casefold(), "")
            meant = known_word(name, told) if told else None
            known[key] = "" if stands_for_nothing(cell) else meant or known_word(name, text)
        if known[key] is None:
            counted[plain_text(cell)] += 1
        elif known[key]:
            row[column.at] = known[key]
    choices = (
        ("break", "test make-up", "final make-up", "retighten")
        if name == "operation"
        else ("hydraulic", "hand", "other")
    )
    made = []
    likely = {text: likely_word(name, codes.get(text.casefold(), "") or text) or "" for text in counted}
    bare = {text for text in counted if name == "method" and text.casefold() not in codes and _is_code(text)}
    maybe, likely = likely, {text: "" if text in bare else meaning for text, meaning in likely.items()}
    for row in out.rows if accept and any(likely.values()) else ():
        if meaning := likely.get(plain_text(row[column.at])):
            row[column.at] = meaning
    for text, count in counted.items():
        meaning = likely[text]
        first = (maybe[text], *(c for c in choices if c != maybe[text])) if maybe[text] else choices
        why = f"'{text}' may be {meaning}" if meaning else f"'{text}' is no {name} that is known"
        if text in bare:
            why = f"'{text}' is a code that no legend of the list explains"
        made.append(
            ValueMeaning(name, column.heading, text, count, meaning, PROPOSED if meaning else ASKED, first, why)
        )
    return made


_CODE = re.compile(r"[A-Za-z]{1,4}\.?[\s-]*\d*")


def _is_code(text: str) -> bool:
    """Whether a method is a code of a few letters, which every plant reads in its own way.

    >>> [_is_code(text) for text in ("HYD", "HTW-2", "hyd. wrench", "manuel")]
    [True, True, False, False]
    """
    return _CODE.fullmatch(text) is not None and not spoken("method", text)[0]


_AND = re.compile(r"\s*(?:[/,;&+]|\b(?:and|und|et|e|y|en|og|i)\b)\s*")
_SIGN = re.compile(r"[/,;&+]|\b(?:and|und|et|e|y|en|og|i)\b")
"""What stands between two names, without the blanks around it."""
_LAST = re.compile(r"[^\W\d_]+[ .-]?\d+[^\W\d_]?$")
ONE_JOINT = "one joint"


def joints_named(tag: str) -> tuple[str, ...]:
    """The joints that a tag names, where it names more than one: parts that are alike, with the same letters.

    >>> joints_named("V-101 N1/N2"), joints_named("A-1, A-2 & A-3"), joints_named("P-101/N1"), joints_named("DN200/PN40")
    (('V-101 N1', 'N2'), ('A-1', 'A-2', 'A-3'), (), ())
    """
    if not _SIGN.search(tag):
        return ()  # as nearly every tag
    parts = [part.strip() for part in _AND.split(tag) if part.strip()]
    ends = [found.group() if (found := _LAST.search(part)) else "" for part in parts]
    kinds = {re.sub(r"\d+", "0", end) for end in ends}
    whole = all(end == part for end, part in zip(ends[1:], parts[1:], strict=True))
    if len(parts) < 2 or len(kinds) != 1 or not whole or len(set(ends)) != len(ends):  # fmt: skip
        return ()
    return tuple(parts)


def _joints_named(
    out: SpreadValues, column: Column, answered: Mapping[tuple[str, str], str], *, accept: bool
) -> list[ValueMeaning]:  # fmt: skip
    """Tags like "N1/N2", one question each: their rows wait until somebody says that it is one joint."""
    made: list[ValueMeaning] = []
    for i, row in enumerate(out.rows):
        cell = row[column.at]
        if not isinstance(cell, str) or not _SIGN.search(cell) or not (names := joints_named(plain_text(cell))):
            continue
        text = plain_text(cell)
        if accept or answered.get(("joint", text.casefold()), "").casefold() == ONE_JOINT:
            continue
        out.several[i] = text
        if all(each.text != text for each in made):
            why = f"'{text}' may name {len(names)} joints: then give each a row of its own; or is it one joint?"
            made.append(ValueMeaning("joint", column.heading, text, 1, "", ASKED, (ONE_JOINT,), why))
    return made


_TIMES = re.compile(r"(\d{1,3})\s*[x×*]\s*(\d{1,3})|(\d{1,3})\s*\+\s*(\d{1,3})")
_BEHIND = re.compile(r"(\d{1,3})\s*(?:/\s*[^\W\d][^\d]*|\(.+\)|[^\W\d/][^\d/]{2,}.*)")
"""A count with words behind it: "16 / chamber", "20 (1 oversize, see note)"."""
_MOST_TIMES = 4


def _several(
    out: SpreadValues, column: Column, answered: Mapping[tuple[str, str], str], *, accept: bool
) -> list[ValueMeaning]:  # fmt: skip
    """Counts like "2 x 12", "8 + 8" and "16 / chamber": which number is that of one joint? Asked once each."""
    counted: Counter[str] = Counter()
    asked = {text for text in map(plain_text, _texts(out.rows, column.at)) if _says_several(text)}
    for row in out.rows if asked else ():
        text = plain_text(row[column.at]) if isinstance(row[column.at], str) else ""
        if text not in asked:
            continue
        told = answered.get(("studs", text.casefold()), "")
        if told.isdecimal():
            row[column.at] = int(told)
        else:
            counted[text] += 1
    made = []
    for text, count in counted.items():
        first, choices, why = _count_meant(text)
        made.append(ValueMeaning("studs", column.heading, text, count, str(first), PROPOSED, choices, why))
        for row in out.rows if accept else ():
            if plain_text(row[column.at]) == text:
                row[column.at] = first
    return made


def _says_several(text: str) -> bool:
    if _TIMES.fullmatch(text):
        return True
    return bool(_BEHIND.fullmatch(text)) and not _OFF.fullmatch(text) and not parts(text)


def _count_meant(text: str) -> tuple[int, tuple[str, ...], str]:
    """The likeliest count of one joint in a text, the choices, and what is asked.

    >>> [_count_meant(text)[0] for text in ("2 x 12", "8 x 2", "8 + 8", "6+2", "16 / chamber")]
    [12, 8, 8, 8, 16]
    """
    found = _TIMES.fullmatch(text)
    if found is None:
        count = int(re.match(r"\d+", text)[0])  # type: ignore[index]
        return count, (str(count),), f"{count} studs, with the words behind it a remark?"
    one, other = (int(part) for part in found.groups() if part)
    if found[1]:
        times, each = (one, other) if one <= other else (other, one)
        total, first = times * each, each if times <= _MOST_TIMES else times * each
    else:
        times, each, total = 2, other, one + other
        first = each if one == other else total
    choices = tuple(dict.fromkeys((str(first), str(each), str(total))))
    if not found[1] and one != other:
        return first, choices, f"{total} studs in one joint, in two groups?"
    return first, choices, f"{each} studs in each of {times} joints alike, or {total} in one joint?"


_POINTS = (
    ("hold point", re.compile(r"h(?:\.?p\.?)?|hold[- ]?p(?:oin)?ts?|stop(?: point)?", re.IGNORECASE)),
    ("witness point", re.compile(r"w(?:\.?p\.?)?|witness(?:[- ]?p(?:oin)?t)?|attend", re.IGNORECASE)),
    ("review", re.compile(r"r(?:\.?p\.?)?|review|records?", re.IGNORECASE)),
)
_TICK = re.compile(r"[x✓✔√☑●•y1]|yes|true|ja|oui|si|sí", re.IGNORECASE)


def _points(out: SpreadValues, column: Column) -> None:
    """Points of inspection by their cells: H, W, R; a bare tick is what the heading says, for all passes."""
    own = "hold point" if column.field == "hold_point" else "witness point"
    for row in out.rows:
        cell = row[column.at]
        text = "yes" if cell is True else plain_text(cell)
        if cell is False or not text:
            row[column.at] = None
        elif _TICK.fullmatch(text):
            row[column.at] = f"{own}, all passes"
        else:
            row[column.at] = next((name for name, known in _POINTS if known.fullmatch(text)), cell)


_DO_NOT = re.compile(r"\bdo not\b|\bdon'?t\b|\bnever\b|\bmust not\b", re.IGNORECASE)


def _instructions(out: SpreadValues, places: Sequence[int], at: int) -> None:
    """Texts like "do not use moly" in columns that hold no field, copied to the remarks, for cards show those."""
    found: dict[int, list[str]] = {}
    for i, row in enumerate(out.rows) if places else ():
        for p in places:
            if isinstance(cell := row[p], str) and not says_held(cell):
                found.setdefault(i, []).append(" ".join(cell.split()))
    if not found:
        return
    remarks = next((column for column in out.columns if column.field == "remarks"), None)
    if remarks is None:
        remarks = Column(at, "what the list says not to do", "remarks", None, "sure", source=places[0])
        out.columns = (*out.columns, remarks)
        for row in out.rows:
            row += [None] * (at + 1 - len(row))
    for i, words in found.items():
        own = [plain_text(out.rows[i][remarks.at])] if not is_blank(out.rows[i][remarks.at]) else []
        out.rows[i][remarks.at] = "; ".join([*own, *words])


def _codes(legends: Mapping[str, str], heading: str) -> dict[str, str]:
    """The codes that a legend gives for a column: "B break out / T make up for test", "H1: hyd. wrench small"."""
    found = {key: said for key, said in legends.items() if len(key) <= 6}
    own = next((said for key, said in legends.items() if key and key in heading.casefold() and len(key) > 3), "")
    for piece in re.split(r"\s*[/|;]\s*", own):
        match = re.match(r"(\w{1,3})\s*[:=-]?\s+(.+)", piece)
        if match:
            found[match[1].casefold()] = match[2]
    return found


def _name_together(out: SpreadValues, readings: Sequence[ColumnReading]) -> str:
    """Joints whose tags repeat and that only equipment and tag together tell apart: both in the joint's cell."""
    places = {column.field: column.at for column in out.columns if column.field in ("joint", "equipment", "operation")}
    if "joint" not in places or "equipment" not in places:
        return ""
    tag, host, work = places["joint"], places["equipment"], places.get("operation")

    rows = [row for row in out.rows if not is_blank(row[tag])]
    done = [row[work] if work is not None else None for row in rows]
    tags = [row[tag] for row in rows]
    if len({*zip(tags, done, strict=True)}) == len(rows):
        return ""
    if len({*zip((row[host] for row in rows), tags, done, strict=True)}) != len(rows):
        return ""
    for row in rows:
        if not is_blank(row[host]) and plain_text(row[host]).casefold() not in plain_text(row[tag]).casefold():
            row[tag] = f"{plain_text(row[host])} {plain_text(row[tag])}"
    heads = {reading.field: reading.heading for reading in readings}
    return f"'{heads.get('equipment', 'equipment')}' and '{heads.get('joint', 'joint')}' together name the joint: the tags repeat"
