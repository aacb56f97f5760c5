"""XML parts of a workbook as bytes with positions, so that they can be patched without being written anew.

A real parser (expat) first proves that the part is well-formed, has no DTD and one meaning for its main namespace;
comments and the like are then blanked out in place. After that a tag is what the pattern here finds, and nothing else.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from xml.parsers import expat

from addin.workbooks.long_part import Content, LongPart, passed

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
ATTRIBUTES = rb"""(?:\s+[^\s=<>"']+\s*=\s*(?:"[^"<]*"|'[^'<]*'))*"""
"""Pattern of the attributes of one tag."""

_TAG = re.compile(rb"<(/?)([^\s/<>!?:]+:)?([^\s/<>!?:]+)(" + ATTRIBUTES + rb")\s*(/?)>")
_ATTRIBUTE = re.compile(rb"""\s+([^\s=<>"']+)\s*=\s*(?:"([^"]*)"|'([^']*)')""")
_REFERENCE = re.compile(r"&(?:#x([0-9a-fA-F]+)|#([0-9]+)|(lt|gt|amp|quot|apos));")
_NAMED = {"lt": "<", "gt": ">", "amp": "&", "quot": '"', "apos": "'"}
_DECLARED = re.compile(rb"""<\?xml\s[^>]*?encoding\s*=\s*["']([A-Za-z0-9._-]+)["']""")
_PROLOG = re.compile(rb"(?:\s+|<\?.*?\?>|<!--.*?-->)*", re.DOTALL)
_PLAIN_ENCODINGS = re.compile(
    r"utf-?8|us-ascii|ascii|iso-?8859-\d+|latin-?1|windows-125\d|koi8-[ru]|gb2312|gbk|gb18030|big5|shift_jis|euc-(jp|kr)"
)
_PROLOG_LIMIT = 64 * 1024
SPACE_LIMIT = 4096
"""Most white space that a part may begin with: what stands behind more is not looked at, and could be a DTD. [bytes]"""
_MIB = 1024 * 1024
_PIECE = 4 * _MIB
DEPTH_LIMIT = 1000
"""Most elements that may stand inside each other; a parser keeps something for each."""


class MarkupError(Exception):
    """A part cannot be used; the message goes on from 'part NAME'."""


def prolog_fault(head: bytes, name: str) -> str:
    """What is wrong with the beginning of a part, or '': a DTD, or an encoding in which one could hide.

    >>> prolog_fault(b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>', "xl/workbook.xml")
    'has a DTD, which no workbook needs'
    >>> prolog_fault(b"<a/>", "xl/workbook.xml")
    ''
    """
    named = name.lower().endswith((".xml", ".rels", ".vml"))
    if head.startswith((b"\xff\xfe\0\0", b"\0\0\xfe\xff", b"<\0\0\0", b"\0\0\0<", b"\x4c\x6f\xa7\x94")):
        return "is in an encoding that is not read here"
    if head.startswith((b"\xff\xfe", b"\xfe\xff", b"<\0", b"\0<")):
        codec = "utf-16-le" if head.startswith((b"\xff\xfe", b"<\0")) else "utf-16-be"
        head = head[: len(head) // 2 * 2].decode(codec, "replace").lstrip("\ufeff").encode("utf-8", "replace")
    else:
        head = head.removeprefix(b"\xef\xbb\xbf")
        declared = _DECLARED.match(head)
        if declared and not _PLAIN_ENCODINGS.fullmatch(declared[1].decode("ascii").lower()):
            return f"is in encoding {declared[1].decode('ascii')!r}, which is not read here"
    if len(head) - len(head.lstrip()) > SPACE_LIMIT:
        return f"begins with more than {SPACE_LIMIT} blanks or line ends"
    if not head.lstrip().startswith(b"<"):
        return "is not XML" if named and head.strip() else ""
    found = _PROLOG.match(head[: 2 * _PROLOG_LIMIT])
    rest = head[found.end() if found else 0 :]
    if rest.startswith(b"<!DOCTYPE"):
        return "has a DTD, which no workbook needs"
    if not re.match(rb"<[^!?\s]", rest) and (named or rest.startswith((b"<!", b"<?"))):
        return "does not begin as XML does"
    return ""


@dataclass(frozen=True, slots=True)
class Tag:
    """One tag: where it begins and ends, its prefix (with the colon) and name, and its attributes as written."""

    start: int
    end: int
    prefix: bytes
    name: str
    raw: bytes
    closing: bool
    empty: bool

    def attributes(self) -> dict[str, str]:
        """The attributes with their values as a reader sees them."""
        return attributes(self.raw)


class Markup:
    """A part that is proven well-formed. `content` is as it came, `plain` has its comments blanked out in place."""

    def __init__(self, content: Content, *, root: str = "", namespace: str | None = None) -> None:
        """Check a part; with `root` and `namespace` its first element must be that one.

        Raises MarkupError.
        """
        self.content = content
        self.plain: Content = content
        self.prefix = b""
        self._check(root, namespace)

    def _check(self, root: str, namespace: str | None) -> None:
        head = self.content[:_MIB]
        fault = prolog_fault(head[: 256 * 1024], "x.xml") or ("is empty" if not head.strip() else "")
        if fault:
            raise MarkupError(fault)
        declared = _DECLARED.match(head.removeprefix(b"\xef\xbb\xbf"))
        encoding = declared[1].decode("ascii").lower() if declared else "utf-8"
        if encoding not in ("utf-8", "utf8", "us-ascii", "ascii") or b"\0" in self.content[:4]:
            raise MarkupError(f"is in encoding {encoding!r}; only UTF-8 is read here")
        _check_lengths(self.content)
        seen = _Seen(self.content, namespace)
        parser = expat.ParserCreate("utf-8", " ")
        seen.watch(parser, depth=not _plainly_shallow(self.content))
        try:
            for start in range(0, len(self.content), _PIECE):
                parser.Parse(self.content[start : start + _PIECE], False)
                passed(self.content, start)
            parser.Parse(b"", True)
        except expat.ExpatError as error:
            raise MarkupError(f"is not well-formed XML ({error})") from error
        finally:
            seen.release()
        if root and seen.root != (f"{namespace} {root}" if namespace else root):
            raise MarkupError("is not the kind of part it should be (spreadsheetml)")
        if seen.clash:
            raise MarkupError("gives its main namespace two names; open and save it in a spreadsheet program first")
        if seen.masked:
            self.plain = _masked(self.content, seen.masked)
        self.prefix = (seen.main + ":").encode() if seen.main else b""

    def tags(self, start: int = 0, end: int | None = None) -> Iterator[Tag]:
        """Every tag between two positions, in order."""
        return tags(self.plain, start, len(self.plain) if end is None else end)

    def string(self, start: int) -> str:
        """The text from a position up to the next tag."""
        end = self.plain.find(b"<", start)
        return unescape(self.plain[start : len(self.plain) if end < 0 else end].decode("utf-8"))


def _masked(content: Content, ranges: Sequence[tuple[int, int, bytes]]) -> Content:
    """The part with ranges of it filled with one sign."""

    def pieces() -> Iterator[bytes]:
        done = 0
        for start, end, fill in ranges:
            for place in range(done, start, _PIECE):
                yield content[place : min(start, place + _PIECE)]
            yield fill * (end - start)
            done = end
        for place in range(done, len(content), _PIECE):
            yield content[place : place + _PIECE]

    return b"".join(pieces()) if isinstance(content, bytes) else LongPart.of(pieces())


def _check_lengths(content: Content) -> None:
    """Refuse a tag or a text of more than 1 MiB: a cell holds far less, and a parser keeps each one whole."""
    place = 0
    while place + _MIB < len(content):
        after = content.rfind(b"<", place + 1, place + _MIB)
        if after < 0:
            raise MarkupError("has a tag or a text of more than 1 MiB")
        place = after
        passed(content, place)


def _plainly_shallow(content: Content) -> bool:
    """Whether counting signs proves that few elements stand inside each other; if not, the parser has to count.

    Without comments and the like every "<" begins a tag. When those that are neither closing nor empty are as many as
    the closing ones, no "/>" stands in a text, and the same count up to any place gives the depth there.
    """
    if b"<!" in content or content.find(b"<?", 5) >= 0:
        return False
    depth = -1 if content.find(b"<?", 0, 5) >= 0 else 0
    for start in range(0, len(content), _MIB):
        piece = content[max(0, start - 1) : start + _MIB]  # a sign of two characters counts where its second one stands
        opened = piece.count(b"<", 1 if start else 0)
        depth += opened - 2 * piece.count(b"</") - piece.count(b"/>")
        passed(content, start)
        if depth > DEPTH_LIMIT:
            raise MarkupError(f"has more than {DEPTH_LIMIT} elements inside each other")
    return depth == 0


class _Seen:
    """What the parser met on its way."""

    def __init__(self, content: Content, namespace: str | None) -> None:
        self.root = ""
        self.main: str | None = None
        self.clash = False
        self.masked: list[tuple[int, int, bytes]] = []
        self._content: Content = content
        self._namespace = namespace

    def release(self) -> None:
        """Let go of the part: parser and handlers hold each other, and would hold it until the next collection."""
        self._content = b""

    def watch(self, parser: "expat.XMLParserType", *, depth: bool) -> None:
        inside = 0

        def first(name: str, _given: object) -> None:
            self.root = name
            parser.StartElementHandler = deeper if depth else None

        def deeper(_name: str, _given: object) -> None:
            nonlocal inside
            inside += 1
            if inside > DEPTH_LIMIT:
                raise MarkupError(f"has more than {DEPTH_LIMIT} elements inside each other")

        def back(_name: str) -> None:
            nonlocal inside
            inside -= 1

        def bound(prefix: str | None, uri: str | None) -> None:
            prefix = prefix or ""
            if uri == self._namespace:
                self.clash = self.clash or (self.main is not None and self.main != prefix)
                self.main = prefix
            elif self.main == prefix:
                self.clash = True

        def doctype(*_given: object) -> None:
            raise MarkupError("has a DTD, which no workbook needs")

        def blank(fill: bytes, ending: bytes) -> None:
            start = parser.CurrentByteIndex
            end = self._content.find(ending, start) + len(ending)
            if end > start:  # else it does not end, which the parser will say
                self.masked.append((start, end, fill))

        parser.StartElementHandler = first
        if depth:
            parser.EndElementHandler = back
        parser.StartNamespaceDeclHandler = bound
        parser.StartDoctypeDeclHandler = doctype
        parser.CommentHandler = lambda _text: blank(b" ", b"-->")
        parser.ProcessingInstructionHandler = lambda _target, _text: blank(b" ", b"?>")
        parser.StartCdataSectionHandler = lambda: blank(b"x", b"]]>")


def tags(plain: Content, start: int = 0, end: int | None = None) -> Iterator[Tag]:
    """Every tag of bytes that are known to be well-formed and without comments."""
    for found in _TAG.finditer(plain, start, len(plain) if end is None else end):
        closing, prefix, name, raw, empty = found.groups()
        yield Tag(found.start(), found.end(), prefix or b"", name.decode("utf-8"), raw, bool(closing), bool(empty))


def opening(element: bytes) -> dict[str, str]:
    """The attributes of the tag that these bytes begin with.

    >>> opening(b'<c r="A1" t="inlineStr"><is><t xml:space="preserve"> x</t></is></c>')
    {'r': 'A1', 't': 'inlineStr'}
    """
    found = _TAG.match(element)
    return attributes(found[4]) if found else {}


def attributes(raw: bytes) -> dict[str, str]:
    """The attributes of a tag from their bytes.

    >>> attributes(b''' r="A1" t='s' name="a &amp; b"''')
    {'r': 'A1', 't': 's', 'name': 'a & b'}
    """
    return {
        name.decode("utf-8"): unescape((double or single).decode("utf-8"))
        for name, double, single in _ATTRIBUTE.findall(raw)
    }


def set_attribute(tag: bytes, name: bytes, value: bytes | None) -> bytes:
    """Bytes that begin with a start tag, with one of its attributes set: replaced where it stands, or added at its end;
    taken away where there is no value. The value is written as it is given.

    >>> set_attribute(b'<row r="3" spans="1:8">', b"spans", b"1:14")
    b'<row r="3" spans="1:14">'
    >>> set_attribute(b"<calcPr/>", b"fullCalcOnLoad", b"1")
    b'<calcPr fullCalcOnLoad="1"/>'
    >>> set_attribute(b'<row r="1" ht="12">', b"ht", None)
    b'<row r="1">'
    """
    whole = _TAG.match(tag)
    if whole is None:
        raise ValueError(f"no start tag: {tag[:80]!r}")
    for found in _ATTRIBUTE.finditer(tag, whole.start(4), whole.end(4)):
        if found[1] == name:
            if value is None:
                return tag[: found.start()] + tag[found.end() :]
            group = 2 if found[2] is not None else 3
            return tag[: found.start(group)] + value + tag[found.end(group) :]
    if value is None:
        return tag
    return tag[: whole.end(4)] + b" " + name + b'="' + value + b'"' + tag[whole.end(4) :]


def edited(content: bytes, edits: Iterable[tuple[int, int, bytes]]) -> bytes:
    """Bytes with new ones in the place of those between two positions; the edits do not overlap.

    >>> edited(b"<a/><b/>", [(4, 8, b"<c/>"), (0, 0, b"<x/>")])
    b'<x/><a/><c/>'
    """
    pieces, done = [], 0
    for start, end, new in sorted(edits):
        pieces += [content[done:start], new]
        done = end
    return b"".join([*pieces, content[done:]])


def unescape(text: str) -> str:
    """Text with its character references put in.

    >>> unescape("&lt;&#65;&#x42;&amp;lt;")
    '<AB&lt;'
    """

    def put(found: re.Match[str]) -> str:
        hexadecimal, decimal, named = found.groups()
        return _NAMED[named] if named else chr(int(hexadecimal, 16) if hexadecimal else int(decimal))

    return _REFERENCE.sub(put, text) if "&" in text else text
