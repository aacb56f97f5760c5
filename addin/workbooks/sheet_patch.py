"""The edits that put columns of cells into the bytes of a sheet part, and the same bytes with the edits made."""

import heapq
import itertools
import re
from array import array
from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from addin.workbooks.addresses import COLUMNS, ROWS, Area, address, column_number, letters
from addin.workbooks.cell_text import CellValueError, OutCell, Value, cell_tail, plain_value, read_cell
from addin.workbooks.conditional import conditional_edits
from addin.workbooks.long_part import Content, LongPart, passed
from addin.workbooks.markup import MAIN, Markup, opening, set_attribute, tags
from addin.workbooks.package import Package, WorkbookError
from addin.workbooks.sheet_look import Beside, SheetLook
from addin.workbooks.sheet_part import TOLD_EACH, ColumnFormat, KnownLine, RowCell, SheetScan, Tell, row_cells
from addin.workbooks.styles_part import StylesPart

_KEPT = 4096
"""Cells of a column in a long part whose markup is kept."""
_REPLACEABLE = ("n", "s", "str", "inlineStr", "e")
_NOT_AVAILABLE = re.compile(rb"<(?:\w+:)?f(?:\s[^>]*)?>\s*#N/A\s*<")
"""What an office program makes of a cell that holds #N/A, which we wrote: a formula that is nothing but this value."""


@dataclass(frozen=True)
class OutColumn:
    """One column to write: its letters, its cells by row number, and its width in characters where that is free.

    Beside a column of the planner the width is the least one: the heading is to be read too.
    """

    letter: str
    cells: Mapping[int, OutCell]
    width: float | None = None


class CellsByRow(Mapping[int, OutCell]):
    """Cells of a column that has its rows in common with others: `places` says where each row's cell stands."""

    def __init__(self, places: Mapping[int, int], cells: Sequence[OutCell]) -> None:
        self._places, self._cells = places, cells

    def __getitem__(self, row: int) -> OutCell:
        return self._cells[self._places[row]]

    def same_rows(self, other: object) -> bool:
        """Whether another column has its rows in common with this one."""
        return isinstance(other, CellsByRow) and other._places is self._places

    def place(self, row: int) -> int:
        """Where the cell of a row stands among the cells of this column, and of all that have their rows in common."""
        return self._places[row]

    @property
    def cells(self) -> Sequence[OutCell]:
        """The cells by place."""
        return self._cells

    def __contains__(self, row: object) -> bool:
        return row in self._places

    def __iter__(self) -> Iterator[int]:
        return iter(self._places)

    def __len__(self) -> int:
        return len(self._places)


_BARE = OutCell(None)


@dataclass(frozen=True, slots=True)
class Edit:
    """Bytes that take the place of those between two positions."""

    start: int
    end: int
    new: bytes


def _same_rows(cells: Mapping[int, OutCell], others: Mapping[int, OutCell]) -> bool:
    return isinstance(cells, CellsByRow) and cells.same_rows(others)


class _Behind:
    """Makes the cells of rows in some columns that stand side by side, of one format of the planner.

    Between the row's number, which each of them says, there are the same few pieces in most rows: the end of a cell and
    the beginning of the next.
    """

    def __init__(self, patch: "SheetPatch", columns: tuple[int, ...], base: int) -> None:
        self._patch, self._columns, self._base = patch, columns, base
        heads = [patch.head(column) for column in columns]
        self._first, self._next = heads[0], [*heads[1:], b""]
        self._cells = [patch.columns[column].cells for column in columns]
        self._lists: list[Sequence[OutCell]] = []
        self._place: Callable[[int], int] | None = None
        first = self._cells[0]
        if isinstance(first, CellsByRow) and all(first.same_rows(each) for each in self._cells):
            self._lists = [each.cells for each in self._cells if isinstance(each, CellsByRow)]
            self._place = first.place
        self._pieces: list[dict[int, bytes]] = [{} for _ in columns]
        """By column, what stands between two numbers, by the identity of the cell; of a long part not of every cell."""
        self._long = isinstance(patch.content, LongPart)
        self._by_place: list[list[bytes] | None] = []

    def row(self, row: int) -> bytes:
        """The cells of one row."""
        if self._place is None:
            pieces = self._made(row, [cells[row] for cells in self._cells])
            return (b'%d"' % row).join(pieces)
        place = self._place(row)
        known = self._by_place[place] if place < len(self._by_place) else None
        pieces = known or self._made(row, [cells[place] for cells in self._lists])
        if known is None and not self._long:
            self._by_place += [None] * (place + 1 - len(self._by_place))
            self._by_place[place] = pieces
        return (b'%d"' % row).join(pieces)

    def _made(self, row: int, cells: Sequence[OutCell]) -> list[bytes]:
        pieces = [self._first]
        for at, (cell, known) in enumerate(zip(cells, self._pieces, strict=True)):
            piece = known.get(id(cell))
            if piece is None:
                piece = self._patch.tail(row, self._columns[at], cell, self._base) + self._next[at]
                if not self._long or len(known) < _KEPT:
                    known[id(cell)] = piece
            pieces.append(piece)
        return pieces


def _place(edit: Edit) -> tuple[int, int]:
    return edit.start, edit.end


class SheetPatch:
    """Columns to be written into one scanned sheet part."""

    def __init__(
        self, package: Package, scan: SheetScan, content: Content, columns: Sequence[OutColumn], *, replace: bool,
        beside: Beside | None = None,
    ) -> None:  # fmt: skip
        self.where = f"{package.path.name}: sheet {scan.sheet.name!r}"
        self.scan = scan
        self.content = content
        self.replace = replace
        self.tell: Tell | None = None
        """Told now and then how many rows are written."""
        self.columns: dict[int, OutColumn] = {}
        for column in columns:
            number = column_number(column.letter) if column.letter.isascii() and column.letter.isalpha() else 0
            if not 1 <= number <= COLUMNS or len(column.letter) > 3:
                raise WorkbookError(f"{self.where}: {column.letter!r} is no column")
            if number in self.columns:
                raise WorkbookError(f"{self.where}: column {column.letter} is to be written twice")
            self.columns[number] = column
        self.columns = dict(sorted(self.columns.items()))
        self.rows: dict[int, list[int]] = {}
        """Row numbers to be written, for each column number."""
        for number, column in self.columns.items():
            like = next((c for c in self.rows if _same_rows(self.columns[c].cells, column.cells)), None)
            rows = self.rows[number] = sorted(column.cells) if like is None else self.rows[like]
            if rows and not 1 <= rows[0] <= rows[-1] <= ROWS:
                row = next(each for each in column.cells if not 1 <= each <= ROWS)
                raise WorkbookError(f"{self.where}: row {row} is outside the sheet (1 to {ROWS})")
        self.styles: StylesPart | None = None
        """Where formats come from; without, cells are written without one."""
        self.more: list[Edit] = []
        """Edits of others, outside the cells that are written."""
        self._closing = b"</" + scan.prefix + b"row>"
        self._heads = {c: b"<" + scan.prefix + b'c r="' + letters(c).encode() for c in self.columns}
        self._long = isinstance(content, LongPart)
        self._misread: list[Value] = []
        self._tails: dict[tuple[int, int], bytes] = {}
        """Markup after the name, by the identity of the cell (a caller may put one into many rows) and the format."""
        self._tags: dict[tuple[bytes, bytes, int, int], tuple[bytes, bytes]] = {}
        """What stands in the tag of a row before and behind its number, when cells of some columns are in it."""
        self.inserted = self.replaced = self.restyled = 0
        self.plain: Content = content
        if scan.masked:
            self.plain = Markup(content, root="worksheet", namespace=MAIN).plain
        self._look = SheetLook(scan, content, self.plain, beside) if beside else None
        self._formats = array("l")
        """Format of the planner's cell in each row."""
        self._own: dict[int, array] = {}
        """Format that a cell had before, by column and row."""
        if self._look and beside:
            rows = sorted({row for rows in self.rows.values() for row in rows} | set(beside.dress))
            self._formats = self._look.formats(rows)
            self._dress(beside.dress)
        self._columns_of = self._by_row()
        self._behind: dict[tuple[tuple[int, ...], int], _Behind] = {}

    def _by_row(self) -> dict[int, tuple[int, ...]]:
        """The columns that have a cell in each row."""
        groups: dict[int, list[int]] = {}
        for column, rows in self.rows.items():
            groups.setdefault(id(rows), []).append(column)
        found: dict[int, tuple[int, ...]] = {}
        for columns in groups.values():
            more: dict[tuple[int, ...], tuple[int, ...]] = {}
            for row in self.rows[columns[0]]:
                there = found.get(row, ())
                if there not in more:
                    more[there] = tuple(sorted((*there, *columns)))
                found[row] = more[there]
        return dict(sorted(found.items())) if len(groups) > 1 else found

    def _dress(self, rows: Sequence[int]) -> None:
        """Empty cells in rows without results, where none are yet: they look like the planner's beside them."""
        free: dict[int, dict[int, OutCell]] = {}
        taken = [*self.scan.merged, *self.scan.arrays, *(table.area for table in self.scan.tables)]
        taken = [each for each in taken if each.right >= min(self.columns, default=0)]
        for row in rows:
            index = bisect_left(self.scan.rows, row)
            if index >= len(self.scan.rows) or self.scan.rows[index] != row or self._formats[row] < 1:
                continue
            inner, end = self.scan.row_inners[index], self.scan.row_ends[index]
            there = {cell.column for cell in row_cells(self.scan.prefix, self.plain, inner, end)}
            for column in self.columns:
                if column not in there and not any(each.holds(row, column) for each in taken):
                    free.setdefault(column, {})[row] = _BARE
        for column, cells in free.items():
            self.columns[column] = replace(self.columns[column], cells={**cells, **self.columns[column].cells})
            self.rows[column] = sorted(self.columns[column].cells)

    def _had(self, row: int, column: int, style: int) -> int:
        """Note the format that a cell had before; it goes on where it says more than nothing."""
        if self._look is None or style <= 0:
            return -1
        if column not in self._own:
            self._own[column] = array("l", [-1]) * (self.rows[column][-1] + 1)
        self._own[column][row] = style
        return style

    def style_at(self, row: int, column: int) -> int | None:
        """The index of the format that a cell of ours gets."""
        if self.styles is None:
            return None
        base = self._own[column][row] if column in self._own else -1
        if base < 0 and self._formats:
            base = self._formats[row]
        return self.styles.format(self.columns[column].cells[row].style, base if base >= 0 else None)

    def pieces(self) -> Iterator[bytes | memoryview]:
        """The part with the cells in it, piece by piece; what was inserted and replaced is counted on the way.

        Raises WorkbookError, naming the cell, when a cell is taken or cannot hold its value, StyleError when there is
        no room for its format.
        """
        self._tails, self._own, self._behind = {}, {}, {}
        self.inserted = self.replaced = self.restyled = 0
        if self.styles and self._look:
            rows = [row for row in next(iter(self.rows.values()), []) if row > self._look.beside.heading_row]
            self.styles.grouped = self._look.grouped(self.styles, rows)
        done, view = 0, memoryview(self.content)
        around = self._around()
        edits = heapq.merge(around, self._row_edits([edit.start for edit in around]), key=_place)
        for edit in edits:
            assert done <= edit.start
            yield view[done : edit.start]
            yield edit.new
            done = edit.end
            passed(self.content, done)
        yield view[done:]

    def _around(self) -> list[Edit]:
        """The edits before and behind the rows, and those of others, in their order."""
        edits = [*self.more, *self._dimension(), *self._widths()]
        if self._look:
            beside = self._look.beside
            edits += itertools.starmap(
                Edit,
                conditional_edits(
                    self.scan, self.content, self.plain, list(self.columns), beside.column, beside.marks, self.styles
                ),
            )
        return sorted(edits, key=_place)

    def _fault(self, row: int, column: int, text: str) -> WorkbookError:
        return WorkbookError(f"{self.where}, cell {address(row, column)}: {text}")

    def _element(self, row: int, column: int, own: int = -1) -> bytes:
        base = self._formats[row] if own < 0 and self._formats else own
        cell = self.columns[column].cells[row]
        tail = self._tails.get((id(cell), base))
        if tail is None:
            if self._long and len(self._tails) >= 2 * _KEPT:  # most of them stand in one row alone
                self._tails.clear()
            tail = self._tails[id(cell), base] = self.tail(row, column, cell, base)
        return b'%s%d"%s' % (self._heads[column], row, tail)

    def head(self, column: int) -> bytes:
        """The markup of a cell up to the number of its row."""
        return self._heads[column]

    def tail(self, row: int, column: int, cell: OutCell, base: int) -> bytes:
        """The markup of a cell behind its name. Raises WorkbookError for what no cell can hold."""
        style = self._style(cell, base)
        try:
            tail = cell_tail(self.scan.prefix, style, cell.value)
        except CellValueError as error:
            raise self._fault(row, column, str(error)) from error
        if read_cell(b'<c r="A1"' + tail) != (plain_value(cell.value), style):
            self._misread.append(cell.value)
        return tail

    def _style(self, cell: OutCell, base: int) -> int | None:
        return self.styles.format(cell.style, base if base >= 0 else None) if self.styles else None

    def _elements(self, row: int, columns: tuple[int, ...]) -> bytes:
        """Cells of a row that stand side by side."""
        base = self._formats[row] if self._formats else -1
        made = self._behind.get((columns, base))
        if made is None:
            made = self._behind[columns, base] = _Behind(self, columns, base)
        return made.row(row)

    def misread(self) -> list[Value]:
        """Values whose markup does not read back as what it was made from."""
        return self._misread

    def line(self, index: int) -> KnownLine | None:
        """The row that stands at a place of the scan, with our cells behind those that were there; None where it is
        made in another way.
        """
        scan = self.scan
        if scan.masked or not scan.usual[index]:
            return None
        row, last = scan.rows[index], scan.last_columns[index]
        columns = self._columns_of.get(row, ())
        if columns and columns[0] <= last:
            return None
        inner, end = scan.row_inners[index], scan.row_ends[index]
        passed(self.content, scan.row_starts[index])
        tag, cells = self._row_tag(index), b""
        if b' r="%d"' % row not in tag:
            return None
        if columns:
            tag, last = self._tag_with(tag, row, columns), columns[-1]
            cells = self._elements(row, columns)
        whole = b"".join((tag, self.content[inner:end], cells, self._closing))
        return KnownLine(whole, len(tag), len(columns), last)

    def _row_edits(self, others: Sequence[int]) -> Iterator[Edit]:
        """The edits of the rows, in their order: each is made when it is its turn. Others begin at these places."""
        scan = self.scan
        new_rows: list[bytes] = []
        before = 0
        """Index of the row before which the new ones stand."""
        for done, (row, columns) in enumerate(self._columns_of.items()):
            if self.tell is not None and done % TOLD_EACH == 0:
                self.tell(done, len(self._columns_of))
            index = bisect_left(scan.rows, row)
            there = index < len(scan.rows) and scan.rows[index] == row
            if new_rows and index != before:
                yield from self._added(before, new_rows)
                yield from self._numbered(before)
                new_rows = []
            if not there:
                before = index
                p = scan.prefix
                cells = self._elements(row, columns)
                self.inserted += len(columns)
                new_rows.append(b"<" + p + b'row r="' + str(row).encode() + b'">' + cells + b"</" + p + b"row>")
                continue
            if not new_rows and (whole := self._whole(index, others)):
                yield whole
                continue
            yield from self._added(index, new_rows)
            yield from self._in_row(index, columns, numbered=bool(new_rows))
            new_rows = []
        if new_rows:
            yield from self._added(before, new_rows)
            yield from self._numbered(before)

    def _whole(self, index: int, others: Sequence[int]) -> Edit | None:
        """A row with our cells behind its own in one piece, where nobody else writes in it."""
        start, end = self.scan.row_starts[index], self.scan.row_ends[index]
        place = bisect_left(others, start)
        if (place < len(others) and others[place] <= end) or (line := self.line(index)) is None:
            return None
        self.inserted += line.behind
        return Edit(start, end, line.content[: -len(self._closing)])

    def _numbered(self, index: int) -> Iterator[Edit]:
        """A row that counted from the row before, which is another one now, with its own number."""
        if index < len(self.scan.rows) and "r" not in opening(tag := self._row_tag(index)):
            number = str(self.scan.rows[index]).encode()
            yield Edit(self.scan.row_starts[index], self.scan.row_inners[index], set_attribute(tag, b"r", number))

    def _row_tag(self, index: int) -> bytes:
        return self.content[self.scan.row_starts[index] : self.scan.row_inners[index]]

    def _tag_with(self, tag: bytes, row: int, columns: tuple[int, ...]) -> bytes:
        """The tag of a row with these columns in what it says of its cells."""
        if b"spans" not in tag:
            return tag
        before, number, behind = tag.partition(b' r="%d"' % row)
        key = before, behind, columns[0], columns[-1]
        known = self._tags.get(key)
        if known is None or not number:
            given = opening(tag).get("spans")
            ends = [int(end) for each in (given or "").split() for end in each.split(":") if end.isdecimal()]
            if given is not None and ends:
                low, high = min([*ends, columns[0]]), max([*ends, columns[-1]])
                if low < min(ends) or high > max(ends):
                    tag = set_attribute(tag, b"spans", f"{low}:{high}".encode())
            if number:
                left, _, right = tag.partition(number)
                self._tags[key] = left, right
            return tag
        return number.join(known)

    def _in_row(self, index: int, columns: tuple[int, ...], *, numbered: bool) -> Iterator[Edit]:
        scan = self.scan
        row = scan.rows[index]
        was = self._row_tag(index)
        tag = self._tag_with(was, row, columns)
        if numbered and "r" not in opening(tag):
            tag = set_attribute(tag, b"r", str(row).encode())
        if tag.endswith(b"/>"):
            cells = self._elements(row, columns)
            self.inserted += len(columns)
            tag = tag[:-2].rstrip() + b">" + cells + b"</" + scan.prefix + b"row>"
        if tag != was:
            yield Edit(scan.row_starts[index], scan.row_inners[index], tag)
        if was.endswith(b"/>"):
            return
        if columns[0] > scan.last_columns[index]:
            cells = self._elements(row, columns)
            self.inserted += len(columns)
            yield Edit(scan.row_ends[index], scan.row_ends[index], cells)
        else:
            yield from sorted(self._in_cells(index, row, columns), key=_place)

    def _in_cells(self, index: int, row: int, columns: tuple[int, ...]) -> Iterator[Edit]:
        """Cells that go between or over those of a row."""
        inner, end = self.scan.row_inners[index], self.scan.row_ends[index]
        cells = list(row_cells(self.scan.prefix, self.plain, inner, end))
        numbers = [cell.column for cell in cells]
        before: dict[int, list[bytes]] = {}
        for column in columns:
            place = bisect_left(numbers, column)
            if place < len(cells) and numbers[place] == column:
                own = self._had(row, column, self._take(row, cells[place]))
                yield Edit(cells[place].start, cells[place].end, self._element(row, column, own))
            else:
                before.setdefault(place, []).append(self._element(row, column))
                self.inserted += 1
        for place, elements in before.items():
            position = cells[place].start if place < len(cells) else end
            yield Edit(position, position, b"".join(elements))
            if place < len(cells) and not cells[place].numbered and numbers[place] not in columns:
                tag = next(tags(cells[place].element))
                numbered = set_attribute(
                    self.content[position : position + tag.end], b"r", address(row, numbers[place]).encode()
                )
                yield Edit(position, position + tag.end, numbered)

    def _take(self, row: int, cell: RowCell) -> int:
        """Refuse a cell that is not free; the index of its format."""
        given = opening(cell.element)
        style = int(given["s"]) if given.get("s", "").isdecimal() else 0
        if not cell.content.strip():
            self.restyled += style != 0 and not self.replace and self._look is None
            self.replaced += 1
            return style
        kind = given.get("t", "n")
        inside = {tag.name for tag in tags(cell.content)}
        if "f" in inside and not (self.replace and _NOT_AVAILABLE.search(cell.content)):
            raise self._fault(row, cell.column, "holds a formula, which is never written over")
        if not self.replace:
            raise self._fault(row, cell.column, "is not empty; results go into empty cells (--results-at says where)")
        if kind not in _REPLACEABLE or "cm" in given or "vm" in given:
            raise self._fault(row, cell.column, "holds something that is no text or number; it is not written over")
        self.replaced += 1
        return style

    def _added(self, index: int, rows: Sequence[bytes]) -> Iterator[Edit]:
        """New rows before one of those that are there."""
        start, end, empty = self.scan.data
        if not rows:
            return
        if empty:
            tag_start = self.content.rindex(b"<", 0, end)
            tag = self.content[tag_start:end]
            whole = tag[:-2].rstrip() + b">" + b"".join(rows) + b"</" + self.scan.prefix + b"sheetData>"
            yield Edit(tag_start, end, whole)
            return
        position = self.scan.row_starts[index] if index < len(self.scan.rows) else end
        yield Edit(position, position, b"".join(rows))

    def _dimension(self) -> Iterator[Edit]:
        """Make the declared range hold what is there and what is new: some readers cut off what lies outside."""
        if self.scan.dimension_tag is None:
            return
        written = [Area(rows[0], column, rows[-1], column) for column, rows in self.rows.items() if rows]
        areas = [each for each in (self.scan.dimension, self.scan.used, *written) if each is not None]
        if not areas:
            return
        whole = Area(
            min(each.top for each in areas),
            min(each.left for each in areas),
            max(each.bottom for each in areas),
            max(each.right for each in areas),
        )
        if whole != self.scan.dimension:
            start, end = self.scan.dimension_tag
            yield Edit(start, end, set_attribute(self.content[start:end], b"ref", str(whole).encode()))

    def _widths(self) -> Iterator[Edit]:
        """Set widths. A column with an element of its own keeps it: somebody has chosen that width."""
        loose: list[tuple[int, float]] = []
        inside: dict[ColumnFormat, list[tuple[int, float]]] = {}
        for number, column in self.columns.items():
            if column.width is None:
                continue
            if not 0 < column.width <= 255:
                raise WorkbookError(f"{self.where}: column {letters(number)}: width {column.width} is not in 0 to 255")
            width = self._width(column)
            there = next((each for each in self.scan.columns if each.first <= number <= each.last), None)
            if there is None:
                loose.append((number, width))
            elif there.first != there.last:
                inside.setdefault(there, []).append((number, width))
        for there, chosen in inside.items():
            yield Edit(there.start, there.end, b"".join(self._split(there, chosen)))
        p = self.scan.prefix
        made = [
            (number, b"<" + p + f'col min="{number}" max="{number}" width="{width:g}" customWidth="1"/>'.encode())
            for number, width in loose
        ]
        if not made:
            return
        head_end = self.plain.rindex(b"<" + p + b"sheetData", 0, self.scan.data[0])
        cols_end = self.plain.rfind(b"</" + p + b"cols", 0, head_end)
        if not self.scan.columns or cols_end < 0:
            whole = b"<" + p + b"cols>" + b"".join(each for _number, each in made) + b"</" + p + b"cols>"
            yield Edit(head_end, head_end, whole)
            return
        at: dict[int, list[bytes]] = {}
        for number, each in made:
            later = next((there.start for there in self.scan.columns if there.first > number), cols_end)
            at.setdefault(later, []).append(each)
        for position, elements in at.items():
            yield Edit(position, position, b"".join(elements))

    def _width(self, column: OutColumn) -> float:
        assert column.width is not None
        if self._look is None or self.styles is None:
            return column.width
        row = self._look.beside.heading_row
        heading = column.cells[row].value if row in column.cells else ""
        body = next((self._formats[each] for each in column.cells if each > row), -1)
        return self._look.width(str(heading or ""), column.width, self.styles, body if body >= 0 else None)

    def _split(self, there: ColumnFormat, chosen: list[tuple[int, float]]) -> Iterator[bytes]:
        """One element for many columns, cut into several so that some get another width."""
        element = self.content[there.start : there.end]
        if not element.endswith(b"/>"):
            element = element[:-1] + b"/>"

        def part(first: int, last: int) -> bytes:
            return set_attribute(set_attribute(element, b"min", str(first).encode()), b"max", str(last).encode())

        first = there.first
        for number, width in chosen:
            if first < number:
                yield part(first, number - 1)
            wide = set_attribute(part(number, number), b"width", f"{width:g}".encode())
            yield set_attribute(wide, b"customWidth", b"1")
            first = number + 1
        if first <= there.last:
            yield part(first, there.last)


def expected(patch: SheetPatch, row: int, column: int) -> tuple[object, int | None] | None:
    """The value and style index that a written cell must show, or None for a cell that is not ours."""
    cell = patch.columns[column].cells.get(row)
    return (plain_value(cell.value), patch.style_at(row, column)) if cell else None
