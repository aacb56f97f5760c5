"""What the hosts add to the registry's own time, as ratios in one run.

Run with `pytest tests/speed/test_hosts_speed.py -s`.
"""

import cProfile
import inspect
import os
import pstats
import sys
import time
import types
import unittest.mock
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from addin.functions.gate import answer
from addin.functions.registry import BY_NAME
from addin.hosts.libreoffice import extension
from addin.hosts.libreoffice.office import Office

sys.path.insert(0, str(Path(__file__).parents[1]))
import excel_stand_ins  # noqa: E402

ROWS = 10_000
CELLS = int(os.environ.get("TAUTSHEET_SPEED_CELLS", "3000"))
FUNCTION = BY_NAME["torque_from_preload"]
REST = ("1 1/4", 0.15, "US")
LOADS = [40_000.0 + row for row in range(ROWS)]


def seconds(work: Callable[[], Any], times: int = 3) -> float:
    """Shortest of a few runs."""
    best = float("inf")
    for _ in range(times):
        start = time.process_time()
        work()
        best = min(best, time.process_time() - start)
    return best


ECHO = """
import json, sys
for line in sys.stdin.buffer:
    name, values = json.loads(line)
    sys.stdout.buffer.write(json.dumps([[1.0]]).encode() + b"\\n")
    sys.stdout.buffer.flush()
"""
"""A worker that reads what it is asked and answers the same number to everything."""


def processor(office: Office) -> float:
    """Processor seconds of an office process and of all that it has started."""
    parents, spent = dict[int, int](), dict[int, float]()
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            words = stat.read_text().rpartition(")")[2].split()
        except OSError:  # it has just ended
            continue
        parents[int(stat.parent.name)] = int(words[1])
        spent[int(stat.parent.name)] = (int(words[11]) + int(words[12])) / os.sysconf("SC_CLK_TCK")

    def below(process: int) -> bool:
        while process and process != office._process.pid:
            process = parents.get(process, 0)
        return bool(process)

    return sum(seconds for process, seconds in spent.items() if below(process))


def test_calc_through_the_worker(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """CELLS cells with a formula each, against a worker that answers without a thought; and one over a column.

    Each time with numbers that were never asked for ("new"), then all of them once more ("again").
    """
    table = [["Pressure (psi)", "Torque (ft-lb)"], *([1000.0 * k, 450.0 * k] for k in range(1, 11))]
    kinds = {
        "setpoint": ('=SETPOINT(A{row}+$C$1;$D$1:$E$11;"US";100)', 3000.0),
        "torque_from_preload": ('=TORQUE_FROM_PRELOAD(A{row}+$C$1;"1 1/4";0.15;"US")', 40_000.0),
    }
    (tmp_path / "echo.py").write_text(ECHO, encoding="utf-8")
    ours = Office()
    monkeypatch.setattr(extension, "WORKER", ("-P", str(tmp_path / "echo.py")))
    echo = Office()
    took: dict[tuple[str, str, str], float] = {}
    for name, (formula, about) in kinds.items():
        books = {"ours": ours.new(), "echo": echo.new()}
        for book in books.values():
            book.put("A1", [[about + about / 4 * row / CELLS] for row in range(CELLS)])
            book.put("D1", table)
            book.put_formulas("B1", [[formula.format(row=row)] for row in range(1, CELLS + 1)])
        for turn in range(4):  # in turns, so that a busy moment meets both; the first is not counted
            for (who, book), office in zip(books.items(), (ours, echo), strict=True):
                book.put("C1", [[about / 16 / CELLS * (turn + 1)]])  # what is not seen is not calculated yet
                for what in ("new", "again"):
                    begun = processor(office)
                    book.recalculate()
                    spent = processor(office) - begun
                    took[name, who, what] = min(spent, took.get((name, who, what), 1e9)) if turn else 1e9
        assert {cell for (cell,) in books["echo"].cells(f"B1:B{CELLS}")} == {("number", 1.0)}
        assert {kind for ((kind, _),) in books["ours"].cells(f"B1:B{CELLS}")} == {"number"}
        for book in books.values():
            book.close()
    book = ours.new()
    book.put("A1", [[load] for load in LOADS])
    book.put_array(f"B1:B{ROWS}", f'=TORQUE_FROM_PRELOAD(A1:A{ROWS};"1 1/4";0.15;"US")')
    begun = processor(ours)
    for _ in range(5):
        book.recalculate()
    column = (processor(ours) - begun) / 5
    ours.close()
    echo.close()
    single = ROWS / CELLS * took["torque_from_preload", "ours", "new"]
    for name, who, what in took:
        if who == "ours":
            cells, nothing = took[name, who, what], took[name, "echo", what]
            print(f"\n{CELLS} cells {name}, {what}: {cells:.2f} s of processor, an echo {nothing:.2f} s, "
                  f"{cells / nothing:.2f} times")  # fmt: skip
    print(f"a column of 10,000: {column:.3f} s, a cell each {single / column:.0f} times")
    for name, who, what in took:
        assert took[name, who, what] < 3 * took[name, "echo", what]
    assert column < single / 4


def own_share(work: Callable[[], Any]) -> float:
    """Share of the time of some work that is spent in the stand-ins for the modules of Windows, or below them in what
    Python does for them: a profile of it, whose own cost meets both alike.
    """
    profile = cProfile.Profile()
    profile.runcall(work)
    found = pstats.Stats(profile).stats  # type: ignore[attr-defined]  # known for long, named in no stub
    whole = sum(times[2] for times in found.values())
    stands_in = {Path(module.__file__ or "").name for module in (excel_stand_ins, unittest.mock, inspect)}
    mine = sum(times[2] for (file, *_), times in found.items() if Path(file).name in stands_in)
    below = sum(
        by[2]
        for (file, *_), (*_, callers) in found.items()
        if file == "~"
        for (caller, *_), by in callers.items()
        if Path(caller).name in stands_in
    )
    return float((mine + below) / whole)


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
        stands_in = theirs * own_share(lambda: [empty.call("nothing", *arguments) for _ in range(200)])
        del sys.modules["nothing"]
    print(f"\none call: {ours / 50 * 1e6:.0f} µs, nothing on the same path {theirs / 50 * 1e6:.0f} µs, "
          f"{ours / theirs:.2f} times; the stand-ins' own cost {stands_in / 50 * 1e6:.0f} µs of both, "
          f"{(ours - stands_in) / (theirs - stands_in):.2f} times without it")  # fmt: skip
    assert ours < 2 * theirs
