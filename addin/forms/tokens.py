"""Tokens of a template: how they are written, what they stand for, and what a sheet is filled with."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

Value = str | int | float | None

TOKEN = re.compile(r"\{\{\s*([^{}]+?)\s*\}\}")
_HIDE = "hide row if no "


class TemplateError(ValueError):
    """A template or a card that cannot be filled; the message is one line for the user."""


@dataclass(frozen=True)
class PictureArea:
    """Room for a picture: column and row of its upper left cell, from 0; place on the sheet and size. [EMU]"""

    column: int
    row: int
    left: int
    top: int
    width: int
    height: int


Picture = Callable[[PictureArea, int], str]
"""Makes one anchored drawing for an area; the number is the first free shape id."""


@dataclass(frozen=True)
class Vocabulary:
    """The tokens a kind of sheet knows.

    values : single ones; groups : those of repeating rows, by the name of the group; required : sets of alternatives,
    one of each must stand in the template; exact : tokens whose number format must not hide a digit; lists : groups
    whose last row is repeated where the template has too few; spare : groups that may be cut short.
    """

    values: frozenset[str]
    groups: Mapping[str, frozenset[str]]
    pictures: frozenset[str] = frozenset()
    required: Sequence[Sequence[str]] = ()
    exact: frozenset[str] = frozenset()
    lists: frozenset[str] = frozenset()
    spare: frozenset[str] = frozenset()

    def __hash__(self) -> int:
        return hash((self.values, self.pictures, *self.groups))

    @property
    def everything(self) -> frozenset[str]:
        """Every token, those of repeating rows as `group.token`."""
        inner = {f"{group}.{key}" for group, keys in self.groups.items() for key in keys}
        return self.values | self.pictures | inner


@dataclass(frozen=True)
class Filling:
    """What one sheet is filled with.

    groups : repeating rows; needs : places this sheet cannot do without, each a set of alternatives such as
    `pass.3.set`.
    """

    values: Mapping[str, Value]
    groups: Mapping[str, Sequence[Mapping[str, Value]]] = field(default_factory=dict)
    pictures: Mapping[str, Picture] = field(default_factory=dict)
    needs: Sequence[Sequence[str]] = ()


@dataclass(frozen=True)
class TokenPlace:
    """One token where it stands. kind : value, picture, hide or unknown; index : of the repeating row, from 0."""

    text: str
    name: str
    group: str = ""
    index: int = 0
    kind: str = "value"

    @property
    def token(self) -> str:
        """The token as the vocabulary knows it."""
        return f"{self.group}.{self.name}" if self.group else self.name

    @property
    def label(self) -> str:
        """The token with the number of its row."""
        return f"{self.group}.{self.index + 1}.{self.name}" if self.group else self.name

    @property
    def prints(self) -> bool:
        """Whether the token leaves something in its cell."""
        return self.kind in ("value", "unknown")

    def value(self, filling: Filling) -> Value:
        """What comes in its place."""
        if self.kind != "value":
            return self.text if self.kind == "unknown" else None
        if not self.group:
            return filling.values.get(self.name)
        entries = filling.groups.get(self.group, ())
        return entries[self.index].get(self.name) if self.index < len(entries) else None

    def hides(self, filling: Filling) -> bool:
        """Whether the row it stands in is hidden."""
        if self.kind != "hide":
            return False
        if self.group:
            return self.index >= len(filling.groups.get(self.group, ()))
        return filling.values.get(self.name) in (None, "")


class Finder:
    """Finds tokens from the top of a sheet down, counting the rows of each repeating group."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self._known = vocabulary
        self._rows: dict[str, list[int]] = {group: [] for group in vocabulary.groups}

    def split(self, text: str, row: int) -> list[str | TokenPlace]:
        """A text as plain pieces and tokens.

        >>> known = Vocabulary(frozenset({"joint"}), {"pass": frozenset({"set"})})
        >>> [getattr(part, "label", part) for part in Finder(known).split("{{Joint}}: {{pass.set}}", 5)]
        ['joint', ': ', 'pass.1.set']
        """
        return list(self._pieces(text, row))

    def _pieces(self, text: str, row: int) -> Iterator[str | TokenPlace]:
        position = 0
        for match in TOKEN.finditer(text):
            if match.start() > position:
                yield text[position : match.start()]
            yield self._place(match[0], match[1], row)
            position = match.end()
        if position < len(text):
            yield text[position:]

    def _place(self, text: str, inner: str, row: int) -> TokenPlace:
        name = " ".join(inner.lower().replace("_", " ").split())
        kind = "value"
        if name.startswith(_HIDE):
            kind, name = "hide", name[len(_HIDE) :]
        group, dot, key = name.partition(".")
        if kind == "hide" and group in self._known.groups and not dot:
            return TokenPlace(text, "", group, self._index(group, row), kind)
        if name in self._known.values:
            return TokenPlace(text, name, kind=kind)
        if name in self._known.pictures and kind == "value":
            return TokenPlace(text, name, kind="picture")
        keys = self._known.groups.get(group, frozenset())
        number, _, rest = key.partition(".")
        if number.isdecimal() and int(number) and rest in keys:
            return TokenPlace(text, rest, group, int(number) - 1)
        if key in keys and kind == "value":
            return TokenPlace(text, key, group, self._index(group, row))
        return TokenPlace(text, name, kind="unknown")

    def _index(self, group: str, row: int) -> int:
        rows = self._rows[group]
        if row not in rows:
            rows.append(row)
        return rows.index(row)


def plain(value: Value) -> str:
    """A value inside a text: numbers with the digits they have, no separators.

    >>> plain(5200.0), plain(12.5), plain(None)
    ('5200', '12.5', '')
    """
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    return str(int(value)) if float(value).is_integer() else repr(float(value))


def clean(text: str) -> str:
    r"""Text as it may stand in a cell: no characters that XML forbids, nothing the program would read as an escape.

    >>> clean("a\x07b"), clean("_x0041_")
    ('a\ufffdb', '_x005F_x0041_')
    """
    text = re.sub("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]", "\ufffd", text.replace("\r\n", "\n"))
    return re.sub(r"_(?=x[0-9A-Fa-f]{4}_)", "_x005F_", text)
