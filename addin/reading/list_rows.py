"""The rows below a list's headings: which are joints, and what the others are. Every row that is left out is told."""

import re
from bisect import bisect_left
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from addin.cells.numbers import Cell, is_blank, plain_text, stands_for_nothing
from addin.reading.column import Column
from addin.reading.finder import FoundList, other_headings, other_units
from addin.reading.joint_rows import speaks
from addin.reading.own_columns import OwnValues, is_key
from addin.workbooks.package import WorkbookError
from addin.workbooks.packed_rows import PackedRows, RowsOfList

ROWS_LIMIT = 100_000
_TOTALS = ("total", "subtotal", "sub-total", "sub total", "grand total", "sum of", "sum:")
_TOTAL = re.compile(
    r"(?:sub|grand|gr\.?)?[- ]?(?:totals?|totale|totaal|totalt|tot\.|sum|summe|summa|somme|suma|gesamt|insgesamt|yhteens[aä]|razem|celkem|toplam|"
    r"[oö]sszesen|итого|всего|jumlah|ukupno|i alt)\b",
    re.IGNORECASE,
)
"""A total in other words and tongues: only in a row without a tag."""
_LEGEND = re.compile(r"\w\s+=\s+\w.*\w\s+=\s+\w")
_FEW = 4


@dataclass
class ListRows:
    """The joint rows: their numbers in the sheet, their cells, and what was left out.

    stale : (row, column place) of formulas without a stored value; as_percent : rows whose percentage is formatted
    as %; own_keys, own_cards, own_values : what our first column, our column of
    cards and all of ours say, by row number; left_out : kind -> row numbers.
    """

    cells: RowsOfList = field(default_factory=lambda: RowsOfList(PackedRows(), 0))
    stale: set[tuple[int, int]] = field(default_factory=set)
    as_percent: set[int] = field(default_factory=set)
    own_keys: dict[int, str] = field(default_factory=dict)
    own_cards: dict[int, str] = field(default_factory=dict)
    own_values: Mapping[int, tuple[Cell, ...]] = field(default_factory=dict)
    own_strays: list[tuple[int, int]] = field(default_factory=list)
    """Cells of our columns that hold something in a row that our first column does not name."""
    left_out: dict[str, list[int]] = field(default_factory=dict)
    texts: dict[int, str] = field(default_factory=dict)
    """What a row that was left out says, for group rows."""

    @property
    def numbers(self) -> list[int]:
        """The numbers of the joint rows in the sheet."""
        return self.cells.numbers


_OF_A_STUD = ("thread", "torque", "load", "stress", "percent")


class RowReader:
    """Reads the rows of one list in one pass, and sorts out at the end what only the whole list can tell."""

    def __init__(
        self, where: str, found: FoundList, columns: Sequence[Column], tables: Collection[int] = (),
        aside: Collection[int] = (),
    ) -> None:  # fmt: skip
        self.tables = frozenset(tables)  # rows of tables that explain codes
        self.aside = frozenset(aside)  # rows of other tables
        self.where, self.found, self.columns = where, found, columns
        self.mapped = [column.at for column in columns if column.field]
        self.joint = next(
            (c.at for name in ("joint", "equipment", "line") for c in columns if c.field == name), self.mapped[0]
        )
        self.probe = next((at for at in self.mapped if at != self.joint), self.joint)
        self.percent = next((column.at for column in columns if column.field == "percent"), None)
        self.wide = max([*self.mapped, *(head.at for head in found.heads)]) + 1
        ours = {name: number - 1 for name, number in found.own.places.items()} if found.own else {}
        self.ours, self.own_card = set(ours.values()), ours.get("Card")
        self.own_first = found.own.first - 1 if found.own else None
        self.heads = {head.at: " ".join(head.text.split()).casefold() for head in found.heads}
        self.units = {head.at: head.unit.casefold() for head in found.heads if head.unit}
        self.merged = self._merged()
        self.rows = ListRows(cells=RowsOfList(found.cells.rows, self.wide))
        self._soles: list[tuple[int, list[Cell], bool]] = []
        self._tags: list[Cell] = []

    def _merged(self) -> dict[int, dict[int, int]]:
        """For each read column: row -> the row above that holds its merged value."""
        tops: dict[int, dict[int, int]] = {}
        for area in self.found.scan.merged:
            at = area.left - 1
            if at in self.mapped and area.bottom > area.top and area.bottom >= self.found.body:
                tops.setdefault(at, {}).update(dict.fromkeys(range(area.top + 1, area.bottom + 1), area.top))
        return tops

    def read(self) -> ListRows:
        """Read the rows below the headings.

        Raises WorkbookError for another list below, or too many rows.
        """
        out, scan, joint, probe, wide = self.rows, self.found.scan, self.joint, self.probe, self.wide
        uncached_anywhere = len(scan.uncached) > 0
        held: dict[int, tuple[int, Cell]] = {}
        cells, body = self.found.cells, self.found.body
        apart = self.tables | self.aside
        for number, row in _each_from(cells.rows, body):
            if number in apart:
                self._leave("code_table" if number in self.tables else "other_table", number)
                continue
            values = row if len(row) == wide else row[:wide] + [None] * (wide - len(row))
            if self.merged and number not in self.found.moved:  # those are laid there with the values of merged cells
                merged, values = False, [*values]
                for at, tops in self.merged.items():
                    if number in tops:
                        top, value = held.get(at, (0, None))
                        values[at], merged = value if top == tops[number] else None, True
                    elif values[at] is not None:
                        held[at] = (number, values[at])
                if merged:
                    out.cells.put(number, values)
            if self.own_first is not None:
                self._ours(number, row)
            uncached = [at for at in self.mapped if self._uncached(number, at)] if uncached_anywhere else []
            tag = values[joint]
            if number == body and self._only_numbers_columns(number, values):
                self._leave("numbering_row", number)
                continue
            if (
                tag is None
                or values[probe] is None
                or uncached
                or (isinstance(tag, str) and self._odd(tag.strip().casefold()))
            ) and not self._is_joint(number, row, values, uncached):
                continue
            if self.percent is not None and (number, self.found.stands_at(number, self.percent) + 1) in cells.percents:
                out.as_percent.add(number)
            out.stale.update((number, at) for at in uncached)
            out.cells.append(number)
            self._tags.append(tag)
            if len(out.numbers) > ROWS_LIMIT:
                raise WorkbookError(f"{self.where}: more than {ROWS_LIMIT} rows hold something")
        self._settle()
        if self.found.own is not None:
            out.own_values = OwnValues(self.found.own, cells.rows, out.own_keys)
        return out

    def _ours(self, number: int, row: list[Cell]) -> None:
        """Note what our columns say of a row."""
        filled = [at for at in self.ours if at < len(row) and not is_blank(row[at])]
        tag = plain_text(row[self.joint]) if self.joint < len(row) else ""
        first = plain_text(row[self.own_first]) if self.own_first in filled else ""
        if self.own_first in filled and (is_key(row[self.own_first]) or (tag and first.startswith(f"{tag} | "))):
            self.rows.own_keys[number] = plain_text(row[self.own_first])
            if self.own_card in filled:
                self.rows.own_cards[number] = plain_text(row[self.own_card])
        elif filled:
            self.rows.own_strays.append((number, min(filled) + 1))

    def _uncached(self, number: int, at: int) -> bool:
        top = self.merged.get(at, {}).get(number, number)
        return (top, self.found.stands_at(top, at) + 1) in self.found.scan.uncached

    def _odd(self, tag: str) -> bool:
        """Whether the text in the tag's column may be no tag: a total, the headings again, a dash, nothing."""
        if tag.startswith(_TOTALS) or tag == self.heads.get(self.joint):
            return True
        return len(tag) < 5 and stands_for_nothing(tag)

    def _only_numbers_columns(self, number: int, values: list[Cell]) -> bool:
        """Whether the first row below the headings counts the columns: 1, 2, 3 or a, b, c."""
        cells = [plain_text(values[at]).strip("()").casefold() for at in self.mapped if not is_blank(values[at])]
        if number != self.found.body or len(cells) < 3 or len(cells) < len(self.mapped):
            return False
        counts = [int(cell) if cell.isdecimal() and len(cell) < 4 else _letter(cell) for cell in cells]
        return all(one < other <= len(values) for one, other in pairwise(counts)) and counts[0] > 0

    def _leave(self, kind: str, number: int) -> bool:
        self.rows.left_out.setdefault(kind, []).append(number)
        return False

    def _is_joint(self, number: int, row: list[Cell], values: list[Cell], uncached: list[int]) -> bool:
        """Whether an unusual row is one of a joint; otherwise it is noted as what it is."""
        filled = [at for at in self.mapped if at in uncached or not stands_for_nothing(values[at])]
        if not filled:
            return False
        texts = {at: " ".join(values[at].split()).casefold() for at in filled if isinstance(values[at], str)}
        if len(texts) == len(filled):
            again = sum(text == self.heads.get(at) for at, text in texts.items())
            same_units = not other_units({at: values[at] for at in texts}, self.heads)
            if again == len(texts) or (again >= 3 and again >= 0.6 * len(texts) and same_units):
                return self._leave("headings_repeated", number)
            if self.rows.left_out.get("headings_repeated", [])[-1:] == [number - 1] and all(
                text == self.units.get(at) for at, text in texts.items()
            ):
                return self._leave("headings_repeated", number)
        first = next((texts[at] for at in filled if at in texts), "")
        if first.startswith(_TOTALS) and (self.joint not in filled or texts.get(self.joint) == first):
            others = [at for at in filled if at != self.joint and at in texts and texts[at] != first]
            if not others:  # a total has numbers, a joint whose tag begins so has words too
                return self._leave("total_row", number)
        said = plain_text(values[self.joint]) if self.joint in filled else ""
        if not said or _TOTAL.match(said) or _LEGEND.search(said):
            total = any(isinstance(cell, str) and _TOTAL.match(cell.strip()) for cell in row)
            if self._says_nothing_of_a_joint(row, values, filled, total=total):
                self.rows.texts[number] = "; ".join(plain_text(cell) for cell in row if not is_blank(cell))[:80]
                return self._leave("total_row" if total else "row_without_tag", number)
        whole = [k for k, cell in enumerate(row) if k not in self.ours and not is_blank(cell)]
        if len(filled) == 1 and set(whole) <= set(filled):
            at = filled[0]
            if at == self.joint or isinstance(values[at], str):
                self._soles.append((number, values, self._spread(number, at)))
                return False
            return self._leave("total_row", number)
        if other_headings(values, self.heads):
            raise WorkbookError(
                f"{self.where}: row {number} holds other headings than row {self.found.heading_row}: "
                "two lists in one sheet cannot be read together"
            )
        return True

    def _says_nothing_of_a_joint(
        self, row: list[Cell], values: list[Cell], filled: list[int], *, total: bool
    ) -> bool:  # fmt: skip
        """Whether a row without a tag has neither thread nor target and few cells: a sum, or a remark on the side."""
        told = [column.at for column in self.columns if column.field in _OF_A_STUD and column.at in filled]
        numbers = [at for at in told if not isinstance(values[at], str) or re.search(r"\d", values[at])]
        return (total or not numbers) and 1 < sum(
            not is_blank(cell) for k, cell in enumerate(row) if k not in self.ours
        ) <= _FEW

    def _spread(self, number: int, at: int) -> bool:
        """Whether a cell is merged over several columns."""
        return any(
            each.top <= number <= each.bottom and each.left - 1 <= at <= each.right - 1 and each.right > each.left
            for each in self.found.scan.merged
        )

    def _settle(self) -> None:
        """Rows of one text only: a heading of the joints below it, a note below the list, or a joint without data."""
        out = self.rows
        self._cut_notes()
        tags = [plain_text(tag) for tag in self._tags[: len(out.numbers)]] if self._soles else []
        shapes = {_shape(tag) for tag in tags}
        last = out.numbers[-1] if out.numbers else 0
        mixed = sum(tag != tag.upper() for tag in tags) > 0.6 * len(tags)
        for number, values, spread in self._soles:
            tag = values[self.joint]
            if mixed and isinstance(tag, str) and tag == tag.upper() and not re.search(r"\d", tag):
                spread = True  # in capitals among names that are not: the title of a section
            if number < last and tag is not None and not spread and _shape(tag) in shapes:
                out.cells.insert(bisect_left(out.numbers, number), number)
                continue
            self._leave("group_row" if number < last else "notes_below", number)
            out.texts[number] = plain_text(next((value for value in values if not is_blank(value)), ""))
        aside = out.left_out.pop("row_without_tag", [])
        for number in aside:  # below the last joint it is a note like those around it
            self._leave("row_without_tag" if number < last else "notes_below", number)
        for numbers in out.left_out.values():
            numbers.sort()
        places = {number: i for i, number in enumerate(out.numbers)}
        out.stale = {(places[number], at) for number, at in out.stale if number in places}
        out.as_percent = {places[number] for number in out.as_percent if number in places}

    def _cut_notes(self) -> None:
        """Take rows that say nothing of a joint off the end, where a gap parts them from the last one that does."""
        out = self.rows
        end = len(out.numbers)
        while end and not speaks(self.columns, out.cells[end - 1]):
            end -= 1
        if not end:
            return
        while end < len(out.numbers) and out.numbers[end] == out.numbers[end - 1] + 1:
            end += 1
        for number in out.numbers[end:]:
            self._leave("notes_below", number)
        out.cells.cut(end)


def _each_from(rows: PackedRows, first: int) -> Iterator[tuple[int, list[Cell]]]:
    """The rows from one on up to the last, with those between that hold nothing."""
    following = first
    for number, row in rows.starting_at(first):
        for blank in range(following, number):
            yield blank, []
        yield number, row
        following = number + 1


def _letter(text: str) -> int:
    return ord(text) - ord("a") + 1 if len(text) == 1 and text.isascii() and text.isalpha() else 0


def _shape(tag: Cell) -> str:
    """What a tag looks like: letters and digits as one sign each.

    >>> _shape("V-101 N1"), _shape("Unit 2 - evaporators"), _shape(1001)
    ('A-0 A0', 'A 0 - A', '0')
    """
    text = re.sub(r"[^\W\d_]+", "A", plain_text(tag))
    return re.sub(r"\d+", "0", text)


def listed_rows(numbers: Sequence[int], most: int = 12) -> str:
    """Row numbers as a person reads them.

    >>> listed_rows([3, 4, 5, 9])
    '3 to 5, 9'
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    texts = [str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs]
    more = f" and {len(texts) - most} more" if len(texts) > most else ""
    return ", ".join(texts[:most]) + more
