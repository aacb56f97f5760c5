"""Excel's stand-in, and sheets of calls to fill an office process with."""

import contextlib
import math
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.formula import ArrayFormula

from addin.functions.gate import Function, answer
from addin.hosts.libreoffice import office as office_module
from addin.hosts.libreoffice import places, recalc
from addin.hosts.libreoffice.office import Office
from addin.hosts.libreoffice.places import NoOfficeError

sys.path.insert(0, str(Path(__file__).parents[2]))  # pytest, looking for doctests, imports this file by its path
import excel_stand_ins  # noqa: E402
import make_starter  # noqa: E402
from ordinary_documents import Run, ordinary  # noqa: E402


@pytest.fixture(scope="module")
def excel() -> Iterator[excel_stand_ins.Excel]:
    """xlwings as on Windows, with our functions."""
    with excel_stand_ins.excel("addin.hosts.excel") as machinery:
        yield machinery


@pytest.fixture(scope="session")
def stored() -> dict[tuple[str, str], Any]:
    """What the cells of the shipped starter workbook show as the file has it."""
    book = openpyxl.load_workbook(make_starter.STARTER, data_only=True)
    cells = ((sheet.title, cell) for sheet in book for row in sheet.iter_rows() for cell in row)
    return {(title, cell.coordinate): cell.value for title, cell in cells if cell.value is not None}


@pytest.fixture(scope="session")
def short_starter(stored: dict[tuple[str, str], Any], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The starter workbook without the sheet of every function, which takes its time."""
    path = tmp_path_factory.mktemp("starter") / "starter.xlsx"
    make_starter.build(path, stored, functions=False)
    return path


@contextlib.contextmanager
def no_other_than(office: Office) -> Iterator[None]:
    """`recalc` and `freeze` work in the office process that is there; a test in `test_secluded` starts its own."""
    with pytest.MonkeyPatch.context() as patch:
        for module in (recalc, office_module):  # where it is imported from when it is needed
            patch.setattr(module, "Office", lambda: contextlib.nullcontext(office))
        yield


@pytest.fixture
def in_the_same_office(office: Office) -> Iterator[None]:
    with no_other_than(office):
        yield


@pytest.fixture(scope="module")
def in_the_same_office_all_along(office: Office) -> Iterator[None]:
    with no_other_than(office):
        yield


@dataclass
class Calls:
    """A workbook of formulas, each on arguments in cells, and what the registry answers to the same call."""

    workbook: Workbook = field(default_factory=Workbook)
    wanted: list[tuple[str, str, Any]] = field(default_factory=list)
    """Name of the call, address of its answer on the sheet Answers, rows the registry gives."""

    def __post_init__(self) -> None:
        self.arguments = self.workbook.active
        self.arguments.title = "Arguments"
        self.answers = self.workbook.create_sheet("Answers")
        self.column, self.row, self.known = 1, 1, {}

    def place(self, value: Any) -> str:
        """A value in cells of its own; its address."""
        key = repr(value)
        if key not in self.known:
            rows = value if isinstance(value, (tuple, list)) else ((value,),)
            for i, row in enumerate(rows, start=1):
                for k, cell in enumerate(row):
                    self.arguments.cell(i, self.column + k).value = cell
                    if isinstance(cell, str):
                        self.arguments.cell(i, self.column + k).data_type = "s"
            first, last = get_column_letter(self.column), get_column_letter(self.column + len(rows[0]) - 1)
            address = f"Arguments!{first}1" + (f":{last}{len(rows)}" if value is rows else "")
            self.known[key] = address
            self.column += len(rows[0])
        return self.known[key]

    def add(self, name: str, function: Function, values: Any, *, heard: Any = None, whole: bool = True) -> None:
        """A call with every argument in cells; `heard` is what the host makes of the values, where that differs."""
        shown = answer(function, values if heard is None else heard)
        rows = shown if isinstance(shown, list) else [[shown]]
        rows = rows if whole else [rows[0][:1]]
        formula = f"={function.name}({','.join('' if value is None else self.place(value) for value in values)})"
        first, last = f"A{self.row}", f"{get_column_letter(len(rows[0]))}{self.row + len(rows) - 1}"
        if first == last:
            self.answers[first] = formula
        else:
            self.answers[first] = ArrayFormula(f"{first}:{last}", formula)
        self.wanted.append((name, f"{first}:{last}", rows))
        self.row += len(rows)


@pytest.fixture
def calls() -> Calls:
    return Calls()


def same(kind: str, content: Any, wanted: Any) -> bool:
    """Whether a cell of Calc shows what the registry answers: numbers to the last bit, texts to the letter."""
    if isinstance(wanted, (bool, int, float)):
        return kind == "number" and math.isfinite(wanted) and float(content).hex() == float(wanted).hex()
    return (kind, content) == (("text", wanted) if wanted else ("", ""))


@pytest.fixture
def compare(tmp_path: Path) -> Callable[[Office, Calls], list[str]]:
    """Opens the calls in Calc, calculates them, and gives the cells that differ, as lines for a person."""

    def differing(office: Office, calls: Calls) -> list[str]:
        calls.workbook.save(tmp_path / "calls.xlsx")
        book = office.open(tmp_path / "calls.xlsx")
        book.recalculate()
        wide = max(len(row) for _, _, rows in calls.wanted for row in rows)
        shown = iter(book.cells(f"A1:{get_column_letter(wide)}{calls.row}", "Answers"))
        book.close()
        return [
            f"{name} {address} column {k}: {cell} is not {wanted!r}"
            for name, address, rows in calls.wanted
            for row in rows
            for k, (cell, wanted) in enumerate(zip(next(shown), row, strict=False), start=1)
            if not same(*cell, wanted)
        ]

    return differing


@pytest.fixture(scope="session")
def run(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Run]:
    """One office with the extension, for tests that open and save documents as a person does. It waits 2 s and no more
    for one function, that one can see what becomes of a worker that hangs.
    """

    def hurried(settings: dict[str, Any]) -> None:
        settings["limits"]["unit_convert"] = 2

    try:
        places.find()
    except NoOfficeError as error:
        pytest.skip(f"needs LibreOffice: {error}")
    with ordinary(tmp_path_factory.mktemp("ordinary"), hurried) as steps:
        yield steps
