"""What thread, load and torque of the same rows say of quantity and unit."""

from collections.abc import Sequence

import numpy as np

from addin.reading import physics
from addin.reading.grammar import BLOCK
from addin.reading.notes import Notes
from addin.reading.seen import SeenColumn, also_in
from addin.reading.spellings import symbol_of, unit_of
from addin.reading.understood import shown_name


def _si(column: SeenColumn, kind: str, notes: Notes) -> tuple[str | None, np.ndarray]:
    unit = symbol_of(column.unit, kind) or noted_unit(kind, notes)
    return unit, physics.numbers(column.values, kind, unit)


def noted_unit(kind: str, notes: Notes) -> str | None:
    """The unit that a note states for a kind of quantity."""
    name = {"stress": "stress", "torque": "torque", "force": "force", "length": "length"}.get(kind, "")
    stated = notes.units.get(name)
    return symbol_of(unit_of(stated.value), kind) if stated else None


def _sizes_beside_counts(columns: Sequence[SeenColumn]) -> None:
    """Where one column gives number and size of the studs ("12 x 7/8"), a diameter that names no stud is another."""
    if any("thread" in also_in(column, "studs") and "studs" in also_in(column, "thread") for column in columns):
        for column in columns:
            if "STUD" not in column.concepts and "studs" not in also_in(column, "thread"):
                column.cell["thread"] = -1.0
                column.against["thread"] = "another column gives the size of the studs with their number"


def use_laws(columns: Sequence[SeenColumn], notes: Notes) -> None:
    """Confirm or contradict quantities and units by what the studs can be."""
    _sizes_beside_counts(columns)
    named = [
        c
        for c in columns
        if c.strength.get("thread", 0) >= 0.5
        and c.cell.get("thread", -1) > 0.3
        and (c.strength.get("studs", 0) < 0.85 or c.strength["thread"] >= 0.85)
    ]
    if not named:
        named = [c for c in columns if c.cell.get("thread", -1) > 0.75 and not c.concepts & BLOCK]
    if not named:
        return
    thread = max(named, key=lambda c: (c.strength.get("thread", 0), c.cell["thread"]))
    sizes = physics.stud_sizes(thread.values, symbol_of(thread.unit, "length"))
    if np.isfinite(sizes.diameter).sum() < 1:
        return
    quantities: dict[str, list[tuple[SeenColumn, np.ndarray]]] = {"torque": [], "load": [], "stress": []}
    for column in columns:
        if column is thread:
            continue
        for name, kind in (("torque", "torque"), ("load", "force"), ("stress", "stress")):
            if column.strength.get(name, 0) < 0.25:
                continue
            unit, found = _si(column, kind, notes)
            if not np.isfinite(found).any():
                continue
            fits = (physics.torque_fits(found, sizes) if name == "torque" else physics.load_fits(found, sizes) if name == "load"
                    else physics.stress_fits(found))  # fmt: skip
            if fits is None:
                continue
            if fits < 0.5:
                told = f" in {unit}" if unit else ""
                column.against[name] = f"{shown_name(name)}{told} does not suit these studs"
            elif unit or fits > 0.8:
                quantities[name].append((column, found))
                if fits > 0.9 and np.isfinite(sizes.diameter).mean() > 0.7:
                    column.suits.add(name)
        if column.strength.get("across_flats", 0) >= 0.25:
            unit = symbol_of(column.unit, "length") or ("in" if any("/" in t for t in column.cells.texts) else None)
            tries = [unit] if unit else ["mm", "in"]
            best = max(
                (physics.flats_fit(physics.numbers(column.values, "length", each), sizes) or 0.0) for each in tries
            )
            if best > 0.7:
                column.confirmed.add("across_flats")
            elif (
                best < 0.2 and physics.flats_fit(physics.numbers(column.values, "length", tries[0]), sizes) is not None
            ):
                column.cell["across_flats"] = min(column.cell.get("across_flats", 0), -0.6)
    for t_column, torque in quantities["torque"]:
        for l_column, load in quantities["load"]:
            same = physics.ratio(torque, load * sizes.diameter, 0.15)
            if same and same.count >= 3 and physics.K_LOW < same.middle < physics.K_HIGH and same.steady >= 0.6:
                t_column.confirmed.add("torque")
                l_column.confirmed.add("load")
        for s_column, stress in quantities["stress"]:
            same = physics.ratio(torque, stress * sizes.tensile * sizes.diameter, 0.2)
            if same and same.count >= 3 and physics.K_LOW < same.middle < physics.K_HIGH and same.steady >= 0.6:
                t_column.confirmed.add("torque")
                s_column.confirmed.add("stress")
    for l_column, load in quantities["load"]:
        for s_column, stress in quantities["stress"]:
            same = physics.ratio(load, stress * sizes.tensile, 0.12)
            if same and same.count >= 3 and 0.75 < same.middle < 1.25 and same.steady >= 0.6:
                l_column.confirmed.add("load")
                s_column.confirmed.add("stress")
