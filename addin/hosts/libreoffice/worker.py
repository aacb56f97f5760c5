"""Answers worksheet functions to LibreOffice: a line of JSON in, `[name, arguments]`, a line out, rows of cells.

A command of the menu is a run of the program: each line that it prints is handed on at once as `{"says": LINE}`, and
the last line out is `[LINES, exit code]`.

Run as `python -P -m addin.hosts.libreoffice.worker`.
"""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO

from addin.functions.gate import answer
from addin.functions.registry import BY_NAME

PLAIN_NAMES = ":plain names"
"""The request, no function's name, to put the plain names of our functions into a file."""


JOB = ":job"
"""The request to run `tautsheet job` with these words."""
_JOB = json.dumps([JOB]).encode("ascii")[:-1] + b","

_MOST, _LONGEST = 20_000, 1_000
_KEPT: dict[bytes, bytes] = {}
"""Numbers that were given, by what was asked: rows of a list are often alike, and Calc asks for all of them again. At
most 20 MB. Only numbers: what refuses is asked again.
"""
_ENCODE = json.JSONEncoder(allow_nan=False).encode


def reply(line: bytes) -> bytes:
    """The answer to one line, always one line of ASCII.

    >>> reply(b'["unit_convert", [1.0, "kN", "N"]]')
    b'[[1000.0]]\\n'
    """
    kept = _KEPT.get(line)
    if kept is not None:
        return kept
    name, values = json.loads(line.decode("utf-8"))
    if name == PLAIN_NAMES:
        return json.dumps(_plain_names(*values)).encode("ascii") + b"\n"
    shown = answer(BY_NAME[name], values) if name in BY_NAME else f"STOP: {name} is not a function of this tautsheet"
    rows = shown if isinstance(shown, list) else [[shown]]
    said = _ENCODE(rows).encode("ascii") + b"\n"
    if type(shown) is float and len(line) <= _LONGEST:
        if len(_KEPT) >= _MOST:
            _KEPT.clear()
        _KEPT[line] = said
    return said


def _plain_names(path: str) -> str:
    """Write the plain names of our functions into an .xlsx that LibreOffice has just saved; why not, or nothing."""
    from addin.hosts.libreoffice.formula_names import to_plain, write_over
    from addin.workbooks.package import WorkbookError

    try:
        write_over(Path(path), to_plain)
    except (OSError, WorkbookError) as error:
        return str(error)
    return ""


def job(words: list[str]) -> Iterator[bytes]:
    """Run `tautsheet job` and hand on what it prints."""
    lines: list[str] = []
    with subprocess.Popen(
        [sys.executable, "-P", "-m", "addin", "job", *words], stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT, text=True, encoding="utf-8", errors="replace",
        env=os.environ | {"NO_COLOR": "1", "PYTHONIOENCODING": "utf-8"},
    ) as process:  # fmt: skip
        assert process.stdout
        for line in process.stdout:
            lines.append(line.rstrip())
            yield json.dumps({"says": lines[-1]}).encode("ascii") + b"\n"
    yield json.dumps([lines, process.returncode]).encode("ascii") + b"\n"


def serve(requests: BinaryIO, replies: BinaryIO) -> None:
    """Answer until the other side closes."""
    for line in requests:
        for part in job(json.loads(line)[1]) if line.startswith(_JOB) else [reply(line)]:
            replies.write(part)
            replies.flush()


def main() -> None:
    """Serve on the standard streams; what anything else prints goes to standard error."""
    replies: Any = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    serve(sys.stdin.buffer, replies)


if __name__ == "__main__":
    main()
