"""The shared texts of a workbook: the part is kept as bytes, and a text is made when a cell names it."""

import re
import zipfile
from array import array
from collections.abc import Sequence
from typing import overload
from xml.etree import ElementTree
from xml.sax.saxutils import quoteattr

from addin.workbooks.cell_text import unescaped
from addin.workbooks.markup import MAIN, Markup, MarkupError, tags, unescape
from addin.workbooks.package import MIB, Package, WorkbookError

READER_FAULTS = (ValueError, KeyError, TypeError, AttributeError, IndexError, OverflowError, SyntaxError,
                 zipfile.BadZipFile)  # fmt: skip
"""Ways of failing on a part that is well-formed XML but no proper workbook."""

_KEPT = 8 * MIB
"""Memory of the texts that are kept because another cell may name them too. [bytes]"""


Run = tuple[str | None, str]
"""A piece of a text in one face: the properties of the face as elements without prefix, None for the cell's own."""


class SharedTexts(Sequence[str]):
    """Every shared text in its order, runs joined, without phonetic hints.

    content : the part, or None where the workbook has none; where, part : its file and name, for what is said of it.
    Raises WorkbookError for a part that is no list of texts.
    """

    def __init__(self, content: bytes | None, where: str, part: str = "sharedStrings") -> None:
        self._plain, self._content = b"", b""
        self._starts, self._made, self._size = array("L"), dict[int, str](), 0
        if content is None:
            return
        try:
            markup = Markup(content, root="sst", namespace=MAIN)
        except MarkupError as error:
            raise WorkbookError(f"{where}: its shared texts are damaged (part {part} {error})") from error
        self._plain, self._content = bytes(markup.plain), content
        p = re.escape(markup.prefix)
        self._starts.extend(found.start() for found in re.finditer(rb"<" + p + rb"si[\s/>]", self._plain))
        self._whole = re.compile(
            rb"<" + p + rb"si><" + p + rb"t(?: xml:space=\"preserve\")?>([^<]*)</" + p + rb"t></" + p + rb"si>"
        )

    @classmethod
    def of(cls, package: Package) -> "SharedTexts":
        """Those of a workbook. Raises WorkbookError."""
        part = next((link.target for link in package.relations(package.workbook) if link.kind == "sharedStrings"), None)
        there = part is not None and part in package.parts
        return cls(package.read(part) if part is not None and there else None, package.path.name, part or "")

    @property
    def content(self) -> bytes:
        """The part as it was given, nothing where there is none."""
        return self._content

    def __len__(self) -> int:
        return len(self._starts)

    @overload
    def __getitem__(self, index: int) -> str: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[str]: ...
    def __getitem__(self, index: int | slice) -> str | Sequence[str]:
        if isinstance(index, slice):
            return [self[k] for k in range(*index.indices(len(self)))]
        made = self._made.get(index)
        if made is None:
            start = self._starts[index]
            found = self._whole.match(self._content, start)
            made = found[1].decode() if found else "".join(text for _, text in self.runs(index))
            made = unescaped(unescape(made) if found and "&" in made else made)
            if self._size > _KEPT:
                self._made, self._size = {}, 0
            self._made[index] = made
            self._size += 200 + len(made) * (1 if made.isascii() else 4)
        return made

    def runs(self, index: int) -> list[Run]:
        """One text as it stands, run by run."""
        return text_runs(self._plain, self._content, self._starts[index])


def text_runs(plain: bytes, content: bytes, start: int = 0) -> list[Run]:
    """The runs of the text whose element begins at `start`: a shared one, or that of a cell which holds it itself.

    plain, content : the part with its comments blanked out, and as it came.

    >>> cell = b'<is><r><rPr><b/><sz val="9"/></rPr><t>HW-</t></r><r><t>3</t></r><rPh sb="0" eb="1"><t>?</t></rPh></is>'
    >>> text_runs(cell, cell)
    [('<b/><sz val="9"/>', 'HW-'), (None, '3')]
    """
    runs: list[Run] = []
    phonetic, face, end = 0, None, ""
    in_face = False
    for tag in tags(plain, start):
        if tag.name == end and tag.closing or (not end and tag.empty):
            break
        end = end or tag.name
        if tag.name == "rPh" and not tag.empty:
            phonetic += -1 if tag.closing else 1
        elif tag.name == "r" and not tag.empty:
            face = None
        elif tag.name == "rPr":
            in_face = not tag.closing and not tag.empty
            face = "" if in_face else face
        elif in_face and not tag.closing:
            face = (face or "") + f"<{tag.name}{''.join(f' {k}={quoteattr(v)}' for k, v in tag.attributes().items())}/>"
        elif tag.name == "t" and not tag.closing and not tag.empty and not phonetic:
            runs.append((face, _text(content[tag.end : plain.find(b"<", tag.end)])))
    return runs


def _text(raw: bytes) -> str:
    """The text between two tags; one with a comment or a marked section in it is read by a parser."""
    if b"<" not in raw:
        return unescape(raw.decode())
    return ElementTree.fromstring(b"<t>" + raw + b"</t>").text or ""
