"""The console: refusals in one line, faults of the program with a report, and printing that can stop nothing.

Exit codes: 0 done; 1 files written, some rows stopped, waiting, draft or to be reviewed; 2 nothing planned (a sheet of
questions may have been written) or cannot run. Streams that are closed or full lose what is printed and nothing else:
the code tells what became of the files, so that 0 stays 0 where every file is whole.
"""

import atexit
import contextlib
import gc
import io
import os
import re
import sys
import time
import warnings
from collections.abc import Callable, Iterator, Sequence
from typing import Any, TextIO

import click

DONE, NOT_ALL, CANNOT = 0, 1, 2
_QUIET = "addin.quiet"
EVERY = 0.2
"""Time between two counts on the screen. [s]"""


_CODE = f"\x1b[{10**12 + int.from_bytes(os.urandom(5))};"
"""Begins the codes of our own colours, so that those in file names and cells are told from them; new for each run."""


def styled(text: str, **style: Any) -> str:
    """A text in colours that reach the screen; codes that are in the text do not (see click.style)."""
    before, after = (part.replace("\x1b[", _CODE) for part in click.style("\0", **style).split("\0"))
    return f"{before}{text}{after}"


def is_quiet() -> bool:
    """Whether only what is wrong is wanted."""
    context = click.get_current_context(silent=True)
    return context is not None and bool(context.meta.get(_QUIET))


def say(text: str, *, fg: str | None = None, bold: bool = False) -> None:
    """Print what is good to know; nothing where only what is wrong is wanted."""
    if not is_quiet():
        click.echo(styled(text, fg=fg, bold=bold or None), color=_colour())


def wrong(text: str, *, label: str = "", fg: str | None = "red") -> None:
    """Print what is wrong; where it has a label, that alone is coloured."""
    shown = f"{styled(label, fg=fg)} {text}" if label else styled(text, fg=fg)
    click.echo(shown, color=_colour())


def _colour() -> bool | None:
    """Never where NO_COLOR says so (https://no-color.org), else as the stream wants it."""
    return False if os.environ.get("NO_COLOR") else None


class CannotRun(click.ClickException):
    """What was asked cannot be done; one line."""

    exit_code = CANNOT

    def show(self, file: Any = None) -> None:
        """Print the line as it is."""
        line = f"tautsheet: {self.format_message()}".replace("\n", "\ufffd")
        click.echo(styled(line, fg="red"), err=True, color=_colour())


class Program(click.Group):
    """The commands. What a command raises becomes one line and exit code 2; files are written before it prints."""

    _given: Sequence[str] = ()

    def main(self, *args: Any, **kwargs: Any) -> Any:
        """Run a command with streams that cannot stop it."""
        self._given = list(args[0] if args and args[0] is not None else kwargs.get("args") or sys.argv[1:])
        _open_streams()
        if sets := sys.modules.get("addin.workbooks.file_set"):
            sets.IN_PLACE.clear()
            sets.BEGUN.clear()
        atexit.register(gc.freeze)  # nothing is looked through for circles at the end: half the time of a short run
        with _deaf("stdout"), _deaf("stderr"), warnings.catch_warnings():
            if not sys.warnoptions:  # what a library warns of says nothing to a planner
                warnings.simplefilter("ignore")
            return super().main(*args, **kwargs)

    def add_command(self, cmd: click.Command, name: str | None = None) -> None:
        """Take a command in; each can be told to print only what is wrong."""
        cmd.params.append(
            click.Option(["-q", "--quiet"], is_flag=True, expose_value=False, callback=_be_quiet,
                         help="Print only what is wrong; the exit code tells the rest.")
        )  # fmt: skip
        super().add_command(cmd, name)

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; what it raises becomes one line."""
        try:
            return super().invoke(ctx)
        except click.NoSuchOption as error:
            dashed = next((each for each in self._given if each.startswith("-") and os.path.lexists(each)), "")
            if dashed:
                hint = f"A file whose name begins with a dash is given as .{os.sep}{dashed}"
                raise click.UsageError(f"{error.format_message()} {hint}", error.ctx) from error
            raise
        except (click.ClickException, click.exceptions.Exit):
            raise
        except (click.Abort, KeyboardInterrupt, EOFError) as error:
            raise CannotRun(_interrupted()) from error
        except Exception as error:
            raise CannotRun(_refused(error) or _fault(error)) from error


def _be_quiet(context: click.Context, parameter: click.Parameter, value: bool) -> None:
    context.meta[_QUIET] = value


def _left(spent: float, done: int, of: int) -> str:
    """What remains of a phase that takes a while, judged by what is done of it.

    >>> _left(3.0, 100, 500), _left(30.0, 1, 11), _left(1.0, 100, 500)
    (', about 12 s left', ', about 5 min left', '')
    """
    if spent < 2 or not 0 < done < of:
        return ""
    seconds = spent * (of - done) / done
    return f", about {seconds / 60:.0f} min left" if seconds > 90 else f", about {max(seconds, 1):.0f} s left"


@contextlib.contextmanager
def phases() -> Iterator[Callable[[str], Callable[[int, int], None]]]:
    """On a terminal, one line of what a long run is doing and how far it is; nothing elsewhere, nothing left behind."""
    shown = sys.stderr.isatty()

    def line(text: str) -> None:
        click.echo(f"{_CODE}\r{_CODE}K{text}", nl=False, err=True)

    def start(name: str) -> Callable[[int, int], None]:
        begun = last = time.monotonic()
        if shown:
            line(f"{name} ...")

        def tell(done: int, of: int) -> None:
            nonlocal last
            now = time.monotonic()
            if shown and now - last > EVERY:
                last = now
                line(f"{name} ... {done:,} of {of:,}{_left(now - begun, done, of)}")

        return tell

    try:
        yield start
    finally:
        if shown:
            line("")


def _refused(error: Exception) -> str | None:
    """The line of a refusal; None for everything else."""
    from addin.cells.words import line
    from addin.forms.template import TemplateError
    from addin.hosts.libreoffice.office import OfficeError
    from addin.hosts.libreoffice.places import NoOfficeError
    from addin.workbooks.package import WorkbookError
    from calc.findings import InputError
    from calc.units import system

    if isinstance(error, InputError):
        return line(error.finding, system("US"))
    return str(error) if isinstance(error, (WorkbookError, TemplateError, OfficeError, NoOfficeError)) else None


def _interrupted() -> str:
    """What is written, and that nothing else is, where a set of files was begun."""
    sets = sys.modules.get("addin.workbooks.file_set")
    if sets is None or not sets.BEGUN:
        return "interrupted"
    written = ", ".join(map(str, sets.IN_PLACE))
    rest = "; nothing else is, and what stood there before is as it was"
    return f"interrupted; written: {written}{rest}" if written else "interrupted; nothing is written"


def _fault(error: Exception) -> str:
    """The line of a fault of the program, and its report: a file that only the user may read."""
    import platform
    import tempfile
    import traceback

    where = traceback.extract_tb(error.__traceback__)[-1]
    named = f"{type(error).__name__} in {os.path.basename(where.filename)}, line {where.lineno}"
    said = f"a fault of the program, not of your files ({named})"
    lines = [f"tautsheet on Python {platform.python_version()}, {platform.platform()}", " ".join(sys.argv), ""]
    text = "\n".join([*lines, *traceback.format_exception(error)])
    try:
        handle, path = tempfile.mkstemp(prefix="tautsheet-report-", suffix=".txt", text=True)
        with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace") as file:
            file.write(text)
    except OSError as full:
        return f"{said}; no report could be written: {full.strerror}"
    return f"{said}; please pass on the report {path}"


def _open_streams() -> None:
    """Give closed streams a place that takes everything, before a file of ours gets their numbers."""
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # takes the lowest free number
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115  as long as the program runs


class _Deaf(io.RawIOBase):
    """A stream of bytes that never fails: once its reader has gone or its disk is full, the rest is dropped."""

    def __init__(self, inner: Any) -> None:
        self._inner: Any = inner

    def writable(self) -> bool:
        """Yes."""
        return True

    def isatty(self) -> bool:
        """As the stream behind."""
        return bool(self._inner.isatty())

    def fileno(self) -> int:
        """As the stream behind."""
        return int(self._inner.fileno())

    def write(self, data: Any) -> int:
        """All of it, or nothing once it has failed."""
        self._try(self._inner.write, data)
        return len(data)

    def flush(self) -> None:
        """As far as it goes."""
        self._try(self._inner.flush)

    def _try(self, do: Any, *given: Any) -> None:
        try:
            do(*given)
        except (OSError, ValueError):
            with contextlib.suppress(OSError, ValueError):  # what is in its buffer goes there too, at the very end
                nowhere = os.open(os.devnull, os.O_WRONLY)
                os.dup2(nowhere, self._inner.fileno())
                os.close(nowhere)


_CONTROL = re.compile(
    f"{re.escape(_CODE)}([0-9;]*m|K|\r)|"  # our colours, and what redraws a line of progress
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]"
)


def _sign(found: re.Match[str]) -> str:
    """A code of ours as a terminal knows it, a mark for every other sign."""
    ours = found[1]
    return "\ufffd" if ours is None else ours if ours == "\r" else f"\x1b[{ours}"


class _Screen(io.TextIOWrapper):
    """A text stream on which nothing but our own colours moves a terminal, or turns the order of signs round."""

    def write(self, text: str) -> int:
        """The text with a mark for every control character in it."""
        return super().write(_CONTROL.sub(_sign, text))


@contextlib.contextmanager
def _deaf(name: str) -> Iterator[None]:
    """Replace a text stream by one that takes every character and never fails."""
    before: TextIO = getattr(sys, name)
    inner = getattr(before, "buffer", None)
    if inner is None:
        yield
        return
    with contextlib.suppress(OSError, ValueError):
        before.flush()
    stream = _Screen(
        _Deaf(inner),  # type: ignore[arg-type]  # it has all that is asked of it
        encoding=before.encoding,
        errors="backslashreplace",
        line_buffering=before.isatty(),
    )
    setattr(sys, name, stream)
    try:
        yield
    finally:
        stream.flush()
        stream.detach()
        setattr(sys, name, before)
