"""The plan file: written whole or not at all, read with care. What stands in it is made in `plan_json`."""

import json
from collections.abc import Iterable
from pathlib import Path
from typing import BinaryIO

from addin.cells.words import listed
from addin.plan.tools import Json
from addin.plan.writer import VERSION
from addin.workbooks.new_file import write_new
from addin.workbooks.package import WorkbookError


def write_plan(head: Json, joints: Iterable[bytes], target: Path) -> None:
    """Write a plan whole or not at all: the head of it, then one line for each joint (with or without its end)."""
    opening = json.dumps(head, ensure_ascii=False, allow_nan=False, indent=1).encode()

    def write(file: BinaryIO) -> None:
        file.write(opening.removesuffix(b"\n}") + b',\n "joints": [\n')
        for number, line in enumerate(joints):
            file.write((b",\n" if number else b"") + line.rstrip(b"\n"))
        file.write(b"\n]\n}\n")

    write_new(target, write)


def read_plan(path: Path) -> Json:
    """Read a plan file. Raises WorkbookError when it is none, or of a later version."""
    try:
        plan = json.loads(Path(path).read_text(encoding="utf-8"))
    except OSError as error:
        raise WorkbookError(f"{path}: cannot be read: {error.strerror}") from error
    except (ValueError, RecursionError) as error:
        raise WorkbookError(f"{path}: is not a plan file: {error}") from error
    if not isinstance(plan, dict) or not isinstance(plan.get("joints"), list):
        raise WorkbookError(f"{path}: is not a plan file of this program")
    if plan.get("version") != VERSION:
        raise WorkbookError(f"{path}: is a plan of version {plan.get('version')}; this program reads version {VERSION}")
    return plan


def _unplanned(totals: Json) -> str:
    count = totals.get("break-out not planned")
    return f" (of which {count} break-out, not planned)" if count else ""


def summary(totals: Json) -> str:
    """One line of counts."""
    t = totals
    parts = [f"{t['planned']} planned ({t['hydraulic']} hydraulic, {t['hand']} hand)",
             f"{t['other method']} by other method{_unplanned(t)}", f"{t['stopped']} stopped"]  # fmt: skip
    return f"{t['rows']} rows: {listed(parts, 'and')}"
