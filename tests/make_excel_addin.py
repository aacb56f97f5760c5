"""Writes addin/hosts/tautsheet.xlam, Excel's add-in file with the macros of the registry. Run after a change of it.

    python tests/make_excel_addin.py

An empty add-in file as Excel saves it comes from pyOpenVBA; macros, names and titles are ours. Needs no Excel.
"""

import io
import re
import sys
import tempfile
import zipfile
from pathlib import Path

from pyopenvba import ExcelFile
from pyopenvba.cfb import CFB
from pyopenvba.vba import compress, decompress

from addin.hosts.excel_addin import SHIPPED, settings, with_settings
from addin.hosts.excel_macros import CALLS, PROJECT, SETTINGS_SHEET, calls, opening

BINARY, CORE, APP = "xl/vbaProject.bin", "docProps/core.xml", "docProps/app.xml"
_CORE = f"""<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties" \
xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:title>{PROJECT.capitalize()}</dc:title>\
<dc:description>Controlled tightening of bolted pressure joints</dc:description></cp:coreProperties>
"""
_APP = """<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/extended-properties">\
<Application>Microsoft Excel</Application><AppVersion>16.0300</AppVersion></Properties>
"""


def built() -> bytes:
    """The file. The same registry gives the same bytes."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / SHIPPED.name
        with ExcelFile.create_new(path) as file:
            project = file.vba_project()
            project.delete_module("Module1")
            file.set_module("ThisWorkbook", opening().replace("\n", "\r\n"))
            project.add_module(CALLS, calls().replace("\n", "\r\n"))
            file.save()
        return _ours(path.read_bytes())


def _ours(content: bytes) -> bytes:
    """The package with our names in place of those of an empty file."""
    result = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as source, zipfile.ZipFile(result, "w", zipfile.ZIP_DEFLATED) as target:
        for name in source.namelist():
            part = source.read(name)
            if name == BINARY:
                part = _named(part)
            elif name == "xl/workbook.xml":
                part = _once(part, b'name="Sheet1"', f'name="{SETTINGS_SHEET}"'.encode())
            elif name == "xl/worksheets/sheet1.xml":
                part = with_settings(part.decode("utf-8"), settings("", "")).encode("utf-8")
            elif name in (CORE, APP):
                part = (_CORE if name == CORE else _APP).encode("utf-8")
            target.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), part, zipfile.ZIP_DEFLATED)
    return result.getvalue()


def _named(binary: bytes) -> bytes:
    """The macro project under our name: MS-OVBA 2.3.4.2.1.6, and the line `Name=` of 2.3.1.9 (from memory)."""
    store = CFB.from_bytes(binary)
    listed = decompress(store.get_stream_in_storage("VBA", "dir"))
    old = re.search(rb"\x04\x00(....)(VBAProject)", listed, re.DOTALL)
    assert old is not None, "the record of the project's name"
    assert int.from_bytes(old[1], "little") == len(old[2])
    name = PROJECT.encode("ascii")
    listed = listed[: old.start()] + b"\x04\x00" + len(name).to_bytes(4, "little") + name + listed[old.end() :]
    store.write_stream_in_storage("VBA", "dir", compress(listed))
    lines = _once(store.get_stream("PROJECT"), b'Name="VBAProject"', f'Name="{PROJECT}"'.encode("ascii"))
    store.write_stream("PROJECT", lines)
    return bytes(store.to_bytes())


def _once(content: bytes, old: bytes, new: bytes) -> bytes:
    assert content.count(old) == 1, old
    return content.replace(old, new)


if __name__ == "__main__":
    SHIPPED.write_bytes(built())
    sys.stdout.write(f"{SHIPPED}\n")
