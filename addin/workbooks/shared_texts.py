"""The shared texts of a workbook, read in one go; openpyxl's own reading of them takes longer than all the rest."""

import xml.etree.ElementTree as ET
import zipfile
from typing import Any

from addin.workbooks.markup import MAIN
from addin.workbooks.package import Package, WorkbookError

READER_FAULTS = (ValueError, KeyError, TypeError, AttributeError, IndexError, OverflowError, SyntaxError,
                 zipfile.BadZipFile)  # fmt: skip
"""openpyxl's own ways of failing on a part that is well-formed XML but no proper workbook."""

_SI, _T, _R = (f"{{{MAIN}}}{name}" for name in ("si", "t", "r"))


def shared_texts(package: Package) -> list[str]:
    """Every shared text in its order, runs joined, without phonetic hints; as openpyxl gives them.

    Raises WorkbookError for a part that is no list of texts.
    """
    part = next((link.target for link in package.relations(package.workbook) if link.kind == "sharedStrings"), None)
    if part is None or part not in package.parts:
        return []
    try:
        root = ET.fromstring(package.read(part))  # the gate has refused every DTD
    except ET.ParseError as error:
        raise WorkbookError(f"{package.path.name}: its shared texts are damaged ({error})") from error
    return [_text(entry).replace("x005F_", "") for entry in root if entry.tag == _SI]


def _text(entry: ET.Element) -> str:
    if len(entry) == 1 and entry[0].tag == _T:
        return entry[0].text or ""
    pieces = []
    for piece in entry:
        plain = piece if piece.tag == _T else piece.find(_T) if piece.tag == _R else None
        if plain is not None:
            pieces.append(plain.text or "")
    return "".join(pieces)


def open_values(package: Package, content: Any) -> Any:
    """The workbook opened read-only by openpyxl, with the shared texts read here.

    Raises what openpyxl raises for a part that is no proper workbook.
    """
    from openpyxl.reader.excel import ExcelReader  # about 0.15 s: only when a workbook is read

    class Reader(ExcelReader):  # type: ignore[misc]  # openpyxl has no types
        def read_strings(self) -> None:
            self.shared_strings = shared_texts(package)

    reader = Reader(content, read_only=True, keep_vba=False, data_only=True, keep_links=False)
    reader.read()
    return reader.wb
