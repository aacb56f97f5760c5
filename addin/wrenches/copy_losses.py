"""What a copy written through openpyxl no longer has of the workbook it was made from."""

import re
import zipfile
from collections import Counter
from pathlib import Path
from typing import BinaryIO

_PARTS = {
    "chart": re.compile(r"xl/charts/chart[^/]*\.xml"),
    "picture": re.compile(r"xl/media/[^/]+"),
    "control": re.compile(r"xl/ctrlProps/[^/]+\.xml"),
    "pivot table": re.compile(r"xl/pivotTables/[^/]+\.xml"),
    "embedded object": re.compile(r"xl/embeddings/[^/]+"),
    "macro": re.compile(r"xl/vbaProject\.bin"),
    "slicer": re.compile(r"xl/slicers/[^/]+\.xml"),
}
_DRAWING = re.compile(r"xl/drawings/drawing[^/]*\.xml")
_SHAPE = re.compile(rb"<(?:[a-z0-9]+:)?sp[\s>]")


def copy_losses(source: Path, copy: BinaryIO) -> list[str]:
    """Kinds and numbers of things that stand in `source` and no longer in its copy, as people count them.

    Both have passed the gate.
    """
    with zipfile.ZipFile(source) as before, zipfile.ZipFile(copy) as after:
        had, has = _counted(before), _counted(after)
    return [f"{n} {kind}{'s' if n > 1 else ''}" for kind, n in (had - has).items()]


def _counted(book: zipfile.ZipFile) -> Counter[str]:
    found: Counter[str] = Counter()
    for name in book.namelist():
        found.update(kind for kind, part in _PARTS.items() if part.fullmatch(name))
        if _DRAWING.fullmatch(name):
            found["shape or text box"] += len(_SHAPE.findall(book.read(name)))
    return found
