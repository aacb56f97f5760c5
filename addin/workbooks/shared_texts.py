"""The shared texts of a workbook: the part is kept as bytes, and a text is made when a cell names it."""

import re
import zipfile
from array import array
from collections.abc import Sequence
from typing import overload

from addin.workbooks.cell_text import unescaped
from addin.workbooks.markup import MAIN, Markup, MarkupError, tags, unescape
from addin.workbooks.package import MIB, Package, WorkbookError

READER_FAULTS = (ValueError, KeyError, TypeError, AttributeError, IndexError, OverflowError, SyntaxError,
                 zipfile.BadZipFile)  # fmt: skip
"""Ways of failing on a part that is well-formed XML but no proper workbook."""

TEXTS_LIMIT = 96 * MIB
"""Most memory that the texts which cells name may take. [bytes]"""


class SharedTexts(Sequence[str]):
    """Every shared text in its order, runs joined, without phonetic hints.

    Raises WorkbookError for a part that is no list of texts.
    """

    def __init__(self, package: Package) -> None:
        self._name = package.path.name
        self._plain, self._starts, self._made, self._size = b"", array("L"), dict[int, str](), 0
        part = next((link.target for link in package.relations(package.workbook) if link.kind == "sharedStrings"), None)
        if part is None or part not in package.parts:
            return
        try:
            markup = Markup(package.read(part), root="sst", namespace=MAIN)
        except MarkupError as error:
            raise WorkbookError(f"{self._name}: its shared texts are damaged (part {part} {error})") from error
        self._plain = markup.plain
        p = re.escape(markup.prefix)
        self._starts.extend(found.start() for found in re.finditer(rb"<" + p + rb"si[\s/>]", self._plain))
        self._whole = re.compile(
            rb"<" + p + rb"si><" + p + rb"t(?: xml:space=\"preserve\")?>([^<]*)</" + p + rb"t></" + p + rb"si>"
        )

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
            found = self._whole.match(self._plain, start)
            made = unescape(found[1].decode()) if found else self._pieces(start)
            made = unescaped(made)
            self._made[index] = made
            self._size += 100 + len(made) * (1 if made.isascii() else 4)
            if self._size > TEXTS_LIMIT:
                raise WorkbookError(f"{self._name}: its shared texts take more than {TEXTS_LIMIT // MIB} MiB")
        return made

    def _pieces(self, start: int) -> str:
        """A text in runs, or in any other form."""
        texts, phonetic = [], 0
        for tag in tags(self._plain, start):
            if tag.name == "si" and (tag.closing or tag.empty):
                break
            if tag.name == "rPh" and not tag.empty:
                phonetic += -1 if tag.closing else 1
            elif tag.name == "t" and not tag.closing and not tag.empty and not phonetic:
                texts.append(unescape(self._plain[tag.end : self._plain.find(b"<", tag.end)].decode()))
        return "".join(texts)
