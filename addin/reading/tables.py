"""The tables of words that a person who knows the trade can extend: data/*.csv, comments behind "# "."""

import csv
import pkgutil
from collections.abc import Iterator


def table(name: str) -> Iterator[list[str]]:
    """The rows of a table, without its comments and its row of names."""
    text = (pkgutil.get_data("addin.reading", f"data/{name}") or b"").decode("utf-8")
    rows = csv.reader(line for line in text.splitlines() if line and not line.startswith("# "))
    next(rows)
    yield from rows
