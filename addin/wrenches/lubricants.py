"""The lubricants of a wrench book: the friction of each product with its source."""

import math
from collections.abc import Mapping
from dataclasses import replace

from addin.cells.numbers import stands_for_nothing
from addin.workbooks.addresses import address
from addin.workbooks.grid import Grid
from addin.wrenches.list_words import headings_of
from addin.wrenches.listing import Source, listing, names_of
from calc.findings import InputError, stop
from calc.plan.joints import Lubricant

_HEADINGS = {
    **headings_of("lubricants"),
    "product": "product", "lubricant": "product", "nut factor low": "low", "nut factor": "nut_factor",
    "nut factor high": "high", "thread friction": "thread_friction", "nut friction": "nut_friction", "source": "source",
}  # fmt: skip


def read_lubricants(grid: Grid, lubricants: list[Lubricant], sources: dict[tuple[str, str], Source]) -> None:
    """Add the products of a sheet to `lubricants` and `sources`; a row with a fault is left out with its reason.

    A name that another book has too is used where both rows say the same, else neither is.
    """
    columns, rows = listing(grid, _HEADINGS, ("Product",))
    if not rows:
        return
    at = {field: column for field, (column, _) in columns.items()}
    for row, name in names_of(grid, rows, at["product"], "product", "lubricant_repeated").items():
        place = at["product"]
        try:
            values = {}
            for field in ("low", "nut_factor", "high", "thread_friction", "nut_friction"):
                place, quantity = at.get(field, 0), field if "friction" in field else "nut_factor"
                given = place and not stands_for_nothing(grid.stored(row, place, quantity))
                values[field] = grid.number(row, place, quantity) if given else math.nan
            place = at["product"]
            _check_friction(name, values)
            place = at.get("source", at["product"])
            source = grid.text(row, place, "source") if "source" in at else ""
            if not source:
                raise stop("source_missing", "source", text=name)
        except InputError as error:
            grid.add(error.finding, row, place)
            continue
        made = Lubricant(product=name, source=source, **values)
        twin = next((each for each in lubricants if each.product.casefold() == name.casefold()), None)
        if twin is not None:
            if repr(twin) != repr(replace(made, product=twin.product)):  # NaN is not equal to itself
                grid.stop("lubricant_repeated", "product", row, at["product"], text=name)
                lubricants.remove(twin)
            continue
        if made.low < made.high and made.nut_factor in (made.low, made.high):
            end = "low" if made.nut_factor == made.low else "high"
            grid.caution("lubricant_own_end", "nut_factor", row, at["nut_factor"], text=name, end=end,
                         value=made.nut_factor)  # fmt: skip
        same = next((each for each in lubricants if each.low == made.low and each.nut_factor == made.nut_factor
                     and each.high == made.high), None)  # fmt: skip
        if same is not None:  # never where one is not stated: NaN is not equal to itself
            grid.caution("lubricant_same", "nut_factor", row, at["nut_factor"], text=name, other=same.product)
        lubricants.append(made)
        sources["lubricant", name] = Source(grid.sheet, address(row, at["product"]), {"source": source}, {})


def _check_friction(name: str, values: Mapping[str, float]) -> None:
    """One statement of friction: a nut factor within its own range, or both coefficients."""
    stated = {field for field, value in values.items() if not math.isnan(value)}
    if len(stated & {"thread_friction", "nut_friction"}) == 1:
        raise stop("coefficients_both", "thread_friction")
    if {"nut_factor", "thread_friction"} <= stated:
        raise stop("friction_twice", "nut_factor")
    if not stated & {"nut_factor", "thread_friction"}:
        raise stop("lubricant_empty", "nut_factor", text=name)
    if values["low"] > values["nut_factor"] or values["high"] < values["nut_factor"] or values["low"] > values["high"]:
        raise stop("lubricant_order", "nut_factor", text=name)
