"""A large part of a workbook, unpacked into a scratch file and mapped, so that a pass over it takes little memory."""

import mmap
import tempfile
from collections.abc import Iterable
from typing import Any, Self

LONG = 64 * 1024 * 1024
"""Parts from this size on are not held in memory. [bytes]"""
_STEP = 4 * 1024 * 1024
_NEAR = 4096
_LET_GO = getattr(mmap, "MADV_DONTNEED", None)


class LongPart(mmap.mmap):
    """The bytes of a part. A slice of it is bytes, and patterns look through it as through bytes.

    >>> part = LongPart.of([b"<row>", b"<c/></row>"])
    >>> part[5:9], part.find(b"<c"), part.count(b"<"), b"</row" in part, part.find(b"x"), len(part)
    (b'<c/>', 5, 3, True, -1, 15)
    """

    _from = _last = 0

    @classmethod
    def of(cls, pieces: Iterable[bytes]) -> Self:
        """A part from its pieces. Raises OSError where the scratch file cannot be written, ValueError for none."""
        with tempfile.TemporaryFile() as file:
            for piece in pieces:
                file.write(piece)
            file.flush()
            return cls(file.fileno(), 0, access=mmap.ACCESS_READ)

    def passed(self, place: int) -> None:
        """What stands before a place is not looked at in the next time: its memory is given back."""
        if place < self._last:
            self._from = 0  # another pass has begun
        self._last = place
        if place - self._from < _STEP or _LET_GO is None:
            return
        start = self._from // mmap.PAGESIZE * mmap.PAGESIZE
        end = place // mmap.PAGESIZE * mmap.PAGESIZE
        self.madvise(_LET_GO, start, end - start)
        self._from = end

    def find(self, sub: bytes, start: int = 0, end: int | None = None) -> int:  # type: ignore[override]
        """Where the bytes stand first between two places, -1 where they do not."""
        start, end = self._range(start, end)
        step = _NEAR
        while start < end:
            found = self[start : min(end, start + step + len(sub) - 1)].find(sub)
            if found >= 0:
                return start + found
            start += step
            step = min(2 * step, _STEP)
            self.passed(min(start, end))
        return -1

    def count(self, sub: bytes, start: int = 0, end: int | None = None) -> int:
        """How often bytes that do not overlap themselves stand between two places."""
        start, end = self._range(start, end)
        found = 0
        for step in range(start, end, _STEP):
            found += self[step : min(end, step + _STEP + len(sub) - 1)].count(sub)
            self.passed(step)
        return found

    def index(self, sub: bytes, start: int = 0, end: int | None = None) -> int:
        """Where the bytes stand first. Raises ValueError where they do not."""
        return _there(self.find(sub, start, end))

    def rindex(self, sub: bytes, start: int = 0, end: int | None = None) -> int:
        """Where the bytes stand last. Raises ValueError where they do not."""
        return _there(self.rfind(sub, *self._range(start, end)))

    def __contains__(self, sub: Any) -> bool:
        return self.find(sub) >= 0

    def _range(self, start: int, end: int | None) -> tuple[int, int]:
        return start, len(self) if end is None else min(end, len(self))


def _there(place: int) -> int:
    if place < 0:
        raise ValueError("these bytes are not there")
    return place


Content = bytes | LongPart
"""The bytes of a part, in memory or in a scratch file."""


def passed(content: Content, place: int) -> None:
    """Say how far a pass over a part has come."""
    if isinstance(content, LongPart):
        content.passed(place)
