"""The plan file: one JSON object, its head on the first line, then a line for each joint. Written whole or not at all.

The first field of the head is a checksum over the whole file, its own digits as zeros: a plan that was changed after
planning is refused. Joints are decoded line by line, so that nobody needs a whole plan in memory.
"""

import hashlib
import json
import os
from array import array
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any, BinaryIO, overload

import msgspec

from addin.cells.words import listed
from addin.plan.checks import JointChecks, head_fault
from addin.plan.older import from_version_1
from addin.plan.record import VERSION, PlanHead, TotalsEntry
from addin.plan.record_joint import TO_REVIEW, JointEntry
from addin.workbooks.new_file import write_new
from addin.workbooks.package import WorkbookError
from addin.workbooks.plain_file import open_plain

NO_CHECKSUM = "0" * 64
_START = b'{"checksum":"'
_TO_JOINTS, _END = b',"joints":[\n', b"]}\n"
_BLOCK = 1 << 20
_DIGITS = range(len(_START), len(_START) + len(NO_CHECKSUM))

_encoder = msgspec.json.Encoder()
_head, _joint = msgspec.json.Decoder(PlanHead), msgspec.json.Decoder(JointEntry)


_LONG = 20_000
"""Joints of a plan that are never in memory together when they are more."""
_FEW, _TOGETHER = 100, 16


class JointLines(Sequence[JointEntry]):
    """The joints of a plan file: decoded anew each time they are gone through, and one by one when they are asked for
    by number. Those of a long plan are never in memory together. A file in the place of the one that was checked is
    refused: its lines may be as long, and would be read as joints under another head.
    """

    def __init__(self, path: Path, starts: "array[int]", mark: tuple[int, int]) -> None:
        """`starts`: where the line of each joint begins in the file, and where the last one ends; `mark`: that of the
        file that was checked.
        """
        self._path, self._starts, self._mark = path, starts, mark
        self._decoded: dict[int, JointEntry] = {}
        self._lines: tuple[int, list[bytes]] = (-1, [])

    def __len__(self) -> int:
        return len(self._starts) - 1

    def __iter__(self) -> Iterator[JointEntry]:
        with self._open() as file:
            file.seek(self._starts[0])
            for _ in range(len(self)):
                yield self._entry(file.readline())

    @overload
    def __getitem__(self, at: int) -> JointEntry: ...

    @overload
    def __getitem__(self, at: slice) -> list[JointEntry]: ...

    def __getitem__(self, at: int | slice) -> JointEntry | list[JointEntry]:
        if isinstance(at, slice):
            return [self[number] for number in range(*at.indices(len(self)))]
        number = range(len(self))[at]
        found = self._decoded.get(number)
        if found is None:
            if len(self._decoded) >= _FEW:
                self._decoded.clear()
            found = self._decoded[number] = self._entry(self._line(number))
        return found

    def _line(self, number: int) -> bytes:
        """The line of a joint; its neighbours are read with it."""
        first = number - number % _TOGETHER
        if self._lines[0] != first:
            last = min(first + _TOGETHER, len(self))
            with self._open() as file:
                file.seek(self._starts[first])
                content = file.read(self._starts[last] - self._starts[first])
            self._lines = (first, content.splitlines(keepends=True))
        lines = self._lines[1]
        return lines[number - first] if number - first < len(lines) else b""

    def _open(self) -> BinaryIO:
        try:
            file = self._path.open("rb")
        except OSError as error:
            raise WorkbookError(f"{self._path}: cannot be read: {error.strerror}") from error
        if _mark(file) != self._mark:
            file.close()
            raise self._changed()
        return file

    def _entry(self, line: bytes) -> JointEntry:
        try:
            return _joint.decode(_bare(line))
        except (msgspec.MsgspecError, UnicodeDecodeError) as error:
            raise self._changed() from error

    def _changed(self) -> WorkbookError:
        return WorkbookError(f"{self._path}: has changed while it was read: try again")


def _mark(file: BinaryIO) -> tuple[int, int]:
    """Size of an open file, and when it was written."""
    found = os.fstat(file.fileno())
    return found.st_size, found.st_mtime_ns


class Plan:
    """A plan: its head, its joints as often as they are asked for, and where it comes from.

    `older` says which older version of the program wrote it, None for this one.
    """

    def __init__(self, head: PlanHead, joints: Sequence[JointEntry], name: str = "", older: str | None = None) -> None:
        self.head, self.joints, self.name, self.older = head, joints, name, older

    def __len__(self) -> int:
        return len(self.joints)

    @property
    def long(self) -> bool:
        """Whether its joints are too many to be in memory together."""
        return isinstance(self.joints, JointLines) and len(self.joints) > _LONG


def entry_line(entry: msgspec.Struct) -> bytes:
    """An entry as its line of the file, without its end."""
    return _encoder.encode(entry)


def write_plan(head: PlanHead, joints: Iterable[bytes], target: Path) -> None:
    """Write a plan: its head, and the lines of its joints (`entry_line`, with or without the end of the line).

    Raises WorkbookError as `write_new` does.
    """
    opening = _encoder.encode(msgspec.structs.replace(head, checksum=NO_CHECKSUM)).removesuffix(b"}") + _TO_JOINTS

    def write(file: BinaryIO) -> None:
        digest = hashlib.sha256()

        def put(part: bytes) -> None:
            digest.update(part)
            file.write(part)

        put(opening)
        for number, line in enumerate(joints):
            put((b",\n" if number else b"") + line.rstrip(b"\n"))
        put(b"\n" + _END)
        file.seek(_DIGITS.start)
        file.write(digest.hexdigest().encode())

    write_new(target, write)


def read_plan(path: Path, *, older: bool = False) -> Plan:
    """Read a plan file, and check every entry of it.

    Raises WorkbookError, one line that names the file and the place: when it is none, was changed after planning, is
    damaged, or is of another version (an older one is read where `older` says so).
    """
    try:
        with open_plain(path) as file:
            start = file.read(len(_START))
            if start != _START:
                return _other(path, start + file.read(), older=older)
            file.seek(0)
            return _read(path, file)
    except OSError as error:
        raise WorkbookError(f"{path}: cannot be read: {error.strerror}") from error


def _read(path: Path, file: BinaryIO) -> Plan:
    mark = _mark(file)
    found, digest = _sums(file)
    file.seek(0)
    try:
        first = file.readline()
        if not first.endswith(_TO_JOINTS):
            raise _DamageError("line 1", "the joints do not follow")
        text = first.removesuffix(_TO_JOINTS) + b"}"
        _check_version(path, text)
        head = _decoded(_head, text, "line 1")
        if fault := head_fault(head):
            raise _DamageError("line 1", fault)
        starts, count, checks = array("Q", [len(first)]), 0, JointChecks(head)
        for count, line in enumerate(_lines(file, starts), start=1):
            place = f"line {count + 1}"
            joint = _decoded(_joint, line, place)
            if fault := checks.fault(joint):
                raise _DamageError(f"{place} ({joint.joint} {joint.operation})", fault)
        if head.totals.rows != count:
            raise _DamageError("line 1", f"totals.rows: {head.totals.rows} where there are {count} joints")
    except _DamageError as error:
        changed = "was changed after planning: " if found != digest else "is damaged: "
        raise WorkbookError(f"{path}: {changed}{error}") from error
    if found != digest:
        raise WorkbookError(f"{path}: was changed after planning (its checksum does not fit); plan again")
    return Plan(head, JointLines(path, starts, mark), path.name)


class _DamageError(ValueError):
    """What is wrong with a plan, and where."""

    def __init__(self, place: str, what: str) -> None:
        super().__init__(f"{place}: {' '.join(what.split())}")


def _sums(file: BinaryIO) -> tuple[str, str]:
    """The checksum that a file states, and the one it has."""
    first = file.read(_DIGITS.stop)
    digest = hashlib.sha256(first[: _DIGITS.start] + NO_CHECKSUM.encode())
    while block := file.read(_BLOCK):
        digest.update(block)
    return first[_DIGITS.start :].decode("latin-1"), digest.hexdigest()


def _lines(file: BinaryIO, starts: "array[int]") -> Iterator[bytes]:
    """Lines of the joints, each of them bare; the last is followed by the end of the file. `starts` takes where each
    ends, which is where the next begins.
    """
    number, line = 2, file.readline()
    while line.rstrip(b"\n") and line != _END:
        following = file.readline()
        last = following == _END
        if line.endswith(b",\n") == last or not line.endswith(b"\n"):
            raise _DamageError(f"line {number}", "does not end as a joint does")
        starts.append(starts[-1] + len(line))
        yield _bare(line)
        number, line = number + 1, following
    if line == b"\n":  # no joints at all
        line = file.readline()
    if line != _END or file.read(1):
        raise _DamageError(f"line {number}", "the file is cut off, or goes on behind its end")


def _bare(line: bytes) -> bytes:
    return line.rstrip(b"\n").removesuffix(b",")


def _decoded(decoder: msgspec.json.Decoder[Any], text: bytes, place: str) -> Any:
    """One entry. What encodes to another text was not written by this program: a key twice, a null, a changed form."""
    try:
        entry = decoder.decode(text)
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError, OverflowError) as error:
        raise _DamageError(place, str(error)) from error
    if _encoder.encode(entry) != text:
        raise _DamageError(place, "is not as this program writes it (a name twice, or a value in another form)")
    return entry


class _Version(msgspec.Struct):
    version: int


def _check_version(path: Path, text: bytes) -> None:
    try:
        found = msgspec.json.decode(text, type=_Version).version
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError) as error:
        raise _DamageError("line 1", str(error)) from error
    if found != VERSION:
        raise WorkbookError(f"{path}: is a plan of version {found}; this program reads version {VERSION}")


def _other(path: Path, content: bytes, *, older: bool) -> Plan:
    """A file that does not begin as a plan of today: of an older version, or none."""
    try:
        plan = json.loads(content.decode("utf-8-sig"))
    except (ValueError, RecursionError) as error:
        raise WorkbookError(f"{path}: is not a plan file: {error}") from error
    if not isinstance(plan, dict) or not isinstance(plan.get("joints"), list) or type(plan.get("version")) is not int:
        raise WorkbookError(f"{path}: is not a plan file of this program")
    version = plan["version"]
    if version == VERSION:
        raise WorkbookError(f"{path}: was changed after planning: it does not begin with its checksum; plan again")
    if not 1 <= version < VERSION:
        raise WorkbookError(f"{path}: is a plan of version {version}; this program reads version {VERSION}")
    said = f"{path.name}: is a plan of version {version}, written by {plan.get('program') or 'an older program'}"
    if not older:
        raise WorkbookError(f"{path}: is a plan of version {version}; plan the list again with this program")
    try:
        head, joints = from_version_1(plan)
    except msgspec.ValidationError as error:
        raise WorkbookError(f"{path}: is damaged: {error}") from error
    checks = JointChecks(head)
    for number, joint in enumerate(joints):
        if fault := checks.fault(joint):
            raise WorkbookError(f"{path}: is damaged: joints[{number}].{fault}")
    if fault := head_fault(head):
        raise WorkbookError(f"{path}: is damaged: {fault}")
    return Plan(head, joints, path.name, f"{said}; it has no checksum, so changes in it cannot be seen")


def _unplanned(totals: TotalsEntry) -> str:
    count = totals.breakout_not_planned
    return f" (of which {count} break-out not planned)" if count else ""


def summary(totals: TotalsEntry) -> str:
    """One line of counts."""
    t = totals
    parts = [f"{t.planned} planned ({t.hydraulic} hydraulic, {t.hand} hand)",
             f"{t.other_method} by another method{_unplanned(t)}", f"{t.stopped} stopped"]  # fmt: skip
    if t.to_review:
        parts[0] = f"{t.planned} planned ({t.hydraulic} hydraulic, {t.hand} hand; {t.to_review} {TO_REVIEW})"
    return f"{t.rows} row{'s' * (t.rows != 1)}: {listed(parts, 'and')}"
