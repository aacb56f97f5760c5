"""Our functions in a user's own LibreOffice: put in, looked at, taken out."""

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from addin.hosts.libreoffice import extension, names, places
from addin.hosts.libreoffice.office import Office, OfficeError

_CALL, _SHOWS = 'UNIT_CONVERT(1;"kN";"N")', ("number", 1000.0)


@contextmanager
def _office(profile: Path) -> Iterator[Office]:
    """An office process in the user's profile. Raises OfficeError when the user has one open."""
    lock = profile / ".lock"
    if lock.exists():
        raise OfficeError(f"LibreOffice is open; close it and try again (or, if none is running, remove {lock})")
    with Office(profile=profile) as office:
        yield office


def install(profile: Path | None = None, python: str = sys.executable) -> str:
    """Put the functions in, over an earlier version, and try them in a second start.

    Raises NoOfficeError, OfficeError.
    """
    profile = profile or places.profile()
    with _office(profile) as office:
        package = office.folder / "tautsheet.oxt"
        extension.write_extension(package, python)
        office.ask("add_extension", str(package))
    return check(profile)


def check(profile: Path | None = None) -> str:
    """One line: which Python answers the functions. Raises OfficeError with what is wrong, NoOfficeError."""
    profile = profile or places.profile()
    if not profile.is_dir():
        raise OfficeError(f"tautsheet is not in LibreOffice ({profile}): run 'tautsheet libreoffice'")
    with _office(profile) as office:
        folder = office.ask("extension", names.IDENTIFIER)
        if folder is None:
            raise OfficeError(f"tautsheet is not in LibreOffice ({profile}): run 'tautsheet libreoffice'")
        wanted = extension.parts()
        for name in ("functions.idl", "component.py", "CalcAddIns.xcu"):
            if (Path(folder) / name).read_text(encoding="utf-8") != wanted[name]:
                raise OfficeError("tautsheet in LibreOffice is of another version: run 'tautsheet libreoffice'")
        python = json.loads((Path(folder) / "settings.json").read_text(encoding="utf-8"))["python"]
        book = office.new()
        book.put_formulas("A1", [[f"={_CALL}"]])
        shown = book.cells("A1:A1")[0][0]
        if shown != _SHOWS:
            raise OfficeError(f"{_CALL} shows {shown[1] or 'nothing'} in LibreOffice: run 'tautsheet libreoffice'")
        return f"LibreOffice {office.version} knows the functions; {python} answers them"


def remove(profile: Path | None = None) -> bool:
    """Take the functions out; whether they were there. Raises OfficeError, NoOfficeError."""
    profile = profile or places.profile()
    if not profile.is_dir():
        return False
    with _office(profile) as office:
        return bool(office.ask("remove_extension", names.IDENTIFIER))
