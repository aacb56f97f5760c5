"""A Windows shortcut to a program with words, written without Windows.

The format is the published one (Shell Link Binary File Format, [MS-SHLLINK]; from memory).
"""

import struct
from pathlib import PureWindowsPath

_CLASS = bytes.fromhex("0114020000000000c000000000000046")
_HAS_INFO, _HAS_NAME, _HAS_FOLDER, _HAS_ARGUMENTS, _UNICODE, _HAS_EXPANDED = 0x2, 0x4, 0x10, 0x20, 0x80, 0x200
_ARCHIVE, _FIXED, _MINIMISED = 0x20, 3, 7


def shortcut(target: str, arguments: str, says: str) -> bytes:
    """The bytes of a shortcut to a program: its full path, its words, and what is said of it.

    >>> content = shortcut("C:\\\\Python\\\\python.exe", "-P -m addin job", "a job")
    >>> content[:4], "-P -m addin job".encode("utf-16-le") in content
    (b'L\\x00\\x00\\x00', True)
    """
    flags = _HAS_INFO | _HAS_NAME | _HAS_FOLDER | _HAS_ARGUMENTS | _UNICODE | _HAS_EXPANDED
    head = struct.pack("<I16sIIQQQIIIHHII", 0x4C, _CLASS, flags, _ARCHIVE, 0, 0, 0, 0, 0, _MINIMISED, 0, 0, 0, 0)
    strings = (says, str(PureWindowsPath(target).parent), arguments)
    texts = b"".join(
        struct.pack("<H", len(text.encode("utf-16-le")) // 2) + text.encode("utf-16-le") for text in strings
    )
    return head + _place(target) + texts + _expanded(target) + bytes(4)


def _place(target: str) -> bytes:
    """Where the program is, on a disk of this machine."""
    volume = struct.pack("<IIII", 0x11, _FIXED, 0, 0x10) + b"\0"
    narrow, wide = _narrow(target) + b"\0", target.encode("utf-16-le") + b"\0\0"
    base = 0x24 + len(volume)
    suffix = base + len(narrow)
    wide_base = suffix + 1
    wide_suffix = wide_base + len(wide)
    size = wide_suffix + 2
    offsets = struct.pack("<IIIIIIIII", size, 0x24, 1, 0x24, base, 0, suffix, wide_base, wide_suffix)
    return offsets + volume + narrow + b"\0" + wide + b"\0\0"


def _expanded(target: str) -> bytes:
    """The path once more, as the shell resolves it."""
    narrow, wide = _narrow(target)[:259], target.encode("utf-16-le")[:518]
    return struct.pack("<II", 0x314, 0xA0000001) + narrow.ljust(260, b"\0") + wide.ljust(520, b"\0")


def _narrow(text: str) -> bytes:
    return text.encode("cp1252", "replace")
