"""What the function about units calculates."""

from typing import Any

from addin.functions.steps import step
from calc.units import from_si, kinds_of, symbol, to_si


def unit_convert(value: Any, from_unit: str, to_unit: str) -> Any:
    """Numbers from one unit to another of the same kind."""
    kinds = [kind for kind in kinds_of(from_unit) if kind in kinds_of(to_unit)]
    if not kinds:
        first = kinds_of(from_unit) or kinds_of(to_unit)
        wrong = to_unit if kinds_of(from_unit) else from_unit
        symbol(first[0] if first else "torque", wrong)  # raises with the units that are known
    found = from_si(to_si(value, kinds[0], from_unit), kinds[0], to_unit)
    what, unit = f"{kinds[0].replace('_', ' ')} in the other unit", symbol(kinds[0], to_unit)
    formula = "value times factor of the one unit over factor of the other"
    return step(what, "", found, "as typed", formula, "NIST SP 811", unit)
