"""Headings of the tables of a wrench book, and names of its sheets, in other languages than English."""

import csv
import pkgutil
from collections.abc import Mapping
from functools import cache

from addin.cells.headings import plain_words
from addin.cells.table_words import plain


@cache
def _words() -> Mapping[str, Mapping[str, str]]:
    text = (pkgutil.get_data("addin.wrenches", "list_words.csv") or b"").decode("utf-8")
    found: dict[str, dict[str, str]] = {}
    for row in csv.DictReader(line for line in text.splitlines() if not line.startswith("#")):
        table, field = row.pop("table"), row.pop("field")
        for words in row.values():
            for phrase in (words or "").split("|"):
                if phrase:
                    found.setdefault(table, {}).setdefault(plain(plain_words(phrase)), field)
    return found


def headings_of(table: str) -> Mapping[str, str]:
    """The words of headings of a table -> field.

    >>> headings_of("links")["schlusselweite"], headings_of("gauges")["messbereich"]
    ('across_flats', 'range')
    """
    return _words().get(table, {})


def sheet_named(name: str) -> str:
    """The English name of a sheet of a wrench book, in small letters; any other name as it stands.

    >>> sheet_named("Manometer"), sheet_named("Schmierstoffe"), sheet_named("Gauges"), sheet_named("HW-1")
    ('gauges', 'lubricants', 'gauges', 'hw 1')
    """
    words = plain_words(name)
    return _words()["sheet"].get(plain(words), words)
