"""The wrenches of a book from its sheets: certificates of one wrench by years, and tables against each other."""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from addin.cells.words import day, line
from addin.workbooks.addresses import address
from addin.workbooks.grid import Grid
from addin.wrenches.hand_tools import HOSE, Equipment, named_tool
from addin.wrenches.listing import Source
from addin.wrenches.wrench_sheet import WrenchSheet
from calc.findings import CAUTION, Finding
from calc.units import System
from calc.wrench.choice import Gauge, Wrench, lowest_rating
from calc.wrench.ratings import alike, between_units, drift, torque_at_rating

DRIFT = 0.03
"""A change of torque from one certificate to the next that is worth a caution. Common practice, no source."""
TWINS = 0.15
"""How far two wrenches of one kind with the same rated pressure may differ. Common practice, no source."""

_Entry = tuple[Grid, WrenchSheet, Wrench]


def wrenches_of(
    sheets: Sequence[tuple[Grid, WrenchSheet]], gauges: Mapping[str, Gauge], sources: dict[tuple[str, str], Source],
    units: System, equipment: Sequence[Equipment],
) -> tuple[Wrench, ...]:  # fmt: skip
    """The wrenches with their faults in words.

    Sheets of one name with different days of calibration are certificates of one wrench: the newest has its name, the
    others their certificate behind it and end before the next begins. Any other name that stands twice is a stop, and
    one unusable wrench remains.
    """
    named: dict[str, list[_Entry]] = {}
    for grid, sheet in sheets:
        if sheet.wrench:
            named.setdefault(sheet.wrench.name.casefold(), []).append((grid, sheet, sheet.wrench))
    wrenches = []
    for entries in named.values():
        for (grid, sheet, wrench), faults in _history(entries) or [(entries[0], _repeated(entries))]:
            gauge = next((name for name in gauges if name.casefold() == wrench.gauge.casefold()), wrench.gauge)
            if gauge and gauge not in gauges:
                grid.stop("gauge_not_listed", "gauge", sheet.rows["gauge"], 2, text=gauge)
            said = tuple(line(finding, units) for finding in faults)
            hose = named_tool(equipment, HOSE, sheet.words.get("hose", ""))
            until = hose.valid_until if hose and not math.isnan(hose.valid_until) else math.inf
            rating = lowest_rating((wrench.hose_rated_pressure, hose.limit if hose else math.nan))
            made = replace(wrench, gauge=gauge, curve=None if faults else wrench.curve, faults=said,
                           hose_valid_until=until, hose_rated_pressure=rating)  # fmt: skip
            wrenches.append(made)
            cell = address(sheet.rows["wrench"], 2)
            sources["wrench", wrench.name] = Source(grid.sheet, cell, sheet.words, sheet.units)
    return tuple(wrenches)


def _repeated(entries: Sequence[_Entry]) -> list[Finding]:
    """The faults of all sheets of one name, and that the name stands again where it does."""
    faults: list[Finding] = []
    for grid, sheet, wrench in entries:
        faults += sheet.faults
        others = ", ".join(_sheet(other) for other, *_ in entries if other is not grid)
        if others:
            grid.stop("wrench_repeated", "wrench", sheet.rows["wrench"], 2, text=wrench.name, other=others)
            faults.append(grid.found[-1])
    return faults


def _sheet(grid: Grid) -> str:
    return f"{grid.sheet} of {grid.file}" if grid.file else grid.sheet


def _history(entries: Sequence[_Entry]) -> list[tuple[_Entry, list[Finding]]]:
    """Certificates of one wrench, the newest first; none where the sheets are not that."""
    days = [wrench.calibrated for *_, wrench in entries]
    serials = {text.casefold() for _, sheet, _ in entries if (text := sheet.words.get("serial_number", ""))}
    if len(entries) < 2 or len(set(days)) < len(days) or any(map(math.isnan, days)) or len(serials) > 1:
        return []
    ordered = sorted(entries, key=lambda entry: -entry[2].calibrated)
    resting = next((wrench.out_of_service for *_, wrench in ordered if wrench.out_of_service), None)
    name = ordered[0][2].name
    made: list[tuple[_Entry, list[Finding]]] = []
    end = math.inf
    for grid, sheet, wrench in ordered:
        own = sheet.words.get("certificate") or f"calibrated {day(wrench.calibrated)}"
        called = name if end == math.inf else f"{name} ({own})"
        until = min(wrench.valid_until, end)
        kept = replace(wrench, name=called, of=name, valid_until=until, out_of_service=resting)
        made.append(((grid, sheet, kept), list(sheet.faults)))
        end = wrench.calibrated - 1
    if len({entry[2].name for entry, _ in made}) < len(made):
        return []
    _say_drift(ordered)
    return made


def _say_drift(ordered: Sequence[_Entry]) -> None:
    """What changed from each certificate to the next: a note, and a caution beyond `DRIFT`."""
    for (grid, sheet, _), (_, before, old) in zip(ordered, ordered[1:], strict=False):
        if sheet.table is None or before.table is None:
            continue
        share = drift((before.table.pressure, before.table.torque), (sheet.table.pressure, sheet.table.torque))
        if math.isnan(share):
            continue
        other = f"{before.words.get('certificate') or 'no number'} of {day(old.calibrated)}"
        tell = grid.caution if abs(share) > DRIFT else grid.note
        code = "table_drift" if abs(share) > DRIFT else "table_drift_small"
        row = sheet.rows.get("certificate", sheet.rows["wrench"])
        tell(code, "table", row, 2, share=share, other=other, limit=DRIFT)


def compare(sheets: Sequence[tuple[Grid, WrenchSheet]], wrenches: Sequence[Wrench]) -> None:
    """Say which tables are the same figures, and which differ from a twin's; `wrenches` are those of the book."""
    read = [(grid, sheet) for grid, sheet in sheets if sheet.table is not None and sheet.wrench is not None]
    for number, (grid, sheet) in enumerate(read):
        for other_grid, other in read[:number]:
            if sheet.table is None or other.table is None or sheet.wrench is None or other.wrench is None:
                continue
            of = f"{other.wrench.name} (sheet {_sheet(other_grid)})"
            row = sheet.rows["wrench"]
            a, b = ((t.pressure, t.torque) for t in (sheet.table, other.table))
            serial = sheet.words.get("serial_number", "")
            same_name = sheet.wrench.name.casefold() == other.wrench.name.casefold()
            if serial and not same_name and serial.casefold() == other.words.get("serial_number", "").casefold():
                grid.caution("serial_same", "serial_number", sheet.rows["serial_number"], 2, text=serial, other=of)
            if alike(a, b):
                grid.caution("table_same", "table", row, 2, other=of)
            elif not same_name and _twins(sheet, other):
                rated = sheet.wrench.rated_pressure
                ratio = torque_at_rating(*a, rated) / torque_at_rating(*b, rated)
                if not 1 - TWINS <= ratio <= 1 + TWINS:
                    facts = {"other": of, "share": ratio - 1, "units": between_units(ratio)}
                    grid.add(Finding("table_twins", "table", facts, CAUTION), row, 2)


def _twins(one: WrenchSheet, other: WrenchSheet) -> bool:
    """Whether two sheets name the same kind, by a designation rather than a word, with the same rated pressure."""
    kinds = {re.sub(r"\W+", "", sheet.words.get("kind", "")).casefold() for sheet in (one, other)}
    a, b = one.wrench, other.wrench
    if len(kinds) > 1 or not any(mark.isdigit() for mark in kinds.pop()) or a is None or b is None:
        return False
    return a.rated_pressure == b.rated_pressure
