"""Several rows about the same of a joint: alike they count once, for other wrenches they are one pass, else they stand
against each other.
"""

from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from typing import Any

from addin.records.record_cells import Values
from addin.records.record_rows import RecordEntry

_PLACES = ("row", "places", "plan", "joint", "operation")


def one_row_each(entries: Sequence[RecordEntry]) -> tuple[list[RecordEntry], list[str]]:
    """The rows of one joint with those that say the same of the same passes as one, and a note for each such row.

    Rows that contradict each other stay apart; so do rows that name other wrenches, which pull together.
    """
    kept: list[RecordEntry] = []
    notes = []
    for entry in entries:
        for at, other in enumerate(kept):
            if (entry.whole, entry.passes, entry.as_planned) != (other.whole, other.passes, other.as_planned):
                continue
            if (one := _merged(other, entry)) is not None:
                kept[at] = one
                notes.append(f"{entry.joint} {entry.operation}: {other.row} and {entry.row} say the same: counted once")
                break
        else:
            kept.append(entry)
    return kept, notes


def wrenches_apart(entries: Sequence[RecordEntry]) -> bool:
    """Whether each of several rows names wrenches that no other row names."""
    names = [name.casefold() for entry in entries for name in entry.values.wrenches]
    return all(entry.values.wrenches for entry in entries) and len(names) == len(set(names))


def _merged(one: RecordEntry, other: RecordEntry) -> RecordEntry | None:
    """What two rows say together; None where they state something differently."""
    stated: dict[str, Any] = {}
    for each in fields(RecordEntry):
        if each.name in _PLACES:
            continue
        a, b = getattr(one, each.name), getattr(other, each.name)
        made = _values(a, b) if isinstance(a, Values) else _mapped(a, b) if isinstance(a, Mapping) else _either(a, b)
        if made is None:
            return None
        stated[each.name] = made
    return replace(one, **stated)


def _either(a: object, b: object) -> object | None:
    """What one of two states, or both alike; None where they differ. What is true of one of them is true."""
    if isinstance(a, bool):
        return a or b
    return a if a == b or b in ("", ()) else b if a in ("", ()) else None


def _values(a: Values, b: Values) -> Values | None:
    mine, theirs = a.states, b.states
    apart = any(name in mine and mine[name] != value for name, value in theirs.items() if name not in ("same", "units"))
    return None if apart else b.over(a)


def _mapped(a: Mapping[object, object], b: Mapping[object, object]) -> Mapping[object, object] | None:
    if any(name in a and a[name] != value for name, value in b.items()):
        return None
    return {**a, **b}
