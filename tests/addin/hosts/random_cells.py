"""Random cells of every type through the code of each host: no exception, and no number from nothing.

    python tests/addin/hosts/random_cells.py [CELLS] [SEED]

CELLS (300,000) are drawn, half for Excel (xlwings on stand-ins for the modules of Windows, with what COM delivers) and
half for Calc (lines of JSON to its worker), and put into the arguments of the functions' examples: one argument, some
of them, or every one; tables and blocks have single cells exchanged. A result is a finite number, a text or rows of
them. Where a required single value is blank, an error, a STOP or a word, the result holds no number at all.
"""

import datetime
import json
import math
import random
import sys
import time
from collections import Counter
from collections.abc import Callable, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))  # where the stand-ins for the modules of Windows are
from excel_stand_ins import Time, as_com, excel  # noqa: E402

from addin.cells.texts import is_stop  # noqa: E402
from addin.functions.examples import EXAMPLES  # noqa: E402
from addin.functions.gate import REQUIRED, Function  # noqa: E402
from addin.functions.registry import FUNCTIONS  # noqa: E402
from addin.hosts.libreoffice.worker import reply  # noqa: E402

SLOW = ("interaction_table", "one_factor_setting", "one_pass_settings", "fewest_moves", "compare_procedures",
        "circular_passes_needed", "rest_from_measured")  # fmt: skip
"""Functions that take seconds when their input is sound: one call in a thousand."""
WHOLE = ("units", "table", "block", "rows")
NOTHING: tuple[Any, ...] = (
    None,
    "",
    "  ",
    "#N/A",
    "#VALUE!",
    "STOP: the first cause",
    "STOP",
    "abc",
    "n/a",
    "-",
    "TBA",
    "'",
)
"""Cells that hold no number."""
ODD: tuple[Any, ...] = (
    True, False, 0.0, -1.0, 1e-320, 1e308, -1e300, 5e15, 2.0**63, "1,250", "9.500", "1e3", "1_000", "inf", "nan",
    "１２", "12 furlongs", "345 MPa", "5 %", "1 5/8", "M36x3", "=1+1", "\x00", "\ud800", "x" * 40_000, "𝟙𝟚", "1" * 400,
    "\r\n7",
)  # fmt: skip
COM: tuple[Any, ...] = (
    -2146826281,
    -2146826246,
    -2146826243,
    Decimal("45000.00"),
    Time(2026, 3, 14),
    datetime.datetime(1900, 1, 1),
)


def drawn(draw: random.Random, *, com: bool) -> Any:
    """One cell."""
    way = draw.randrange(10)
    if way < 3:
        return draw.choice(NOTHING)
    if way < 6:
        return draw.choice(ODD)
    if way == 6 and com:
        return draw.choice(COM)
    if way < 9:
        return math.copysign(10.0 ** draw.uniform(-6, 9), draw.choice((1, 1, 1, -1)))
    return "".join(
        chr(draw.choice((*range(32, 127), 0xA0, 0xB7, 0x3A9, 0x4E2D, 0x202E))) for _ in range(draw.randrange(1, 12))
    )


def spoilt(values: Sequence[Any], draw: random.Random, *, com: bool) -> tuple[list[Any], int]:
    """The example's values with cells exchanged, and how many."""
    chosen = {draw.randrange(len(values))}
    if draw.random() < 0.3:
        chosen |= {at for at in range(len(values)) if draw.random() < 0.5}
    out, count = list(values), 0
    for at in chosen:
        value = values[at]
        if isinstance(value, tuple) and draw.random() < 0.9:
            rows = [list(row) for row in value]
            for _ in range(draw.randrange(1, 4)):
                row = draw.choice(rows)
                row[draw.randrange(len(row))] = drawn(draw, com=com)
                count += 1
            out[at] = tuple(map(tuple, rows))
        elif draw.random() < 0.2:
            out[at] = tuple((drawn(draw, com=com),) for _ in range(draw.randrange(2, 5)))
            count += len(out[at])
        else:
            out[at] = drawn(draw, com=com)
            count += 1
    return out, count


def cells_of(shown: Any) -> list[Any]:
    """Every cell of a result."""
    if isinstance(shown, (list, tuple)):
        return [cell for row in shown for cell in cells_of(row)]
    return [shown]


def fault(function: Function, values: Sequence[Any], shown: Any) -> str:
    """What is wrong with a result; "" where nothing is."""
    cells = cells_of(shown)
    for cell in cells:
        if not isinstance(cell, (int, float, str)) or (isinstance(cell, float) and not math.isfinite(cell)):
            return f"shows {cell!r}"
        if isinstance(cell, str) and "fault of the program" in cell:
            return f"shows {cell!r}"
    for arg, value in zip(function.args, values, strict=False):
        required = arg.default is REQUIRED and arg.kind not in (*WHOLE, "words", "date")
        if required and value in NOTHING and not isinstance(value, (bool, tuple)) and any(
            isinstance(cell, (int, float)) and not isinstance(cell, bool) for cell in cells
        ):  # fmt: skip
            return f"{arg.name} is {value!r} and a number comes out: {str(shown)[:80]}"
    return ""


def calc(function: Function, values: Sequence[Any]) -> Any:
    """What Calc gets."""
    return json.loads(reply(json.dumps([function.name, list(values)]).encode("ascii")))


def run(host: str, ask: Callable[[Function, Sequence[Any]], Any], cells: int, seed: int) -> tuple[int, Counter[str]]:
    """Put cells through a host; how many, and what came of them."""
    quick = [each for each in FUNCTIONS if each.name not in SLOW and EXAMPLES[each.name]]
    slow = [each for each in FUNCTIONS if each.name in SLOW]
    draw, done, found = random.Random(f"{host} {seed}"), 0, Counter[str]()
    while done < cells:
        function = draw.choice(slow if draw.random() < 0.001 else quick)
        values, count = spoilt(EXAMPLES[function.name], draw, com=host == "Excel")
        done += count
        try:
            shown = ask(function, values)
        except Exception as error:  # any at all is a fault
            said = f"{type(error).__name__}: {error}"[:200]
        else:
            said = fault(function, values, shown)
            found["stops" if any(isinstance(c, str) and is_stop(c) for c in cells_of(shown)) else "answers"] += 1
        if said:
            found["faults"] += 1
            print(f"{host} {function.name}{str(values)[:300]}: {said}", flush=True)
    return done, found


def main() -> int:
    """Both hosts, half of the cells each."""
    cells = int(sys.argv[1]) if len(sys.argv) > 1 else 300_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    begun, faults = time.process_time(), 0
    with excel("addin.hosts.excel") as machinery:
        for host, ask in (("Excel", lambda f, values: machinery.call(f.name, *map(as_com, values))), ("Calc", calc)):
            done, found = run(host, ask, cells // 2, seed)
            faults += found["faults"]
            print(f"{host}: {done} cells, {', '.join(f'{n} {what}' for what, n in found.items())}", flush=True)
    print(f"{faults} faults, {time.process_time() - begun:.0f} s of processor")
    return int(bool(faults))


if __name__ == "__main__":
    sys.exit(main())
