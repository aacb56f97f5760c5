"""Rows without studs whose pipe size and class are stated: count and size of the studs of the standard flange."""

import math
import re
from collections.abc import Sequence
from typing import Any

from addin.reading.column import Column
from addin.reading.spellings import spelled
from calc.findings import CAUTION, Finding, InputError
from calc.hardware import flanges

_BARE = re.compile(r"\d+(?:\.\d+)?(?:\s*[- ]\s*\d+/\d+)?|\d+/\d+", re.ASCII)
_OWN_SIZE = re.compile(r"nps|dn|\"|″|”|\bin\b|inch", re.IGNORECASE)
_OWN_CLASS = re.compile(r"class|cl|ansi|asme|#|lb", re.IGNORECASE)


def from_standard_flanges(
    columns: Sequence[Column], texts: dict[str, list[str]], numbers: dict[str, Any], count: int
) -> tuple[dict[int, str], list[Finding]]:
    """Fill thread and stud count of the rows that state neither, where size and class name a standard flange.

    A bare number counts as a pipe size only where the heading says of which kind (NPS, DN, a unit), and as a class
    only where it says Class. Each filled row gets a caution; a row whose flange is not known stops.
    Returns row -> the flange, and the findings.
    """
    kinds = {column.field: column for column in columns if column.field in ("size", "rating")}
    size_kind, class_kind = _size_kind(kinds.get("size")), _says_class(kinds.get("rating"))
    threads = texts.setdefault("thread", [""] * count)
    studs = numbers.setdefault("studs", [math.nan] * count)
    sizes, ratings = (texts.get(name, [""] * count) for name in ("size", "rating"))
    found: dict[int, str] = {}
    findings: list[Finding] = []
    for i in range(count):
        if threads[i] or not math.isnan(studs[i]) or not (sizes[i] and ratings[i]):
            continue
        try:
            flange = flanges.flange(_size(sizes[i], size_kind), _class(ratings[i], class_kind))
        except InputError as error:
            f = error.finding
            findings.append(Finding(f.code, "size" if f.quantity == "nps" else "rating", f.facts, row=i))
            continue
        threads[i], studs[i] = flange.thread.designation, float(flange.studs)
        found[i] = f"NPS {flange.nps} class {flange.pressure_class}, {flange.source}"
        facts = {"flange": found[i], "studs": flange.studs, "thread": flange.thread.designation}
        findings.append(Finding("studs_of_standard_flange", "studs", facts, CAUTION, i))
    return found, findings


def _size_kind(column: Column | None) -> str:
    """What a bare number of the column is: "NPS", "DN", or "" where the heading does not say."""
    if column is None:
        return ""
    words = spelled(column.heading.replace(" / ", " ")).words
    if "dn" in words or column.unit == "mm":
        return "DN"
    return "NPS" if "nps" in words or words == ("nominal", "pipe", "size") or column.unit == "in" else ""


def _says_class(column: Column | None) -> bool:
    return column is not None and bool(
        {"class", "cl", "ansi", "asme"} & set(spelled(column.heading.replace(" / ", " ")).words)
    )


def _size(text: str, kind: str) -> str:
    if _OWN_SIZE.search(text):
        return text
    if not kind or not _BARE.fullmatch(text):
        raise InputError(Finding("flange_size_unclear", "nps", {"text": text}))
    return f"DN {text}" if kind == "DN" else text


def _class(text: str, stated: bool) -> str:
    if _OWN_CLASS.search(text) or (stated and text.isascii() and text.isdigit()):
        return text
    raise InputError(Finding("flange_class_unclear", "pressure_class", {"text": text}))
