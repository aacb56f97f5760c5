"""One headless office process with our functions in it, for as many workbooks as are wanted."""

import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from types import TracebackType
from typing import Any, BinaryIO

from addin.hosts.libreoffice import formula_names, places
from addin.hosts.libreoffice.extension import write_extension
from addin.hosts.libreoffice.secluded import environment as secluded
from addin.hosts.libreoffice.secluded import seclude
from addin.workbooks.new_file import write_new


class OfficeError(Exception):
    """The office program cannot do what is asked; one line."""


class Office:
    """An office process with our functions, in a profile of its own, which is gone at the end.

        with Office() as office:
            book = office.open(Path("plan.xlsx"))
            book.recalculate()
            book.save(Path("copy.xlsx"))

    In that profile a document can fetch nothing and run nothing. Without `functions` it does not have ours, which
    printing does not need. With `profile` it runs in that one as it is, without adding our functions.

    Raises NoOfficeError where none is installed, OfficeError where it does not start.
    """

    def __init__(
        self, python: Path | str = sys.executable, *, profile: Path | None = None, functions: bool = True
    ) -> None:
        found = places.find()
        self._folder = tempfile.TemporaryDirectory(prefix="tautsheet-office-", ignore_cleanup_errors=True)
        self.folder = Path(self._folder.name)
        arguments = [str(found.soffice), str(profile or self.folder / "profile")]
        environment = {key: value for key, value in os.environ.items() if key not in ("PYTHONPATH", "PYTHONHOME")}
        if profile is None:
            seclude(self.folder / "profile")
            environment = secluded(environment)
        if profile is None and functions:
            write_extension(self.folder / "tautsheet.oxt", python)
            arguments.append(str(self.folder / "tautsheet.oxt"))
        driver = Path(__file__).with_name("inside") / "driver.py"
        self._process = subprocess.Popen(
            [found.python, driver, *arguments], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL, env=environment,
        )  # fmt: skip
        self._count = 0
        try:
            self._answer()
        except OfficeError:
            self.close()
            raise

    def __enter__(self) -> "Office":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """End the office process and remove its profile."""
        for stream in (self._process.stdin, self._process.stdout):
            if stream is not None:
                stream.close()
        try:
            self._process.wait(30)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        self._folder.cleanup()

    def ask(self, command: str, *arguments: Any) -> Any:
        """What the driver answers to a command.

        Raises OfficeError.
        """
        assert self._process.stdin is not None
        try:
            self._process.stdin.write(json.dumps([command, arguments]).encode("ascii") + b"\n")
            self._process.stdin.flush()
        except (OSError, ValueError) as error:
            raise OfficeError("LibreOffice has ended") from error
        return self._answer()

    def _answer(self) -> Any:
        assert self._process.stdout is not None
        line = self._process.stdout.readline()
        if not line:
            raise OfficeError("LibreOffice has ended")
        result, error = json.loads(line)
        if error:
            raise OfficeError(error)
        return result

    @property
    def version(self) -> str:
        """Version of the office program, e.g. "7.4"."""
        return str(self.ask("office_version"))

    def new(self) -> "Workbook":
        """An empty workbook."""
        return Workbook(self, self.ask("new"))

    def open(self, path: Path) -> "Workbook":
        """Open a workbook; the file itself is only read.

        Raises WorkbookError when an .xlsx does not pass the gate, OfficeError when LibreOffice cannot open it.
        """
        copy = path.resolve()
        if path.suffix.lower() in (".xlsx", ".xltx"):
            copy = self._with_full_names(path)
        try:
            return Workbook(self, self.ask("load", str(copy)))
        except OfficeError as error:
            raise OfficeError(f"{path}: {error}") from error

    def _with_full_names(self, path: Path) -> Path:
        """A copy in which LibreOffice finds our functions, in a folder of its own: its name is printed in footers."""
        self._count += 1
        copy = self.folder / f"open-{self._count}" / path.with_suffix(".xlsx").name
        copy.parent.mkdir()
        formula_names.copy_with_names(path, copy, formula_names.to_full)
        return copy


class Workbook:
    """A workbook that is open in the office process."""

    def __init__(self, office: Office, number: int) -> None:
        self.office, self.number = office, number

    def recalculate(self) -> float:
        """Calculate every formula anew, whatever values the file carried. Seconds it took."""
        return float(self.office.ask("recalculate", self.number))

    def sheets(self) -> list[str]:
        """Names of the sheets."""
        return list(self.office.ask("sheets", self.number))

    def used(self, sheet: str = "") -> tuple[int, int]:
        """Columns and rows in use, from A1 on."""
        columns, rows = self.office.ask("used", self.number, sheet)
        return columns, rows

    def cells(self, address: str, sheet: str = "") -> list[list[tuple[str, Any]]]:
        """What an area shows: pairs of "", "number", "text" or "error" and the content, numbers to the last bit."""
        rows = self.office.ask("cells", self.number, sheet, address)
        return [[(kind, content) for kind, content in row] for row in rows]

    def formulas(self, address: str, sheet: str = "") -> list[list[str]]:
        """Formulas of an area as Calc shows them."""
        return list(self.office.ask("formulas", self.number, sheet, address))

    def put(self, address: str, rows: list[list[Any]], sheet: str = "") -> None:
        """Write values from an address on; None is an empty cell."""
        self.office.ask("put", self.number, sheet, address, rows, "value")

    def put_formulas(self, address: str, rows: list[list[str]], sheet: str = "") -> float:
        """Write formulas from an address on, in Calc's own spelling. Seconds it took."""
        return float(self.office.ask("put", self.number, sheet, address, rows, "formula"))

    def put_array(self, address: str, formula: str, sheet: str = "") -> float:
        """Write one formula over an area. Seconds it took."""
        return float(self.office.ask("array", self.number, sheet, address, formula))

    def findings(self) -> list[tuple[str, str, str]]:
        """Formulas that show an error or a STOP: sheet, address, what it shows."""
        return [(sheet, place, shown) for sheet, place, shown in self.office.ask("findings", self.number)]

    def save(self, path: Path) -> None:
        """Save a copy as .xlsx, with the plain names of our functions, or as .ods.

        Raises WorkbookError when it cannot be written, OfficeError.
        """
        between = self._between(path.suffix.lower().removeprefix("."))
        if between.suffix == ".xlsx":
            formula_names.copy_with_names(between, path, formula_names.to_plain)
        else:
            write_new(path, lambda file: _copy(between, file))
        between.unlink()

    def print_pdf(self, path: Path) -> None:
        """Print every sheet into a PDF.

        Raises WorkbookError when it cannot be written, OfficeError.
        """
        between = self._between("pdf")
        write_new(path, lambda file: _copy(between, file))
        between.unlink()

    def _between(self, kind: str) -> Path:
        """A copy in the office's own folder."""
        path = self.office.folder / f"saved.{kind}"
        self.office.ask("save", self.number, str(path), kind)
        return path

    def close(self) -> None:
        """Close the workbook without saving."""
        self.office.ask("close", self.number)


def _copy(source: Path, target: BinaryIO) -> None:
    with source.open("rb") as file:
        shutil.copyfileobj(file, target)
