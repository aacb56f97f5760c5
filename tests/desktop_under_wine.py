"""The shortcut of "Send to", started under Wine: a stand-in for python.exe tells the words it was given.

    python tests/desktop_under_wine.py [FOLDER]

Needs wine and gcc-mingw-w64-x86-64 (Debian); says so and ends where one is missing. Everything happens in FOLDER (a
temporary one), the files of Wine included. A list in a folder with blanks, an ampersand and letters beyond ASCII must
arrive as one word, whatever folder Python stands in.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from excel_under_wine import STAND_IN, TOOLS

from addin.hosts.desktop import WORDS, content

FOLDERS = ("plain", "Ann & Co (ä)", "it's (x86)")
LIST = "C:\\jobs\\Bee & Co (ä)\\list ^&echo x.xlsx"


def run(folder: Path) -> int:
    """Start the shortcut for each folder of Python; how many told other words than they should."""
    environment = os.environ | {
        "WINEPREFIX": str(folder / "wine"),
        "WINEDEBUG": "-all",
        "WINEDLLOVERRIDES": "mscoree,mshtml=",
    }
    (folder / "python.c").write_text(STAND_IN)
    build = ["x86_64-w64-mingw32-gcc", "-municode", str(folder / "python.c"), "-o", str(folder / "python.exe")]
    subprocess.run(build, check=True)
    subprocess.run(["wine", "wineboot", "-i"], env=environment, check=True, capture_output=True)
    drive, wrong = folder / "wine" / "drive_c", 0
    for name in FOLDERS:
        (drive / name).mkdir()
        shutil.copy(folder / "python.exe", drive / name)
        (drive / "send.lnk").write_bytes(content(f"C:\\{name}\\python.exe", "win32"))
        subprocess.run(
            ["wine", "start", "/wait", "C:\\send.lnk", LIST], env=environment, cwd=drive, capture_output=True
        )
        told = [line for path in drive.rglob("started.txt") for line in path.read_text(encoding="utf-8").splitlines()]
        right = told == [f"C:\\{name}\\python.exe", *WORDS, LIST]
        wrong += not right
        print(f"{name}: {'the words as they should be' if right else told}")
        for path in drive.rglob("started.txt"):
            path.unlink()
    subprocess.run(["wineserver", "-k"], env=environment, check=False)
    return wrong


if __name__ == "__main__":
    if missing := [tool for tool in TOOLS if shutil.which(tool) is None]:
        sys.exit(f"not run: {', '.join(missing)} missing")
    place = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(tempfile.mkdtemp(prefix="tautsheet-wine-"))
    place.mkdir(parents=True, exist_ok=True)
    sys.exit(run(place))
