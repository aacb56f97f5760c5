"""Rows of a sheet part that are written like rows before them: one pattern takes all cells of such a row at once."""

import re
from collections.abc import Sequence

FORMS = 1000
"""Forms of rows that are told apart."""
PATTERNS = 12
"""Forms that get a pattern of their own: each takes about 4 ms to make."""
SEEN = 24
"""Rows of one form from which on it gets a pattern."""
WIDEST = 256
"""Most cells of a row that gets one."""
Names = tuple[bytes, ...]


class RowForm:
    """How the cells of a row are written: letters of their columns, styles, kinds, and which are empty tags."""

    __slots__ = ("_prefix", "columns", "following", "kinds", "names", "nothing", "pattern", "seen", "styles", "tags")

    def __init__(self, prefix: bytes, columns: tuple[int, ...], names: Names, styles: Names, kinds: Names, tags: Names):
        self._prefix = prefix
        self.columns, self.names, self.styles, self.kinds, self.tags = columns, names, styles, kinds, tags
        self.nothing = (b"",) * len(columns)
        self.seen = 0
        self.pattern: re.Pattern[bytes] | None = None
        self.following: RowForm | None = None
        """The form of the row that stood behind the last one of this form."""

    def values(self, line: bytes, digits: bytes) -> tuple[bytes, ...] | None:
        """What stands in the cells of a row, b"" in an empty one; None where it is of another form."""
        if self.pattern is None or (found := self.pattern.fullmatch(line)) is None or found[1] != digits:
            return None
        return found.groups()[1:]

    def compile(self) -> None:
        """Make the pattern: number of the row, then the value of each cell."""
        p = re.escape(self._prefix)
        own = rb"><" + p + rb"is><" + p + rb"t(?: xml:space=\"preserve\")?>([^<]*)</" + p + rb"t></" + p + rb"is></" + p
        value = rb"><" + p + rb"v>([^<]*)</" + p + rb"v></" + p
        made = []
        number = rb"([0-9]{1,7})"
        for name, style, kind, tag in zip(self.names, self.styles, self.kinds, self.tags, strict=True):
            given = (rb' s="' + style + b'"' if style else b"") + (rb' t="' + kind + b'"' if kind else b"")
            rest = rb"()/>" if tag else (own if kind == b"inlineStr" else value) + rb"c>"
            made.append(rb"<" + p + rb'c r="' + name + number + b'"' + given + rest)
            number = rb"\1"
        self.pattern = re.compile(b"".join(made))


class RowForms:
    """The forms of the rows of one part, in the order of its rows."""

    def __init__(self, prefix: bytes) -> None:
        self._prefix = prefix
        self._forms: dict[tuple[Names, Names, Names, Names], RowForm] = {}
        self._last: RowForm | None = None
        self._usual: list[RowForm] = []
        """Those with a pattern."""

    def taken(self, line: bytes, digits: bytes) -> tuple[RowForm, tuple[bytes, ...]] | None:
        """The form of a row and what stands in its cells, where it is one of many rows before; None for another."""
        last = self._last
        first = (last.following, last) if last is not None else ()
        for form in (*first, *self._usual):  # the likelier ones first
            if form is not None and (values := form.values(line, digits)) is not None:
                if last is not None:
                    last.following = form
                self._last = form
                return form, values
        return None

    def noted(self, columns: tuple[int, ...], names: Names, styles: Names, kinds: Names, tags: Sequence[bytes]) -> None:
        """A row whose cells were found one by one."""
        key = names, styles, kinds, tuple(tags)
        form = self._forms.get(key)
        if form is None:
            if len(columns) > WIDEST or len(self._forms) >= FORMS:
                self._last = None
                return
            form = self._forms[key] = RowForm(self._prefix, columns, *key)
        form.seen += 1
        if form.seen == SEEN and len(self._usual) < PATTERNS:
            form.compile()
            self._usual.append(form)
        if self._last is not None:
            self._last.following = form
        self._last = form
