"""How much room a text needs in a cell, near enough to keep it from being cut off in print.

Spreadsheet programs do not grow the row of a merged cell, so the height has to stand in the file. The widths are those
of a plain sans serif face (the AFM widths of Helvetica, from memory); other faces are treated alike and a reserve is
kept, so a row may come out a little too high, not too low.
"""

from functools import lru_cache

POINTS_PER_CHARACTER = 5.25
"""Width of one column unit: 7 pixels at 96 dots per inch, for the usual 10 or 11 point default faces. [pt]"""

INDENT = 9.0
"""Width of one step of a cell's indent. [pt]"""

EMU_PER_POINT = 12700

_RESERVE = 1.04
_PADDING = 5.0
_LINE = 1.28  # 12.75 points for a 10 point face, as spreadsheet programs set their rows
_BOLD = 1.07
_WIDTHS = {
    **dict.fromkeys("ijl", 222),
    **dict.fromkeys("'", 191),
    **dict.fromkeys(" !,./:;I[\\]ft\u00a0·", 278),
    **dict.fromkeys("()-r`{|}°", 333),
    **dict.fromkeys('*"', 370),
    **dict.fromkeys("^ckxyzvsJ", 500),
    **dict.fromkeys("+<=>~×±", 584),
    **dict.fromkeys("FTZ", 611),
    **dict.fromkeys("&ABEKPSVXY", 667),
    **dict.fromkeys("CDHNRUw", 722),
    **dict.fromkeys("GOQ", 778),
    **dict.fromkeys("mM", 833),
    **dict.fromkeys("%", 889),
    **dict.fromkeys("W", 944),
    **dict.fromkeys("@→…—", 1000),
}


@lru_cache(maxsize=4096)
def width(text: str, size: float, bold: bool = False) -> float:
    """Width of one line of text. [pt]

    >>> width("0000000000", 10)
    57.8
    """
    total = sum(_WIDTHS.get(character, 556 if ord(character) < 0x2E80 else 1000) for character in text)
    return round(total * size / 1000 * (_BOLD if bold else 1) * _RESERVE, 1)


def _lines(paragraph: str, room: float, size: float, bold: bool) -> int:
    count, used, space = 1, 0.0, width(" ", size, bold)
    for word in paragraph.split(" "):
        needed = width(word, size, bold)
        if used and used + space + needed > room:
            count, used = count + 1, 0.0
        if needed > room:  # broken in the middle, as the programs do
            extra = int(needed // room)
            count, needed = count + extra, needed - extra * room
        used += needed + (space if used else 0.0)
    return count


@lru_cache(maxsize=4096)
def height(text: str, room: float, size: float, bold: bool = False) -> float:
    """Height of a text wrapped to the width of its cell. [pt]

    room : width of the cell [pt]; size : of the face [pt].

    >>> height("one line", 200, 10), height("one line", 30, 10), height("a\\nb\\nc", 200, 10)
    (13.3, 26.1, 38.9)
    """
    inner = max(room - _PADDING, size)
    return 0.5 + _LINE * size * sum(_lines(paragraph, inner, size, bold) for paragraph in text.split("\n"))
