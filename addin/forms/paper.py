"""How small a sheet is printed so that each of its pages, parted by breaks set by hand, is one sheet of paper."""

import math
import re
from collections.abc import Callable, Sequence

from addin.forms.tokens import TemplateError

PAPERS = {"A4": 9, "Letter": 1}
_SIZES = {9: (595.3, 841.9), 1: (612.0, 792.0)}
"""Width and height upright. [pt] ISO 216 A4, US Letter (by definition)"""
_INCH, _RESERVE = 72.0, 0.98
_WIDER = 1.06
"""Some spreadsheet programs draw columns wider than a face's digits ask for (measured: 5.5 %)."""
_LEAST = 10


def breaks(xml: bytes) -> list[int]:
    """Rows after which a page ends by hand, from the top; none where the sheet is fitted to pages."""
    found = re.search(rb"<(?:\w+:)?rowBreaks\b.*?</(?:\w+:)?rowBreaks>", xml, flags=re.DOTALL)
    fitted = re.search(rb'<(?:\w+:)?pageSetUpPr\b[^>]*\sfitToPage="(?:1|true)"', xml)
    return (
        sorted(int(row) for row in re.findall(rb'<(?:\w+:)?brk\b[^>]*\sid="(\d+)"', found[0]))
        if found and not fitted
        else []
    )


def scale(
    xml: bytes, pages: Sequence[int], last: int, tall: Callable[[int, int], float], wide: float, paper: int | None
) -> int | None:
    """The scale of print [%] at which every page fits, at most 100; None for a paper whose size is not known.

    pages : last row of each page but the last; tall : height of rows from, to [pt]; wide : width of the print [pt].
    """
    setup = re.search(rb"<(?:\w+:)?pageSetup\b[^>]*>", xml)
    number = paper or int(_attribute(setup[0] if setup else b"", "paperSize") or 0)
    if number not in _SIZES:
        return None
    across, down = _SIZES[number]
    if setup and _attribute(setup[0], "orientation") == "landscape":
        across, down = down, across
    margins = re.search(rb"<(?:\w+:)?pageMargins\b[^>]*>", xml)
    side = {name: float(_attribute(margins[0] if margins else b"", name) or 0.75) * _INCH
            for name in ("left", "right", "top", "bottom")}  # fmt: skip
    starts = [1, *(row + 1 for row in pages)]
    highest = max(tall(first, end) for first, end in zip(starts, [*pages, last], strict=True))
    share = min(
        (down - side["top"] - side["bottom"]) / highest, (across - side["left"] - side["right"]) / (_WIDER * wide)
    )
    found = min(math.floor(100 * share * _RESERVE), 100)
    if found < _LEAST:
        raise TemplateError("a page of the sheet cannot be printed small enough for one sheet of paper")
    return found


def _attribute(tag: bytes, name: str) -> str:
    found = re.search(rb"\s(?:\w+:)?" + name.encode() + rb'="([^"]*)"', tag)
    return found[1].decode() if found else ""
