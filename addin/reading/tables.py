"""The tables of words that a person who knows the trade can extend: data/*.csv, comments behind "# "."""

import csv
from collections.abc import Iterator
from importlib.resources import files


def table(name: str) -> Iterator[list[str]]:
    """The rows of a table, without its comments and its row of names."""
    text = files("addin.reading").joinpath("data", name).read_text(encoding="utf-8")
    rows = csv.reader(line for line in text.splitlines() if line and not line.startswith("# "))
    next(rows)
    yield from rows
