"""Puts Excel's files in place for a user, finds what usually goes wrong, and takes everything away again."""

import locale
import os
import struct
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.metadata import version
from importlib.util import find_spec
from pathlib import Path
from typing import BinaryIO

from addin.hosts import excel_policies as policies
from addin.hosts.excel_addin import addin_file, command, read_settings, settings
from addin.hosts.excel_macros import COMMAND, PROJECT, SETTINGS, calls, library
from addin.workbooks.file_set import forget
from addin.workbooks.new_file import write_new
from addin.workbooks.outputs import EXCEL, Outputs
from addin.workbooks.package import WorkbookError

ADDIN, MACROS = f"{PROJECT}.xlam", f"{PROJECT}.bas"
GOOD, NOTE, FAULT = "good", "note", "fault"

CLICKS = (
    "In Excel: File > Options > Add-ins > Manage: Excel Add-ins > Go ... > tick 'Tautsheet' > OK.",
    "Type =unit_convert(1,\"kN\",\"N\") into a cell: it shows 1000. The first call takes a few seconds.",
    f"Where add-in files are not allowed: Alt+F11 > File > Import File ... > {MACROS}, into a workbook of your own.",
)  # fmt: skip
"""What the user has to do in Excel, once."""


@dataclass(frozen=True)
class Facts:
    """What a check looks at. Paths as texts, empty where there is none."""

    platform: str
    python: str
    prefix: str
    dlls: tuple[str, ...]
    pywin32: bool
    excel: str
    office_bits: int
    rules: Mapping[str, int]
    addin: str
    addin_settings: Mapping[str, str] | None


def addins_folder(environment: Mapping[str, str]) -> Path:
    """Where Excel looks for add-ins of the user."""
    return Path(environment.get("APPDATA", str(Path.home()))) / "Microsoft" / "AddIns"


def files(folder: Path) -> tuple[Path, Path]:
    """The add-in file and the plain macro module."""
    return folder / ADDIN, folder / MACROS


def libraries() -> Path:
    """The folder in which pip has put xlwings' libraries for Excel."""
    folders = (Path(sys.executable).parent, Path(sys.prefix))
    return next((folder for folder in folders if any(folder.glob("xlwings*.dll"))), folders[-1])


def install(folder: Path, python: str = sys.executable, *, on_opening: bool = False) -> list[str]:
    """Write both files, over those of an earlier run, and name them and what was kept.

    `on_opening`: the add-in looks at each workbook that is opened.

    Raises WorkbookError when a file of that name is not ours or cannot be written.
    """
    addin, macros = files(folder)
    if addin.exists() and read_settings(addin) is None:
        raise WorkbookError(f"{addin}: is there already and is not tautsheet's; it is not overwritten")
    wanted = settings(python, libraries(), on_opening=on_opening)
    alone = calls(settings=[wanted[name] for name in SETTINGS])
    text = alone.replace("\n", "\r\n").encode(locale.getpreferredencoding(False), errors="replace")
    with Outputs(folder, overwrite=True, by="excel") as outputs:
        for path, content, ours in ((addin, addin_file(wanted), True), (macros, text, _ours(macros))):
            _write(outputs.place(path.name, EXCEL, ours=ours), content)
    return [str(addin), str(macros), *(f"note: {line}" for line in outputs.kept())]


def _write(path: Path, content: bytes) -> None:
    def write(file: BinaryIO) -> None:
        file.write(content)

    write_new(path, write)


def _ours(macros: Path) -> bool:
    """Whether a macro module says that it is ours; one that is not there is nobody's."""
    return macros.is_file() and b"tautsheet" in macros.read_bytes()[:1000]


def remove(folder: Path) -> list[Path]:
    """Remove the files that `install` wrote; those that were there.

    Raises WorkbookError when a file is not ours or is in use.
    """
    addin, macros = files(folder)
    if addin.exists() and read_settings(addin) is None:
        raise WorkbookError(f"{addin}: is not tautsheet's; it is not removed")
    if macros.exists() and not _ours(macros):
        raise WorkbookError(f"{macros}: is not tautsheet's; it is not removed")
    gone = [path for path in (addin, macros) if path.exists()]
    for path in gone:
        try:
            path.unlink()
        except OSError as error:
            raise WorkbookError(f"{path}: cannot be removed: {error.strerror}; close Excel first") from error
    forget(folder, (path.name for path in gone))
    return gone


def gather(folder: Path) -> Facts:
    """Look at this computer."""
    addin = files(folder)[0]
    excel, bits, rules = _office() if sys.platform == "win32" else ("", 0, {})
    prefix = Path(sys.prefix)
    beside = (Path(sys.executable).parent, prefix)
    return Facts(
        platform=sys.platform,
        python=sys.executable,
        prefix=sys.prefix,
        dlls=tuple(sorted({path.name for place in beside for path in place.glob("xlwings*.dll")})),
        pywin32=find_spec("win32api") is not None,
        excel=excel,
        office_bits=bits,
        rules=rules,
        addin=str(addin) if addin.exists() else "",
        addin_settings=read_settings(addin) if addin.exists() else None,
    )


def _office() -> tuple[str, int, dict[str, int]]:
    """Path of Excel, its bits (0 where not known), and the rules of this computer that bear on it."""
    import winreg  # there on Windows only

    roots = {"user": winreg.HKEY_CURRENT_USER, "machine": winreg.HKEY_LOCAL_MACHINE}  # type: ignore[attr-defined]

    def value(root: str, key: str, name: str) -> object:
        try:
            with winreg.OpenKey(roots[root], key) as opened:  # type: ignore[attr-defined]  # absent in others' stubs
                return winreg.QueryValueEx(opened, name)[0]  # type: ignore[attr-defined]
        except OSError:
            return None

    excel = value("machine", r"SOFTWARE\Microsoft\Windows\CurrentVersion\App Paths\excel.exe", "") or ""
    platform = value("machine", r"SOFTWARE\Microsoft\Office\ClickToRun\Configuration", "Platform")
    return str(excel), {"x64": 64, "x86": 32}.get(str(platform), 0), policies.read(value)


def diagnose(facts: Facts) -> list[tuple[str, str]]:
    """What is good, what to know and what is wrong, each with the way out: pairs of level and sentence."""
    if facts.platform != "win32":
        return [
            (
                NOTE,
                "Excel runs Python functions on Windows only: run 'tautsheet excel' there, for the add-in file names "
                "the Python of its own computer; on this system there is LibreOffice: tautsheet libreoffice",
            )
        ]
    said: list[tuple[str, str]] = []
    for check in (_python, _excel, _dll, _addin, _rules):
        said += check(facts)
    return said


def _python(facts: Facts) -> list[tuple[str, str]]:
    if "windowsapps" in facts.python.lower() or "windowsapps" in facts.prefix.lower():
        return [(FAULT, f"Python is the Microsoft Store's ({facts.python}), which Excel cannot start; install Python "
                        "from python.org, make a virtual environment with it and install tautsheet there")]  # fmt: skip
    if "$(" in facts.python:
        return [(FAULT, f"the path {facts.python} has the letters $( in it; install into another folder")]
    if not facts.pywin32:
        return [(FAULT, f"pywin32 is missing in {facts.prefix}: pip install pywin32")]
    said = [(GOOD, f"Python {facts.python}")]
    try:
        facts.python.encode("cp1252")
    except UnicodeEncodeError:
        said.append((NOTE, f"the path {facts.python} has letters that Excel may not be able to pass on; if the first "
                           "call fails, install into a folder with plain letters"))  # fmt: skip
    return said


def _excel(facts: Facts) -> list[tuple[str, str]]:
    if not facts.excel:
        return [(FAULT, "Excel is not found; tautsheet's functions need the desktop Excel for Windows")]
    if "windowsapps" in facts.excel.lower():
        return [(FAULT, f"Excel is the Microsoft Store's ({facts.excel}), which cannot start Python; remove it and "
                        "install Office from office.com")]  # fmt: skip
    return [(GOOD, f"Excel {facts.excel}")]


def _dll(facts: Facts) -> list[tuple[str, str]]:
    release = version("xlwings")
    bits = facts.office_bits or struct.calcsize("P") * 8
    wanted = library(bits)
    if wanted in facts.dlls:
        return [(GOOD, wanted)]
    others = ", ".join(facts.dlls) or "none"
    return [(FAULT, f"{wanted} is not in {facts.prefix} (there: {others}); pip install --force-reinstall "
                    f"xlwings=={release}, then tautsheet excel")]  # fmt: skip


def _addin(facts: Facts) -> list[tuple[str, str]]:
    if not facts.addin:
        return [(FAULT, "the add-in file is not there: tautsheet excel")]
    if facts.addin_settings is None:
        return [(FAULT, f"{facts.addin} is not tautsheet's or is damaged; move it away, then tautsheet excel")]
    name, now = COMMAND, command(facts.python)
    if facts.addin_settings.get(name) != now:
        return [(FAULT, f"{facts.addin} was made for another installation ({name}: "
                        f"{facts.addin_settings.get(name)}, now {now}): tautsheet excel")]  # fmt: skip
    return [(GOOD, f"add-in file {facts.addin}; made again by 'tautsheet excel' after every update")]


def _rules(facts: Facts) -> list[tuple[str, str]]:
    said = [(FAULT if sure else NOTE, text) for sure, text in policies.obstacles(facts.rules)]
    if said:
        said.append((NOTE, policies.request(facts.addin or ADDIN, facts.python)))
    return said


def default_folder() -> Path:
    """Excel's add-ins folder on Windows; elsewhere a folder of its own, to be carried to a Windows computer."""
    return addins_folder(os.environ) if sys.platform == "win32" else Path("tautsheet-excel")
