"""Names of our functions in the formulas of an .xlsx: plain for Excel, full for LibreOffice.

LibreOffice before 25 finds an extension's function in such a file only under its full name. So a workbook is opened as
a copy with full names, and what LibreOffice saves gets its plain names back.
"""

import os
import re
import secrets
import stat
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

from addin.hosts.libreoffice.names import FULL
from addin.workbooks.new_file import write_new
from addin.workbooks.package import open_package
from addin.workbooks.zip_copy import copy_with_changes

_TO_FULL = dict(FULL)
_TO_PLAIN = {full.lower(): name for name, full in FULL.items()}

_QUOTED = r"(?:\"|&quot;).*?(?:\"|&quot;)"
_BOOK = r"(?:'|&apos;)[^'&]*\.xla[ms]?(?:'|&apos;)!|\[\d+\]!|_xll\."
_SHEET = r"(?:'|&apos;).*?(?:'|&apos;)"
_WORD = re.compile(
    rf"(?P<kept>{_QUOTED})|(?:{_BOOK}|(?<![\w.]))(?P<name>[A-Za-z_][\w.]*)(?=\s*\()|(?P<sheet>{_SHEET})",
    re.DOTALL,
)
_FORMULA = re.compile(
    rb"(<(?:[\w.-]+:)?(?:f|formula|formula1|formula2|definedName|calculatedColumnFormula|totalsRowFormula)"
    rb"(?:\s[^<>]*)?(?<!/)>)([^<]+)(?=</)"
)


def rename(formula: str, names: dict[str, str]) -> str:
    """A formula, as it stands in a part, with the names of our functions replaced; texts in it stay as they are.

    An add-in file in front of the name is dropped: another program has no such file.

    >>> rename('IF(A1>0,[1]!nut_factor(A1,Sheet2!B:C),&quot;nut_factor(&quot;)', {"nut_factor": "X.NUT_FACTOR"})
    'IF(A1>0,X.NUT_FACTOR(A1,Sheet2!B:C),&quot;nut_factor(&quot;)'
    """

    def put(found: re.Match[str]) -> str:
        new = names.get(found["name"].lower()) if found["name"] else None
        return found[0] if new is None else new

    return _WORD.sub(put, formula)


def to_full(formula: str) -> str:
    """Plain names to full ones.

    >>> to_full("unit_convert(1,A1,B1)*unit_convertx(2)")
    'TAUTSHEET.FUNCTIONS.UNIT_CONVERT(1,A1,B1)*unit_convertx(2)'
    """
    return rename(formula, _TO_FULL)


def to_plain(formula: str) -> str:
    """Full names to plain ones.

    >>> to_plain("TAUTSHEET.FUNCTIONS.UNIT_CONVERT(1,A1,B1)")
    'unit_convert(1,A1,B1)'
    """
    return rename(formula, _TO_PLAIN)


def change_formulas(content: bytes, change: Callable[[str], str]) -> bytes:
    """A part with every formula of it changed: cells, names, validations, conditional formats, table columns."""
    return _FORMULA.sub(lambda m: m[1] + change(m[2].decode("utf-8")).encode("utf-8"), content)


def copy_with_names(source: Path, target: Path, change: Callable[[str], str]) -> int:
    """Write a copy of an .xlsx with its formulas changed; every other part keeps its bytes. Number of parts changed.

    Raises WorkbookError when the source does not pass the gate or the target cannot be written.
    """
    new = _changed_parts(source, change)

    def write(file: BinaryIO) -> None:
        with source.open("rb") as original:
            copy_with_changes(original, new, file)

    write_new(target, write)
    return len(new)


def write_over(path: Path, change: Callable[[str], str]) -> int:
    """Change the formulas of an .xlsx where it lies, whole or not at all; its date stays. Number of parts changed.

    For a file that the spreadsheet program has this moment written: the date tells it that nobody else has been there.

    Raises WorkbookError when it does not pass the gate, OSError.
    """
    was = path.stat()
    new = _changed_parts(path, change)
    if not new:
        return 0
    between = path.with_name(f".tautsheet-{secrets.token_hex(8)}.tmp")
    try:
        with path.open("rb") as original, between.open("xb") as file:
            copy_with_changes(original, new, file)
            file.flush()
            os.fsync(file.fileno())
        between.chmod(stat.S_IMODE(was.st_mode))
        if path.stat().st_mtime_ns != was.st_mtime_ns:
            raise OSError(f"{path}: was saved again meanwhile")
        os.utime(between, ns=(was.st_atime_ns, was.st_mtime_ns))
        between.replace(path)
    finally:
        between.unlink(missing_ok=True)
    return len(new)


def _changed_parts(source: Path, change: Callable[[str], str]) -> dict[str, bytes]:
    package = open_package(source)
    new = {}
    for name in package.parts:
        if name.startswith("xl/") and name.endswith(".xml") and not name.startswith("xl/sharedStrings"):
            before = package.read(name)
            after = change_formulas(before, change)
            if after != before:
                new[name] = after
    return new
