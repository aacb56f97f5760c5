"""xlwings as it runs on Windows, its own code unmodified, on stand-ins for the modules of Windows.

The stand-ins deliver what Excel delivers through COM: rows of cells for a range, a bare value for one cell, None for an
empty cell, whole negative numbers for error cells, Decimal for currency, a datetime for a date.
"""

import ctypes
import datetime
import importlib
import sys
import types
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from unittest import mock

RANGE_ID = "{00020846-0000-0000-C000-000000000046}"
MISSING = -2147352572
"""What an argument that is left out arrives as."""

_WINDOWS = (
    "pythoncom", "pywintypes", "win32api", "win32con", "win32com", "win32com.client", "win32com.server",
    "win32com.server.dispatcher", "win32com.server.policy", "win32com.server.util", "win32event", "win32gui",
    "win32process", "win32timezone",
)  # fmt: skip


class ComError(Exception):
    """pywintypes.com_error."""

    hresult = 0


class Time(datetime.datetime):
    """pywintypes.TimeType."""


class Dispatch:
    """A COM object; what nobody has set is made up when it is asked for."""

    def __init__(self, **attributes: Any) -> None:
        self.__dict__.update(attributes)


class ExcelRange(Dispatch):
    """A range: `Value` as COM gives it, and what xlwings asks of the object."""

    def __init__(self, value: Any) -> None:
        rows = value if isinstance(value, tuple) else ((value,),)
        kind = types.SimpleNamespace(
            GetTypeInfo=lambda: types.SimpleNamespace(GetTypeAttr=lambda: types.SimpleNamespace(iid=RANGE_ID))
        )
        super().__init__(
            Value=rows[0][0] if len(rows) == 1 and len(rows[0]) == 1 else rows,
            _oleobj_=kind,
            Rows=Dispatch(Count=len(rows)),
            Columns=Dispatch(Count=len(rows[0])),
            Row=1,
            Column=1,
            Worksheet=Dispatch(Parent=Dispatch(Application=Dispatch(Hwnd=1))),
            Address="$A$1",
        )


class Components(list[str]):
    """The modules of a project; keeps the text of what is imported."""

    def __call__(self, name: str) -> Any:
        raise ComError(name)

    def Remove(self, component: Any) -> None:  # noqa: N802  # Excel's own name
        """Nothing is there to be removed."""

    def Import(self, path: str) -> None:  # noqa: N802  # Excel's own name
        with open(path) as file:
            self.append(file.read())


class Book(Dispatch):
    """A workbook or add-in file that functions are imported into."""

    def __init__(self, name: str) -> None:
        self.components, self.options = Components(), []
        application = Dispatch(Version="16.0", MacroOptions=lambda name, **rest: self.options.append((name, rest)))
        super().__init__(
            Name=name, VBProject=Dispatch(VBComponents=self.components), Application=application, Worksheets=(),
            Sheets=(),
        )  # fmt: skip


class Excel:
    """Calls functions of a module the way the macro wrapper does."""

    def __init__(self, xlwings: Any, module: str) -> None:
        self.xlwings, self.module = xlwings, module
        self.udfs = sys.modules["xlwings.udfs"]
        self.server = sys.modules["xlwings.com_server"].XLPython()

    def call(self, name: str, *values: Any) -> Any:
        """What a cell gets: a bare value, a row, or rows."""
        return self.server.CallUDF(self.module, name, values, None, ExcelRange(None))

    def functions(self) -> dict[str, Any]:
        """What xlwings has noted of every function."""
        module = importlib.import_module(self.module)
        return {name: f.__xlfunc__ for name, f in vars(module).items() if hasattr(f, "__xlfunc__")}

    def import_into(self, book: Book) -> str:
        """Import the functions; the macro module that xlwings writes."""
        with mock.patch.object(self.udfs, "Book", return_value=types.SimpleNamespace(sheets=())):
            self.udfs.import_udfs(self.module, book)
        return str(book.components[-1])


def as_com(value: Any) -> Any:
    """An argument as Excel delivers it: a range for rows of cells and for the content of a cell."""
    if isinstance(value, (list, tuple)):
        return ExcelRange(tuple(tuple(row) for row in value))
    return ExcelRange(value)


@contextmanager
def excel(module: str) -> Iterator[Excel]:
    """Import xlwings and a module of functions as on Windows; afterwards everything is as it was."""
    modules: dict[str, Any] = {name: mock.MagicMock(name=name) for name in _WINDOWS}
    modules["pywintypes"].com_error = ComError
    modules["pywintypes"].error = ComError
    modules["pywintypes"].TimeType = Time
    modules["pywintypes"].IID = str
    modules["pythoncom"].ole_error = ComError
    modules["pythoncom"].__file__ = "pythoncom.dll"
    client = modules["win32com.client"]
    client.CDispatch = client.CoClassBaseClass = client.DispatchBaseClass = Dispatch
    client.Dispatch = lambda value: value
    util = modules["win32com.server.util"]
    util.unwrap = mock.Mock(side_effect=ComError("no object of ours"))
    for name, part in modules.items():
        if "." in name:
            parent, child = name.rsplit(".", 1)
            setattr(modules[parent], child, part)
    ours = ("xlwings", module)
    before = {name: m for name, m in sys.modules.items() if name.partition(".")[0] == "xlwings" or name == module}
    for name in before:
        del sys.modules[name]
    library = {"windll": mock.MagicMock(), "oledll": mock.MagicMock()}
    try:
        with mock.patch.dict(sys.modules, modules), mock.patch.multiple(ctypes, create=True, **library):
            with (
                mock.patch.object(sys, "platform", "win32"),
                mock.patch.object(ctypes, "PyDLL", mock.MagicMock()),
                mock.patch("atexit.register"),
                mock.patch("os.chdir"),
            ):
                xlwings = importlib.import_module("xlwings")
                importlib.import_module("xlwings.com_server")
                importlib.import_module(module)
            yield Excel(xlwings, module)
    finally:
        for name in [name for name in sys.modules if name.partition(".")[0] == ours[0] or name == ours[1]]:
            del sys.modules[name]
        sys.modules.update(before)
