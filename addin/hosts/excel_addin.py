"""Excel's add-in file: shipped with its macros in it; only its settings are written on the user's computer."""

import io
import re
import zipfile
from collections.abc import Mapping
from pathlib import Path
from xml.sax.saxutils import escape

from addin.hosts.excel_macros import COMMAND, LIBRARIES, ON_OPENING, PROJECT, SETTINGS, SETTINGS_SHEET
from addin.workbooks.markup import unescape

SERVER = "addin.hosts.excel_server"
"""The Python module that Excel starts."""
SHIPPED = Path(__file__).with_name(f"{PROJECT}.xlam")
_BOOK, _SHEET = "xl/workbook.xml", "xl/worksheets/sheet1.xml"


def command(python: Path | str) -> str:
    """The command line that Excel's library starts, by itself and without a shell. It names nothing of a workbook.

    The library puts the number of its session in the place of the last word.

    >>> print(command(r"C:\\Ann & Co\\python.exe"))
    "C:\\Ann & Co\\python.exe" -P -B -m addin.hosts.excel_server $(CLSID)
    """
    return f'"{python}" -P -B -m {SERVER} $(CLSID)'


def settings(python: Path | str, libraries: Path | str, *, on_opening: bool = False) -> dict[str, str]:
    """Settings of the add-in: the interpreter, the folder of the libraries, whether opened workbooks are looked at."""
    return {
        COMMAND: command(python),
        LIBRARIES: str(libraries),
        ON_OPENING: "yes" if on_opening else "no",
    }


def addin_file(values: Mapping[str, str]) -> bytes:
    """The shipped add-in file with these settings. The same input gives the same bytes."""
    result = io.BytesIO()
    with zipfile.ZipFile(SHIPPED) as source, zipfile.ZipFile(result, "w", zipfile.ZIP_DEFLATED) as target:
        for entry in source.infolist():
            content = source.read(entry)
            if entry.filename == _SHEET:
                content = with_settings(content.decode("utf-8"), values).encode("utf-8")
            target.writestr(zipfile.ZipInfo(entry.filename, (1980, 1, 1, 0, 0, 0)), content, zipfile.ZIP_DEFLATED)
    return result.getvalue()


def with_settings(sheet: str, values: Mapping[str, str]) -> str:
    """The settings sheet's part with other settings."""
    rows = "".join(
        f'<row r="{row}">{_cell(f"A{row}", name)}{_cell(f"B{row}", values[name])}</row>'
        for row, name in enumerate(SETTINGS, start=1)
    )
    sheet = re.sub(r"<sheetData ?/>|<sheetData>.*</sheetData>", lambda _: f"<sheetData>{rows}</sheetData>", sheet)
    return re.sub(r'<dimension ref="[^"]*"/>', f'<dimension ref="A1:B{len(SETTINGS)}"/>', sheet)


def _cell(address: str, text: str) -> str:
    return f'<c r="{address}" t="inlineStr"><is><t xml:space="preserve">{escape(text)}</t></is></c>'


def read_settings(path: Path) -> dict[str, str] | None:
    """Settings in an add-in file of ours, of whatever version; None when it is none."""
    try:
        with zipfile.ZipFile(path) as archive:
            book, sheet = (archive.read(name).decode("utf-8") for name in (_BOOK, _SHEET))
    except (OSError, KeyError, UnicodeDecodeError, zipfile.BadZipFile):
        return None
    if f'name="{SETTINGS_SHEET}"' not in book:
        return None
    texts = [unescape(text) for text in re.findall(r"<is><t[^>]*>([^<]*)</t></is>", sheet)]
    return dict(zip(texts[::2], texts[1::2], strict=False))
