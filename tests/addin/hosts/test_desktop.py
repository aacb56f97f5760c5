"""The entry of the desktop: what is started, and that nothing of a shell stands on the way."""

import configparser
import shlex
import struct
import sys
from pathlib import Path

import pytest

from addin.hosts import desktop
from addin.hosts.shortcut import shortcut
from addin.workbooks.package import WorkbookError


def test_the_entry_starts_this_python_with_the_file_as_one_word(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setattr(sys, "platform", "linux")

    place = desktop.install()

    entry = configparser.RawConfigParser()
    entry.read(place)
    words = shlex.split(entry["Desktop Entry"]["Exec"])
    assert words == [sys.executable, "-P", "-m", "addin", "job", "--show", "%f"]
    assert desktop.remove() == place
    assert desktop.remove() is None


def test_an_entry_of_somebody_else_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("APPDATA", str(tmp_path))
    place = desktop.places("win32")
    monkeypatch.setattr(desktop, "places", lambda: place)
    place.parent.mkdir(parents=True)
    place.write_bytes(b"mine")

    with pytest.raises(WorkbookError, match="is not tautsheet's: not replaced"):
        desktop.install()
    with pytest.raises(WorkbookError, match="is not tautsheet's: not removed"):
        desktop.remove()

    assert place.read_bytes() == b"mine"


def test_a_shortcut_of_windows_names_program_and_words() -> None:
    """Field by field as the published format says (from memory); one was started under Wine."""
    content = shortcut("C:\\Änn & Co\\python.exe", "-P -m addin job --show", "says")

    assert struct.unpack_from("<I", content) == (0x4C,)
    assert content[4:20].hex() == "0114020000000000c000000000000046"
    place = content[0x4C:]
    size, wide = struct.unpack_from("<I", place)[0], struct.unpack_from("<I", place, 28)[0]
    assert place[wide : place.index(b"\0\0\0", wide) + 1].decode("utf-16-le") == "C:\\Änn & Co\\python.exe"
    texts, found = place[size:], []
    for _ in range(3):
        count = struct.unpack_from("<H", texts)[0]
        found.append(texts[2 : 2 + 2 * count].decode("utf-16-le"))
        texts = texts[2 + 2 * count :]
    assert found == ["says", "C:\\Änn & Co", "-P -m addin job --show"]
    assert struct.unpack_from("<II", texts) == (0x314, 0xA0000001)
    assert texts[0x314:] == bytes(4)
