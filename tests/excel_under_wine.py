"""Excel's side of a first call, without Excel: xlwings' own library starts a stand-in for python.exe under Wine.

    python tests/excel_under_wine.py [FOLDER]

Needs wine and gcc-mingw-w64-x86-64 (Debian), and pip to get the library of the pinned xlwings; says so and ends where
one is missing. Everything happens in FOLDER (a temporary one), the files of Wine included. It shows that the program of
the settings is started with the words it was given, whatever letters its folder has, that nothing else is started, and,
so that the instrument is known to see it, that a shell on the way does start what a workbook's name says.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import zipfile
from importlib.metadata import version
from pathlib import Path

from addin.hosts.excel_addin import SERVER, command
from addin.hosts.excel_macros import library

FOLDERS = ("plain", "Ann & Co", "100%TEMP%", "a^b", "it's (x86)", "a;b,c=d!", "list ^&echo started>evil.txt ")
"""Folders that Python may be installed in; the last is a name that once started a program."""
TOOLS = ("wine", "x86_64-w64-mingw32-gcc")
CALLER = r"""
#include <windows.h>
#include <oleauto.h>
#include <stdio.h>
typedef int (__stdcall *Start)(VARIANT*, const char*, int);
int main(int count, char** words) {
    static char line[8192];
    FILE* file = fopen(words[2], "rb");
    line[fread(line, 1, 8191, file)] = 0;
    fclose(file);
    CoInitialize(0);
    HMODULE library = LoadLibraryA(words[1]);
    if (!library) return 3;
    Start start = (Start)GetProcAddress(library, "XLPyDLLActivateAuto");
    if (!start) return 4;
    VARIANT result;
    VariantInit(&result);
    start(&result, line, 1);
    return 0;
}
"""
STAND_IN = r"""
#include <windows.h>
#include <stdio.h>
int wmain(int count, wchar_t** words) {
    FILE* file = fopen("started.txt", "ab");
    for (int i = 0; i < count; i++) {
        char text[4096];
        WideCharToMultiByte(CP_UTF8, 0, words[i], -1, text, 4096, 0, 0);
        fprintf(file, "%s\n", text);
    }
    fclose(file);
    return 0;
}
"""
SHELL = (
    'cmd.exe  /K ""C:\\plain\\python.exe" -B -c "prepare(\\"false;C:\\\\list ^^&echo started>evil.txt & .xlsx;\\");'
    "serve('$(CLSID)')\"\""
)
"""The command line as xlwings' own macros make it for a workbook called `list ^&echo started>evil.txt & .xlsx`."""


class Wine:
    """A throw-away Wine with the library, a caller and a stand-in for Python."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.drive = folder / "wine" / "drive_c"
        self.environment = os.environ | {
            "WINEPREFIX": str(folder / "wine"), "WINEDEBUG": "-all", "WINEDLLOVERRIDES": "mscoree,mshtml=",
        }  # fmt: skip
        for name, source, options in (
            ("caller", CALLER, ["-lole32", "-loleaut32"]),
            ("python", STAND_IN, ["-municode"]),
        ):
            (folder / f"{name}.c").write_text(source, encoding="ascii")
            built = folder / f"{name}.exe"
            subprocess.run([TOOLS[1], folder / f"{name}.c", "-o", built, *options], check=True)
        subprocess.run(["wineboot", "-i"], env=self.environment, check=True, capture_output=True, timeout=300)
        wheel = subprocess.run(
            [sys.executable, "-m", "pip", "download", f"xlwings=={version('xlwings')}", "--platform", "win_amd64",
             "--python-version", "3.11", "--only-binary=:all:", "--no-deps", "-q", "-d", folder],
            check=False, capture_output=True,
        )  # fmt: skip
        if wheel.returncode:
            raise OSError(f"pip cannot get xlwings {version('xlwings')} for Windows")
        with zipfile.ZipFile(next(folder.glob("xlwings-*.whl"))) as archive:
            name = next(name for name in archive.namelist() if name.endswith(library(64)))
            (folder / library(64)).write_bytes(archive.read(name))

    def install(self, place: str) -> str:
        """The stand-in in a folder of the drive; its path as Windows has it."""
        target = self.drive / place
        target.mkdir(exist_ok=True)
        shutil.copy(self.folder / "python.exe", target / "python.exe")
        return f"C:\\{place}\\python.exe"

    def start(self, line: str) -> tuple[list[str], bool]:
        """What the stand-in was started with, and whether anything else was started."""
        for name in ("started.txt", "evil.txt"):
            (self.folder / name).unlink(missing_ok=True)
        (self.folder / "line.txt").write_text(line, encoding="cp1252")
        caller = subprocess.Popen(
            ["wine", "caller.exe", library(64), "line.txt"], env=self.environment, cwd=self.folder,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        try:
            caller.wait(20)
        except subprocess.TimeoutExpired:  # a shell that stays open, as xlwings asks for
            caller.kill()
            caller.wait()
        started = self.folder / "started.txt"
        words = started.read_text(encoding="utf-8").splitlines() if started.exists() else []
        return words, bool(list(self.folder.rglob("evil.txt*")))

    def close(self) -> None:
        """End what runs in this Wine."""
        for word in ("-k", "-w"):  # what is ending still writes into the folder
            subprocess.run(["wineserver", word], env=self.environment, check=False, capture_output=True)


def main(folder: Path) -> int:
    """Number of folders that went wrong."""
    missing = [tool for tool in TOOLS if shutil.which(tool) is None]
    if missing:
        print(f"not run: {', '.join(missing)} missing (Debian: wine, gcc-mingw-w64-x86-64)")
        return 0
    wrong = 0
    wine = Wine(folder)
    try:
        for place in FOLDERS:
            if set(place) & set('<>:"/\\|?*'):
                place = place.replace(">", "}")
            python = wine.install(place)
            words, other = wine.start(command(python))
            good = words[:-1] == [python, "-P", "-B", "-m", SERVER] and words[-1].startswith("{") and not other
            print(f"{'good' if good else 'WRONG'}: {python}: {words}{', and something else' if other else ''}")
            wrong += not good
        _, other = wine.start(SHELL)
        print(f"through a shell a workbook's name {'starts a program' if other else 'starts nothing: SEE WHY'}")
        wrong += not other
    finally:
        wine.close()
    return wrong


if __name__ == "__main__":
    if len(sys.argv) > 1:
        Path(sys.argv[1]).mkdir(parents=True, exist_ok=True)
        sys.exit(main(Path(sys.argv[1]).resolve()))
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as name:
        sys.exit(main(Path(name)))
