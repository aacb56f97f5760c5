"""Parts of a workbook package: names, relations, content types, and the zip file that is written from them."""

import re
import zipfile
from pathlib import Path, PurePosixPath
from xml.etree import ElementTree
from xml.sax.saxutils import quoteattr

from addin.forms.form_scan import OFFICE
from addin.forms.tokens import TemplateError
from addin.workbooks.package import WorkbookError, open_package

TYPES = "[Content_Types].xml"

_RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
_EMPTY = (
    f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<Relationships xmlns="{_RELATIONS}"></Relationships>'
)


class Parts(dict[str, bytes]):
    """Every part of a template by its name, and their content types."""

    def __init__(self, path: Path) -> None:
        try:
            self._package = package = open_package(path)
            super().__init__((name, package.read(name)) for name in package.parts if not name.endswith("/"))
        except WorkbookError as error:
            raise TemplateError(str(error)) from error
        self.workbook, self.macros = package.workbook, package.macros
        self.types = {
            item.get("PartName", "").lstrip("/"): item.get("ContentType", "")
            for item in ElementTree.fromstring(self[TYPES])
            if item.tag.endswith("}Override")
        }

    def relations(self, part: str) -> list[tuple[str, str, str]]:
        """Relations of a part to others of the package: (kind, part, id); links that lead outside are left out."""
        try:
            return [(link.kind, link.target, link.id) for link in self._package.relations(part)]
        except WorkbookError as error:
            raise TemplateError(str(error)) from error

    def related(self, part: str, kind: str) -> str | None:
        """The first part of a kind that a part refers to."""
        return next((target for found, target, _ in self.relations(part) if found == kind), None)

    def relations_xml(self, part: str) -> str:
        """Relations of a part as they stand, open for more."""
        xml = self.get(relations_part(part))
        return (
            _EMPTY
            if xml is None
            else re.sub(r"<Relationships([^>]*)/>", r"<Relationships\1></Relationships>", xml.decode())
        )


class Out:
    """The workbook being written: part names in use, content types, parts written so far."""

    def __init__(self, book: zipfile.ZipFile, parts: Parts) -> None:
        self.types = dict(parts.types)
        self.written: set[str] = set()
        self._book = book
        self._names = set(parts)
        self._next: dict[str, int] = {}

    def free(self, part: str) -> str:
        """A part name like this one that nothing has yet."""
        path = PurePosixPath(part)
        number = self._next.get(part, 1)
        name = part
        while name in self._names:
            number += 1
            name = str(path.with_name(f"{path.stem}-{number}{path.suffix}"))
        self._next[part] = number
        self._names.add(name)
        return name

    def write(self, part: str, data: str | bytes) -> None:
        """Write one part. The date is fixed, so the same plan gives the same file."""
        info = zipfile.ZipInfo(part, (1980, 1, 1, 0, 0, 0))
        info.compress_type = zipfile.ZIP_DEFLATED
        info.external_attr = 0o644 << 16
        self._book.writestr(info, data, compresslevel=4)
        self.written.add(part)

    def write_types(self, types: str) -> None:
        """Write the content types: the template's, with the parts that are there now."""
        xml = re.sub(r"<(?:\w+:)?Override\s[^>]*?(/>|></(?:\w+:)?Override>)", "", types)
        prefix = re.search(r"<(\w+:)?Types\b", xml)
        mark = (prefix[1] or "") if prefix else ""
        items = "".join(
            f"<{mark}Override PartName={quoteattr('/' + part)} ContentType={quoteattr(kind)}/>"
            for part, kind in self.types.items()
            if part in self.written
        )
        self.write(TYPES, xml.replace(f"</{mark}Types>", f"{items}</{mark}Types>"))


def relations_part(part: str) -> str:
    """Name of the part that holds a part's relations.

    >>> relations_part("xl/workbook.xml")
    'xl/_rels/workbook.xml.rels'
    """
    folder, _, name = part.rpartition("/")
    return f"{folder}/_rels/{name}.rels" if folder else f"_rels/{name}.rels"


def has_relations(xml: str) -> bool:
    """Whether any relation stands in it."""
    return re.search(r"<(?:\w+:)?Relationship\s", xml) is not None


def add_relation(xml: str, identity: str, kind: str, part: str) -> str:
    """Relations with one more."""
    item = f'<Relationship xmlns="{_RELATIONS}" Id="{identity}" Type="{OFFICE}/{kind}" Target={quoteattr("/" + part)}/>'
    end = xml.rindex("</")
    return xml[:end] + item + xml[end:]


def retarget(xml: str, identity: str, part: str) -> str:
    """Relations with one of them leading to another part."""

    def replace(match: re.Match[str]) -> str:
        if re.search(rf"""\sId=["']{re.escape(identity)}["']""", match[0]) is None:
            return match[0]
        return re.sub(r"""\sTarget=("[^"]*"|'[^']*')""", lambda _: f" Target={quoteattr('/' + part)}", match[0])

    return re.sub(r"<(?:\w+:)?Relationship\s[^>]*>", replace, xml)
