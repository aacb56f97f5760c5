"""A small sample of the damaged files that `damage.py` makes by the thousand, and the odd ones that it once found."""

import io
import os
import random
import sys
import zipfile
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
import damage  # noqa: E402  a script beside the tests


@pytest.fixture(scope="module")
def trial(tmp_path_factory: pytest.TempPathFactory) -> damage.Trial:
    return damage.Trial(tmp_path_factory.mktemp("damage"))


@pytest.mark.parametrize("number", range(25))
def test_damaged_truncated_and_retyped_files(trial: damage.Trial, number: int) -> None:
    kinds = list(trial.kinds())
    assert trial.fault(kinds[number % len(kinds)], random.Random(f"sample {number}")) == ""


def refusal(trial: damage.Trial, *command: object) -> str:
    code, text = trial.run(*command)
    assert code == 2, text
    (line,) = [line for line in text.splitlines() if line.startswith(("tautsheet: ", "not written: "))]
    return line


def test_terminal_escapes_never_reach_the_screen(trial: damage.Trial) -> None:
    for sign in ("\x1b[2J", "\x1b]0;title\x07", "\x9b2J", "\u202e"):
        code, text = trial.run("columns", trial.folder / f"a{sign}b.xlsx")
        assert code == 2
        assert not any(mark in text for mark in ("\x1b", "\x07", "\x9b", "\u202e")), sign
        assert "b.xlsx: cannot be read" in text


def test_a_csv_with_an_endless_field(trial: damage.Trial) -> None:
    path = trial.folder / "long.csv"
    path.write_bytes(damage.TABLE.read_bytes() + b'"' + b"9" * 200_000 + b'",1\n')
    assert refusal(trial, "call", "setpoint", 900, path, "US") == (
        "tautsheet: long.csv: cannot be read as a CSV: field larger than field limit (131072)"
    )


def test_a_csv_that_is_no_utf_8(trial: damage.Trial) -> None:
    path = trial.folder / "latin.csv"
    path.write_bytes("Größe\n".encode("cp1252"))
    assert refusal(trial, "call", "setpoint", 900, path, "US") == (
        "tautsheet: latin.csv: is no text in UTF-8 (byte 3); save it as CSV UTF-8"
    )


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs named pipes")
@pytest.mark.parametrize("place", ["fifo", "device"])
def test_named_pipes_and_devices_are_refused_at_once(trial: damage.Trial, place: str) -> None:
    path = Path("/dev/zero")
    if place == "fifo":
        path = trial.folder / "pipe"
        if not path.exists():
            os.mkfifo(path)
    for command in (
        ("columns", damage.LIST, "--answers", path),
        ("columns", path),
        ("call", "setpoint", 900, path, "US"),
        ("pack", path, "--out", trial.out),
        ("record", trial.plan, path, "--out", trial.out),
        ("plan", damage.LIST, "--wrenches", path, "--out", trial.out),
    ):
        assert refusal(trial, *command) == f"tautsheet: {path.name}: cannot be read: it is no plain file"


def changed_card(trial: damage.Trial, part: str, old: bytes, new: bytes) -> Path:
    with zipfile.ZipFile(damage.CARD) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    assert old in parts[part]
    parts[part] = parts[part].replace(old, new, 1)
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w") as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    path = trial.folder / "card.xlsx"
    path.write_bytes(content.getvalue())
    return path


@pytest.mark.parametrize(
    ("part", "old", "new", "words"),
    [
        ("xl/workbook.xml", b'sheetId="1"', b'sheetId="x"', "sheet 'Joint card' has no number of its own"),
        ("xl/worksheets/sheet1.xml", b' min="1"', b' min="-99999999999"', "names the column '-99999999999'"),
        ("xl/worksheets/sheet1.xml", b' ht="', b' ht="1e999" x="', "has the width or height '1e999'"),
        ("xl/worksheets/sheet1.xml", b'<row r="3"', b'<row r="2"', "of the first sheet stands outside its row"),
    ],
)
def test_a_template_with_an_odd_figure(trial: damage.Trial, part: str, old: bytes, new: bytes, words: str) -> None:
    path = changed_card(trial, part, old, new)
    line = refusal(trial, "pack", trial.plan, "--out", trial.out, *trial.card, "--template", path)
    assert line.startswith("not written: joint cards: card.xlsx: ")
    assert words in line


def test_a_full_or_missing_folder_for_temporary_files(trial: damage.Trial, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_given: object, **_more: object) -> object:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("tempfile.TemporaryFile", full)
    line = refusal(trial, "plan", damage.LIST, "--wrenches", damage.BOOK, "--out", trial.out)
    assert line.endswith("the folder for temporary files cannot be used: No space left on device")
