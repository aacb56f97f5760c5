"""The gate in front of every workbook: nothing is parsed before the file has been counted, hashed and found plain.

A workbook is somebody else's zip file. The sizes it declares are not believed: every part is inflated once, piece by
piece, counted and hashed, before a parser sees it.
"""

import hashlib
import posixpath
import re
import stat
import struct
import urllib.parse
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any, BinaryIO

from addin.workbooks.long_part import LONG, Content, LongPart
from addin.workbooks.markup import MAIN, Markup, MarkupError, prolog_fault

MIB = 1024 * 1024
UNPACKED_LIMIT = 512 * MIB
"""Most that all parts together may unpack to. [bytes]"""
SHARED_LIMIT = 64 * MIB
"""Most that the parts which readers keep in memory whole (shared strings, styles, workbook) may unpack to. [bytes]"""
STRUCTURE_LIMIT = 8 * MIB
"""Most that the workbook part, the content types and one list of relationships may unpack to, each. [bytes]"""
RATIO_LIMIT = 200
"""Most that a part may unpack to, over its packed size."""
PARTS_LIMIT = 20_000
SHEETS_LIMIT = 5_000

_SMALL = MIB  # below this a part may have any ratio: it can do no harm
_CHUNK = 256 * 1024
_OLE = bytes.fromhex("D0CF11E0A1B11AE1")
_STRICT = "http://purl.oclc.org/ooxml/"
_WORKBOOK_TYPES = {
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml": False,
    "application/vnd.openxmlformats-officedocument.spreadsheetml.template.main+xml": False,
    "application/vnd.ms-excel.sheet.macroEnabled.main+xml": True,
    "application/vnd.ms-excel.template.macroEnabled.main+xml": True,
}
_ZIP_FAULTS = (zipfile.BadZipFile, zlib.error, EOFError, struct.error, ValueError, NotImplementedError, RuntimeError)


class WorkbookError(Exception):
    """A workbook cannot be read or written; the message is one clear line."""


@dataclass(frozen=True)
class Part:
    """One part of a package as it was found: unpacked size [bytes] and the SHA-256 of its unpacked content."""

    size: int
    sha256: str


@dataclass(frozen=True)
class Sheet:
    """One sheet of a workbook. `state` is visible, hidden or veryHidden; `kind` is worksheet, chartsheet and so on."""

    name: str
    part: str
    state: str
    kind: str


@dataclass(frozen=True)
class Relation:
    """One link from a part to another part; `kind` is the last word of its type."""

    id: str
    kind: str
    target: str


@dataclass(frozen=True)
class Package:
    """A workbook that has passed the gate. Nothing stays open: every read opens the file again and compares hashes."""

    path: Path
    sha256: str
    parts: Mapping[str, Part]
    sheets: tuple[Sheet, ...]
    workbook: str
    styles: str | None
    macros: bool
    date1904: bool
    signed: bool
    shared_revisions: bool
    recalculates_on_load: bool
    """The workbook says itself that its cached values are to be calculated anew when it is opened."""
    calculation: str
    """auto, autoNoTable or manual; with manual the cached values may be old."""
    print_areas: Mapping[str, str]

    def read(self, part: str) -> bytes:
        """The unpacked content of one part, the same to the bit as when the gate counted it.

        Raises WorkbookError when there is no such part, or the file has changed since.
        """
        if part not in self.parts:
            raise WorkbookError(f"{self.path.name}: part {part} is missing")
        try:
            with zipfile.ZipFile(self.path) as archive:
                content = archive.read(part)
        except (*_ZIP_FAULTS, OSError, KeyError) as error:
            raise WorkbookError(f"{self.path.name}: changed while it was being read") from error
        if hashlib.sha256(content).hexdigest() != self.parts[part].sha256:
            raise WorkbookError(f"{self.path.name}: changed while it was being read")
        return content

    def unpacked(self, part: str) -> Content:
        """The same; a large part stands in a scratch file. Raises WorkbookError too where there is no room for it."""
        if part not in self.parts or self.parts[part].size < LONG:
            return self.read(part)
        digest = hashlib.sha256()
        try:
            content = LongPart.of(self._pieces(part, digest))
        except OSError as error:
            reason = error.strerror or str(error)
            raise WorkbookError(f"the folder for temporary files cannot be used: {reason}") from error
        if digest.hexdigest() != self.parts[part].sha256:
            raise WorkbookError(f"{self.path.name}: changed while it was being read")
        return content

    def _pieces(self, part: str, digest: Any) -> Iterator[bytes]:
        try:
            with zipfile.ZipFile(self.path) as archive, archive.open(part) as file:
                while piece := file.read(MIB):
                    digest.update(piece)
                    yield piece
        except (*_ZIP_FAULTS, FileNotFoundError, PermissionError, KeyError) as error:
            raise WorkbookError(f"{self.path.name}: changed while it was being read") from error

    def sheet(self, name: str) -> Sheet:
        """The sheet of that name (capitals do not count, as in a spreadsheet).

        Raises WorkbookError when there is none, naming those there are.
        """
        for sheet in self.sheets:
            if sheet.name.casefold() == name.casefold():
                return sheet
        known = ", ".join(repr(sheet.name) for sheet in self.sheets[:20])
        raise WorkbookError(f"{self.path.name}: there is no sheet {name!r}; there are {known}")

    def relations(self, part: str) -> tuple[Relation, ...]:
        """Links of one part to other parts of the package; links that point outside are left out."""
        folder, name = posixpath.split(part)
        rels = _find(self.parts, posixpath.join(folder, "_rels", name + ".rels"))
        if rels is None:
            return ()
        _check_structure(self.path, rels, self.parts[rels])
        return tuple(_relations(self.path, rels, self.read(rels), folder))


def open_package(path: Path) -> Package:
    """Let a workbook through the gate, or refuse it.

    Refused are: files that are no zip (old .xls, text, renamed), encrypted ones, more than 512 MiB unpacked, more than
    64 MiB in the parts readers keep whole, a ratio above 200, a DTD in any part, names that escape or repeat, parts
    that are cut short, damaged or missing, packages that are no spreadsheet.

    Raises WorkbookError with one line: file, part, what, limit.
    """
    path = Path(path)
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise WorkbookError(f"{path.name}: cannot be read: it is no plain file")
        with path.open("rb") as file:
            _check_start(path, file)
            sha256 = hashlib.file_digest(file, "sha256").hexdigest()
            with zipfile.ZipFile(file) as archive:
                parts = _inflate_all(path, archive)
                return _describe(path, sha256, parts, archive)
    except OSError as error:
        raise WorkbookError(f"{path.name}: cannot be read: {error.strerror or error}") from error
    except _ZIP_FAULTS as error:
        raise WorkbookError(f"{path.name}: the file is cut short or damaged ({_line(error)})") from error


def _line(error: BaseException) -> str:
    return " ".join(str(error).split())[:200] or type(error).__name__


def _check_start(path: Path, file: BinaryIO) -> None:
    """Say what a file is that is no zip, as far as its first bytes tell."""
    head = file.read(4096)
    if head.startswith(_OLE):
        file.seek(0)
        head = file.read(32 * MIB)  # the directory of names stands near one of the ends
        if "EncryptedPackage".encode("utf-16-le") in head or _tail_has(file, "EncryptedPackage".encode("utf-16-le")):
            raise WorkbookError(f"{path.name}: is encrypted with a password; save a copy without it")
        raise WorkbookError(f"{path.name}: is an old binary file (.xls or the like); save it as .xlsx")
    if not head.startswith(b"PK\x03\x04"):
        if not head:
            raise WorkbookError(f"{path.name}: the file is empty")
        text = b"\0" not in head and sum(byte < 9 or 13 < byte < 32 for byte in head) == 0
        kind = "is a text file (csv or the like), not a workbook" if text else "is not a workbook (.xlsx or .xlsm)"
        raise WorkbookError(f"{path.name}: {kind}")
    size = file.seek(0, 2)
    if size > UNPACKED_LIMIT:
        raise WorkbookError(f"{path.name}: is {size / MIB:.0f} MiB large, the limit is {UNPACKED_LIMIT // MIB} MiB")
    file.seek(0)


def _tail_has(file: BinaryIO, words: bytes) -> bool:
    file.seek(max(0, file.seek(0, 2) - 32 * MIB))
    return words in file.read(32 * MIB)


def _inflate_all(path: Path, archive: zipfile.ZipFile) -> Mapping[str, Part]:
    """Inflate every part once, piece by piece, counting: nothing that the headers declare is believed."""
    entries = archive.infolist()
    if len(entries) > PARTS_LIMIT:
        raise WorkbookError(f"{path.name}: has {len(entries)} parts, the limit is {PARTS_LIMIT}")
    seen: set[str] = set()
    parts: dict[str, Part] = {}
    total = 0
    for entry in entries:
        _check_name(path, entry)
        if entry.filename.casefold() in seen:
            raise WorkbookError(f"{path.name}: part {entry.filename} is there twice")
        seen.add(entry.filename.casefold())
        if entry.flag_bits & 0x1:
            raise WorkbookError(f"{path.name}: part {entry.filename} is encrypted")
        if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise WorkbookError(f"{path.name}: part {entry.filename} is packed in a way no workbook uses")
        digest, size = hashlib.sha256(), 0
        with archive.open(entry) as part:
            while chunk := part.read(_CHUNK):
                if not size:
                    fault = prolog_fault(chunk, entry.filename)
                    if fault:
                        raise WorkbookError(f"{path.name}: part {entry.filename} {fault}")
                size += len(chunk)
                total += len(chunk)
                digest.update(chunk)
                if total > UNPACKED_LIMIT:
                    raise WorkbookError(
                        f"{path.name}: unpacks to more than {UNPACKED_LIMIT // MIB} MiB (at part {entry.filename})"
                    )
                if size > _SMALL and size > RATIO_LIMIT * entry.compress_size:
                    raise WorkbookError(
                        f"{path.name}: part {entry.filename} unpacks to more than {RATIO_LIMIT} times its packed size"
                    )
        if size != entry.file_size:
            raise WorkbookError(f"{path.name}: part {entry.filename} is cut short: {size} of {entry.file_size} bytes")
        parts[entry.filename] = Part(size, digest.hexdigest())
    packed = sum(entry.compress_size for entry in entries)
    if total > _SMALL and total > RATIO_LIMIT * packed:
        raise WorkbookError(f"{path.name}: unpacks to more than {RATIO_LIMIT} times its packed size")
    return MappingProxyType(parts)


def _check_name(path: Path, entry: zipfile.ZipInfo) -> None:
    name = entry.orig_filename
    steps = name.removesuffix("/").split("/")
    if (
        re.search(r"[\x00-\x1f\\:]", name)
        or name != entry.filename
        or any(step in ("", ".", "..") for step in steps)
        or (entry.is_dir() and entry.file_size)
    ):
        raise WorkbookError(f"{path.name}: part name {name!r} is not allowed (it leads out of the workbook or hides)")


def _find(parts: Mapping[str, Part], name: str) -> str | None:
    """The part's name as the zip spells it; a package does not tell capitals apart."""
    if name in parts:
        return name
    return next((part for part in parts if part.casefold() == name.casefold()), None)


def _relations(path: Path, rels: str, content: bytes, folder: str) -> Iterator[Relation]:
    for tag in _markup(path, rels, content).tags():
        if tag.name != "Relationship" or tag.closing:
            continue
        given = tag.attributes()
        if given.get("TargetMode", "").lower() == "external":
            continue
        target = urllib.parse.unquote(given.get("Target", "")).replace("\\", "/").partition("#")[0]
        joined = target if target.startswith("/") else posixpath.join("/" + folder, target)
        kind = given.get("Type", "")
        if kind.startswith(_STRICT):
            raise WorkbookError(f"{path.name}: is saved as Strict Open XML; save it as a plain .xlsx workbook")
        yield Relation(given.get("Id", ""), kind.rpartition("/")[2], posixpath.normpath(joined).lstrip("/"))


def _check_structure(path: Path, name: str, part: Part) -> None:
    if part.size > STRUCTURE_LIMIT:
        raise WorkbookError(f"{path.name}: part {name} unpacks to more than {STRUCTURE_LIMIT // MIB} MiB")


def _markup(path: Path, part: str, content: bytes, root: str = "", namespace: str | None = None) -> Markup:
    try:
        return Markup(content, root=root, namespace=namespace)
    except MarkupError as error:
        raise WorkbookError(f"{path.name}: part {part} {error}") from error


def _describe(path: Path, sha256: str, parts: Mapping[str, Part], archive: zipfile.ZipFile) -> Package:
    def read(name: str) -> bytes:
        found = _find(parts, name)
        if found is None:
            raise WorkbookError(f"{path.name}: part {name} is missing")
        _check_structure(path, found, parts[found])
        return archive.read(found)

    if _find(parts, "[Content_Types].xml") is None:
        if "content.xml" in parts:
            raise WorkbookError(f"{path.name}: is an OpenDocument file; save it as .xlsx")
        raise WorkbookError(f"{path.name}: is a zip file but no workbook: part [Content_Types].xml is missing")
    top = list(_relations(path, "_rels/.rels", read("_rels/.rels"), ""))
    main = next((link.target for link in top if link.kind == "officeDocument"), None)
    workbook = _find(parts, main) if main else None
    if workbook is None:
        raise WorkbookError(f"{path.name}: part {main or 'workbook.xml'} is missing")
    macros = _workbook_type(path, read("[Content_Types].xml"), workbook)
    folder, name = posixpath.split(workbook)
    rels = posixpath.join(folder, "_rels", name + ".rels")
    links = {link.id: link for link in _relations(path, rels, read(rels), folder)}
    book = _Book(path, parts, links, _markup(path, workbook, read(workbook), "workbook", MAIN))

    whole = {workbook, "[Content_Types].xml"}
    for link in (*top, *links.values()):
        if link.kind in ("sharedStrings", "styles", "theme", "metadata") or "properties" in link.kind.lower():
            found = _find(parts, link.target)
            if found is not None:
                whole.add(found)
            elif link.kind in ("sharedStrings", "styles"):
                raise WorkbookError(f"{path.name}: part {link.target} is missing")
    shared = sum(parts[part].size for part in whole)
    if shared > SHARED_LIMIT:
        raise WorkbookError(
            f"{path.name}: shared strings, styles and workbook unpack to {shared / MIB:.0f} MiB together, "
            f"the limit is {SHARED_LIMIT // MIB} MiB"
        )
    kinds = {link.kind for link in (*top, *links.values())}
    styles = next((link.target for link in links.values() if link.kind == "styles"), None)
    return Package(
        path=path,
        sha256=sha256,
        parts=parts,
        sheets=tuple(book.sheets),
        workbook=workbook,
        styles=_find(parts, styles) if styles else None,
        macros=macros,
        date1904=book.date1904,
        signed="origin" in kinds or any(part.lower().startswith("_xmlsignatures/") for part in parts),
        shared_revisions="revisionHeaders" in kinds,
        recalculates_on_load=book.recalculates,
        calculation=book.calculation,
        print_areas=MappingProxyType(book.print_areas),
    )


def _workbook_type(path: Path, content: bytes, workbook: str) -> bool:
    """Whether the workbook carries macros; refuses a package that is something else."""
    kinds: dict[str, str] = {}
    for tag in _markup(path, "[Content_Types].xml", content).tags():
        if tag.closing or tag.name not in ("Default", "Override"):
            continue
        given = tag.attributes()
        name = given.get("PartName", "").lstrip("/") if tag.name == "Override" else "." + given.get("Extension", "")
        kinds[name.casefold()] = given.get("ContentType", "")
    kind = kinds.get(workbook.casefold()) or kinds.get(posixpath.splitext(workbook)[1].casefold(), "")
    if kind in _WORKBOOK_TYPES:
        return _WORKBOOK_TYPES[kind]
    if "binary" in kind:
        raise WorkbookError(f"{path.name}: is a binary workbook (.xlsb); save it as .xlsx")
    raise WorkbookError(f"{path.name}: is no workbook: its main part is of type {kind or 'unknown'!r}")


class _Book:
    """What the workbook part says: sheets, date system, calculation, print areas."""

    def __init__(self, path: Path, parts: Mapping[str, Part], links: Mapping[str, Relation], markup: Markup) -> None:
        self.sheets: list[Sheet] = []
        self._names: set[str] = set()
        self._of_part: dict[str, str] = {}
        self.date1904 = self.recalculates = False
        self.calculation = "auto"
        self.print_areas: dict[str, str] = {}
        areas: list[tuple[str, str]] = []
        for tag in markup.tags():
            if tag.closing or tag.prefix != markup.prefix:
                continue
            given = tag.attributes()
            if tag.name == "sheet":
                self._sheet(path, parts, links, given)
            elif tag.name == "workbookPr":
                self.date1904 = flag(given.get("date1904"))
            elif tag.name == "calcPr":
                self.recalculates = flag(given.get("fullCalcOnLoad"))
                self.calculation = given.get("calcMode", "auto")
            elif tag.name == "definedName" and given.get("name") == "_xlnm.Print_Area" and not tag.empty:
                areas.append((given.get("localSheetId", ""), markup.string(tag.end)))
        for index, area in areas:
            if index.isdecimal() and int(index) < len(self.sheets):
                self.print_areas[self.sheets[int(index)].name] = area
        if not self.sheets:
            raise WorkbookError(f"{path.name}: has no sheet")

    def _sheet(
        self, path: Path, parts: Mapping[str, Part], links: Mapping[str, Relation], given: Mapping[str, str]
    ) -> None:
        name = given.get("name", "")
        link = links.get(next((value for key, value in given.items() if key.endswith(":id")), ""))
        part = _find(parts, link.target) if link else None
        if link is None or part is None:
            raise WorkbookError(f"{path.name}: sheet {name!r}: its part is missing")
        if name.casefold() in self._names:
            raise WorkbookError(f"{path.name}: there are two sheets called {name!r}")
        if part in self._of_part:
            raise WorkbookError(f"{path.name}: sheets {self._of_part[part]!r} and {name!r} are one part ({part})")
        self._of_part[part] = name
        self._names.add(name.casefold())
        if len(self._names) > SHEETS_LIMIT:
            raise WorkbookError(f"{path.name}: has more than {SHEETS_LIMIT} sheets")
        self.sheets.append(Sheet(name, part, given.get("state", "visible"), link.kind))


def flag(value: str | None) -> bool:
    """A yes or no as the format writes it.

    >>> flag("1"), flag("true"), flag("0"), flag(None)
    (True, True, False, False)
    """
    return value is not None and value.strip().lower() in ("1", "true", "on")
