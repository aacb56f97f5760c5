"""Our functions in a user's LibreOffice: put in, looked at, taken out; and where things are on each system."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from addin.cli import main
from addin.hosts.libreoffice import places
from addin.hosts.libreoffice.office import Office


def test_put_in_looked_at_and_taken_out(office: Office, tmp_path: Path) -> None:
    profile = ["--profile", str(tmp_path / "my profile")]
    run = CliRunner().invoke
    done = run(main, ["libreoffice", *profile])
    assert done.exit_code == 0, done.output
    assert "knows the functions" in done.output
    done = run(main, ["libreoffice", "--remove", *profile])
    assert done.output.strip() == "removed"
    done = run(main, ["libreoffice", "--check", *profile])
    assert done.exit_code == 2
    assert "tautsheet is not in LibreOffice" in done.output


def test_an_open_office_is_left_alone(office: Office, tmp_path: Path) -> None:
    (tmp_path / ".lock").write_text("")
    done = CliRunner().invoke(main, ["libreoffice", "--profile", str(tmp_path)])
    assert done.exit_code == 2
    assert "LibreOffice is open" in done.output


def test_nothing_to_remove(tmp_path: Path) -> None:
    done = CliRunner().invoke(main, ["libreoffice", "--remove", "--profile", str(tmp_path / "none")])
    assert done.exit_code == 0
    assert "nothing of tautsheet's" in done.output


def test_no_office(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TAUTSHEET_SOFFICE", str(tmp_path / "soffice"))
    done = CliRunner().invoke(main, ["libreoffice", "--profile", str(tmp_path)])
    assert done.exit_code == 2
    assert "install LibreOffice" in done.output


def test_places_on_windows() -> None:
    environment = {"ProgramFiles": "C:/Program Files", "APPDATA": "C:/Users/m/AppData/Roaming"}
    soffice = places.programs("win32", environment)[0]
    assert soffice.as_posix() == "C:/Program Files/LibreOffice/program/soffice.exe"
    assert [p.name for p in places.pythons(soffice, "win32")] == ["python.exe"]
    assert places.profile("win32", environment).as_posix() == "C:/Users/m/AppData/Roaming/LibreOffice/4"
    assert "libreoffice.org" in places.what_to_install("win32")


def test_places_on_macos() -> None:
    soffice, own = places.programs("darwin", {"HOME": "/Users/m"})
    assert soffice.as_posix() == "/Applications/LibreOffice.app/Contents/MacOS/soffice"
    assert own.as_posix() == "/Users/m/Applications/LibreOffice.app/Contents/MacOS/soffice"
    python = next(places.pythons(soffice, "darwin"))
    assert python.as_posix() == "/Applications/LibreOffice.app/Contents/Resources/python"


def test_places_on_linux() -> None:
    names = [path.as_posix() for path in places.programs("linux", {})]
    assert "/usr/bin/soffice" in names
    assert "/usr/bin/python3" in [p.as_posix() for p in places.pythons(Path("/usr/bin/soffice"), "linux")]
    assert "python3-uno" in places.what_to_install("linux")
