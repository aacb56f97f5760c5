"""Every registered function through xlwings' own import and call code, with values as Excel delivers them."""

import datetime
import math
import random
import sys
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from addin.cells.texts import is_stop
from addin.functions.examples import EXAMPLES
from addin.functions.gate import REQUIRED, Function, answer
from addin.functions.registry import BY_NAME, FUNCTIONS

sys.path.insert(0, str(Path(__file__).parents[2]))  # pytest, looking for doctests, imports this file by its path
from excel_stand_ins import MISSING, Book, Dispatch, Excel, ExcelRange, Time, as_com  # noqa: E402
from worked_out import LONGEST, takes_a_model  # noqa: E402

NA, SPILL = -2146826246, -2146826243
"""#N/A, and an error code that xlwings does not know."""
BAD = (None, "", " ", True, False, -5.0, 0.0, 3e9, "abc", "12 furlongs", "1,250", "#N/A", NA, SPILL, -2146826281,
       Decimal("45000.00"), Time(2026, 3, 14), "STOP: the first cause", "STOP")  # fmt: skip

pytestmark = pytest.mark.usefixtures("worked_out_once")

REFUSED = ("abc", "12 furlongs", "#N/A", NA, SPILL, "STOP: the first cause")
"""For what takes a model: nothing that could be taken for an argument, and run."""

every_function = pytest.mark.parametrize("function", FUNCTIONS, ids=lambda function: function.name)


def shown(function: Function, values: Any) -> Any:
    """What the registry answers, in the form in which Excel gets it: a value, a row, or rows."""
    rows = answer(function, values)
    if not isinstance(rows, list):
        return rows
    return rows if len(rows) > 1 else rows[0] if len(rows[0]) > 1 else rows[0][0]


def same(got: Any, wanted: Any) -> bool:
    """Equal to the last bit and the last letter."""
    if isinstance(wanted, list):
        return isinstance(got, list) and len(got) == len(wanted) and all(map(same, got, wanted))
    if isinstance(wanted, (int, float)) and not isinstance(wanted, bool):
        return isinstance(got, float) and math.isfinite(got) and got.hex() == float(wanted).hex()
    return type(got) is type(wanted) and bool(got == wanted)


@every_function
def test_example(excel: Excel, function: Function) -> None:
    values = EXAMPLES[function.name]
    assert same(excel.call(function.name, *map(as_com, values)), shown(function, values))
    typed = [as_com(value) if isinstance(value, tuple) else value for value in values]
    assert same(excel.call(function.name, *typed), shown(function, values)), "typed into the formula"


@every_function
def test_random_input(excel: Excel, function: Function, sweeps: bool) -> None:
    """Numbers moved a little; of what takes longest in a sweep only."""
    if function.name in LONGEST and not sweeps:
        return
    chance = random.Random(function.name)
    for _ in range(1 if takes_a_model(function) else 5):
        values = [round(v * chance.uniform(0.8, 1.2), 6) if isinstance(v, float) else v
                  for v in EXAMPLES[function.name]]  # fmt: skip
        assert same(excel.call(function.name, *map(as_com, values)), shown(function, values))


@every_function
def test_refusals(excel: Excel, function: Function, sweeps: bool) -> None:
    """Every argument with what Excel can deliver, all of it in a sweep, else an error cell and some of the rest in
    turn: the same text as the registry's, never a traceback.
    """
    example = EXAMPLES[function.name]
    for at, arg in enumerate(function.args[: len(example)]):
        odd = REFUSED if takes_a_model(function) else BAD
        turn = FUNCTIONS.index(function) + at
        some = (NA, SPILL)[turn % 2], *(odd[(turn * 4 + k) % len(odd)] for k in range(4))
        for bad in odd if sweeps else some:
            values = [*example[:at], bad, *example[at + 1 :]]
            got = excel.call(function.name, *map(as_com, values))
            assert same(got, shown(function, values)), f"{arg.name} = {bad!r}"
            if bad is NA or bad is SPILL:
                assert is_stop(got) or function.result == "spill", f"{arg.name} = {bad!r} gave {got!r}"


@every_function
def test_arguments_left_out(excel: Excel, function: Function, sweeps: bool) -> None:
    """Of those that take a model one alone, but for a sweep."""
    if takes_a_model(function) and function.name != "residual_preload" and not sweeps:
        return
    example = EXAMPLES[function.name]
    needed = sum(arg.default is REQUIRED for arg in function.args)
    values = [as_com(value) for value in example[:needed]] + [MISSING] * (len(function.args) - needed)
    assert same(excel.call(function.name, *values), shown(function, example[:needed]))


def test_columns_and_rows(excel: Excel) -> None:
    function = BY_NAME["torque_from_preload"]
    loads = [45000.0, None, NA, "50 kip", Decimal("1"), True]
    for rows in ([[load] for load in loads], [loads]):
        got = excel.call(function.name, as_com(rows), "1 1/4", 0.15, "US")
        assert same(got, shown(function, [rows, "1 1/4", 0.15, "US"]))
    assert sum(is_stop(cell) for cell in got) == 4


def test_a_whole_column_is_refused_in_plain_words(excel: Excel, sweeps: bool) -> None:
    """A quarter of one, but for a sweep; the registry is tested with a whole one."""
    rows = 1_048_576 if sweeps else 262_144
    got = excel.call("torque_from_preload", ExcelRange(((None,),) * rows), "1 1/4", 0.15, "US")
    assert got == f"STOP: preload has {rows} rows, at most 200000; give only the used part, e.g. D2:D9001"


def test_a_table_may_be_whole_columns(excel: Excel) -> None:
    """2500 lbf·ft between 2330 at 7000 psi and 2665 at 8000 psi: 7507 psi, 7500 on marks of 100. A quarter of a column
    is more than a column of arguments may have.
    """
    table = EXAMPLES["setpoint"][1]
    long = ExcelRange((*table, *((None, None),) * (262_144 - len(table))))
    assert excel.call("setpoint", 2500.0, long, "US", 100.0) == 7500.0


def test_dates_in_a_list(excel: Excel) -> None:
    joints, wrenches, units, day = EXAMPLES["joint_plan"]
    dated = [[*joints[0], "Job date"], *([*row, Time(2026, 10, 8)] for row in joints[1:])]
    typed = [[*joints[0], "Job date"], *([*row, datetime.datetime(2026, 10, 8)] for row in joints[1:])]
    got = excel.call("joint_plan", as_com(dated), as_com(wrenches), units)
    assert same(got, shown(BY_NAME["joint_plan"], [typed, wrenches, units]))
    assert "planned" in got[1]


def test_what_excel_is_told(excel: Excel) -> None:
    """Names, category and help of the function wizard."""
    book = Book("tautsheet.xlam")
    excel.import_into(book)
    told = dict(book.options)
    assert set(told) == {f"'tautsheet.xlam'!{function.name}" for function in FUNCTIONS}
    for function in FUNCTIONS:
        options = told[f"'tautsheet.xlam'!{function.name}"]
        assert options["Description"] == function.help
        assert options["Category"] == "tautsheet"
        assert options["ArgumentDescriptions"] == [arg.help for arg in function.args]
        assert all(0 < len(text) <= 255 for text in (function.help, *options["ArgumentDescriptions"]))


def test_only_the_free_part_of_xlwings(excel: Excel) -> None:
    import xlwings

    assert xlwings.__pro__ is False
    assert excel.xlwings.__pro__ is False


def test_every_argument_comes_raw(excel: Excel) -> None:
    for noted in excel.functions().values():
        assert {arg["options"].get("convert") for arg in noted["args"]} == {"raw"}
        assert noted["call_in_wizard"], "otherwise cells show 0 when a workbook is opened"
        assert not noted["volatile"]
        assert noted["async_mode"] is None
        assert not noted["ret"]["options"]


class TestAlarm:
    """What this release of xlwings does with each kind of value. When a test fails, read the call path again."""

    KINDS = (1.5, "text", "", None, True, NA, SPILL, Decimal("12.50"), Time(2026, 3, 14))

    def read(self, excel: Excel, value: Any, options: dict[str, Any]) -> Any:
        cells = excel.xlwings.Range(impl=sys.modules["xlwings._xlwindows"].Range(xl=as_com(value)))
        return excel.udfs.conversion.read(cells, None, options)

    def test_raw_changes_nothing(self, excel: Excel) -> None:
        for value in self.KINDS:
            got = self.read(excel, value, {"convert": "raw"})
            assert type(got) is type(value)
            assert got == value
        column = self.read(excel, [[1.0], [NA], [None]], {"convert": "raw"})
        assert column == ((1.0,), (NA,), (None,))
        assert self.read(excel, [[1.0, "a"]], {"convert": "raw"}) == ((1.0, "a"),)

    def test_without_raw_errors_become_blanks(self, excel: Excel) -> None:
        """The reason for raw."""
        assert self.read(excel, NA, {}) is None
        assert self.read(excel, SPILL, {}) == SPILL, "a newer error code goes through as a number"
        assert self.read(excel, "", {}) is None
        assert self.read(excel, [[1.0], [NA]], {}) == [1.0, None], "a column loses its shape"
        assert self.read(excel, Time(2026, 3, 14), {}) == datetime.datetime(2026, 3, 14)

    def test_what_goes_out(self, excel: Excel) -> None:
        write = excel.udfs.conversion.write
        assert write(1.5, None, {}) == [[1.5]]
        assert write("STOP: x", None, {}) == [["STOP: x"]]
        assert write([["a", 1.5], ["b", 2.5]], None, {}) == [["a", 1.5], ["b", 2.5]]
        assert write(math.nan, None, {}) == [[""]], "so a NaN may never be returned"
        assert write(None, None, {}) == [[""]]
        with pytest.raises(Exception, match="same length"):
            write([[1.0], [1.0, 2.0]], None, {})

    def test_an_argument_left_out_has_its_own_code(self, excel: Excel) -> None:
        noted = excel.functions()["tightening_order"]["args"]
        assert [arg.get("optional", "required") for arg in noted] == ["required", None, None]

    def test_a_com_object_that_is_no_range_is_none_of_ours(self, excel: Excel) -> None:
        got = excel.call("unit_convert", Dispatch(), "kN", "N")
        assert is_stop(got)
