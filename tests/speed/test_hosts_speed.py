"""What the hosts add to the registry's own time, as ratios in one run.

Run with `pytest tests/speed/test_hosts_speed.py -s`.
"""

import sys
import time
import types
from collections.abc import Callable
from pathlib import Path
from typing import Any

from addin.functions.gate import answer
from addin.functions.registry import BY_NAME
from addin.hosts.libreoffice.office import Office

sys.path.insert(0, str(Path(__file__).parents[1]))
import excel_stand_ins  # noqa: E402

ROWS = 10_000
FUNCTION = BY_NAME["torque_from_preload"]
REST = ("1 1/4", 0.15, "US")
LOADS = [40_000.0 + row for row in range(ROWS)]


def seconds(work: Callable[[], Any], times: int = 3) -> float:
    """Shortest of a few runs."""
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def test_calc_through_the_worker(office: Office) -> None:
    """10,000 cells with a formula each, against as many that the worker refuses at once; and one over a column."""
    book, refused = office.new(), office.new()
    for each, rest in ((book, '"1 1/4";0.15;"US"'), (refused, '"1 1/4";0.15')):
        each.put("A1", [[load] for load in LOADS])
        each.put_formulas("B1", [[f"=TORQUE_FROM_PRELOAD(A{row};{rest})"] for row in range(1, ROWS + 1)])
    turns = [(book.recalculate(), refused.recalculate()) for _ in range(4)]  # in turns: a busy moment meets both
    book.close()
    refused.close()
    cells, nothing = map(min, zip(*turns, strict=True))
    book = office.new()
    book.put("A1", [[load] for load in LOADS])
    book.put_array(f"B1:B{ROWS}", f'=TORQUE_FROM_PRELOAD(A1:A{ROWS};"1 1/4";0.15;"US")')
    column = min(book.recalculate() for _ in range(3))
    book.close()
    print(f"\n10,000 cells: {cells:.2f} s, refused at once {nothing:.2f} s, {cells / nothing:.2f} times")
    print(f"a column of 10,000: {column:.3f} s, a cell each takes {cells / column:.0f} times that")
    assert column < cells / 4


def test_a_call_through_xlwings() -> None:
    """A call of ours over one that does nothing, on the same path with cells as arguments."""
    with excel_stand_ins.excel("addin.hosts.excel") as excel:
        module = types.ModuleType("nothing")
        module.__file__ = __file__
        import xlwings as xw

        def nothing(preload: Any, thread: Any, nut_factor: Any, units: Any) -> float:
            return 1.0

        nothing.__annotations__ = {}
        known: Any = nothing
        for name in ("preload", "thread", "nut_factor", "units"):
            known = xw.arg(name, "raw")(known)
        module.nothing = xw.func(known)  # type: ignore[attr-defined]
        sys.modules["nothing"] = module
        arguments = [excel_stand_ins.as_com(value) for value in (45_000.0, *REST)]
        empty = excel_stand_ins.Excel(excel.xlwings, "nothing")
        assert excel.call(FUNCTION.name, *arguments) == answer(FUNCTION, [45_000.0, *REST])
        assert empty.call("nothing", *arguments) == 1.0
        ours = theirs = float("inf")
        for _ in range(40):  # in turns, so that a busy moment meets both
            ours = min(ours, seconds(lambda: [excel.call(FUNCTION.name, *arguments) for _ in range(50)], 1))
            theirs = min(theirs, seconds(lambda: [empty.call("nothing", *arguments) for _ in range(50)], 1))
        del sys.modules["nothing"]
    print(f"\none call: {ours / 50 * 1e6:.0f} µs, nothing on the same path {theirs / 50 * 1e6:.0f} µs, "
          f"{ours / theirs:.2f} times")  # fmt: skip
    assert ours < 2 * theirs
