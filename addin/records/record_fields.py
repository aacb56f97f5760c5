"""The columns of an as-tightened record, on our record sheet or beside the planner's own list, and their words."""

import re
from collections.abc import Mapping

from addin.cells.headings import Heading, plain_words

PREFIX = "As-tightened"
"""Every heading of ours begins with it: a list has columns for what was planned, and these are not they."""

HEADINGS = {
    "card": f"{PREFIX} card", "done": PREFIX, "passes": f"{PREFIX} passes", "date": f"{PREFIX} date",
    "time": f"{PREFIX} time", "by": f"{PREFIX} by", "wrench": f"{PREFIX} wrench", "link": f"{PREFIX} link",
    "gauge": f"{PREFIX} gauge", "pressure": f"{PREFIX} pressure", "pressure_unit": f"{PREFIX} pressure unit",
    "torque": f"{PREFIX} torque", "torque_unit": f"{PREFIX} torque unit", "lubricant": f"{PREFIX} lubricant",
    "batch": f"{PREFIX} batch", "remarks": f"{PREFIX} remarks",
    "studs_found": f"{PREFIX} studs found", "size_found": f"{PREFIX} size found",
    "grade_found": f"{PREFIX} grade found",
}  # fmt: skip
"""Field -> heading as our own sheets write it."""
FOUND = {"studs_found": "studs", "size_found": "thread", "grade_found": "grade"}
"""Fields for what was found otherwise than planned -> the field of the list that they propose to change."""
OF_A_PASS = ("wrench", "link", "gauge", "pressure", "torque", "date", "time", "by")
"""Fields that may stand for one pass in a column of their own: "As-tightened pass 3 wrench"."""
ALSO = {
    "record": "done", "pass": "passes", "link or socket": "link", "socket": "link", "pressure set": "pressure",
    "torque set": "torque", "lubricant batch": "batch", "card revision": "card", "done by": "by", "notes": "remarks",
}  # fmt: skip

AS_PLANNED, DIFFERS, NOT_DONE = "as planned", "differs", "open"
WORDS = (AS_PLANNED, DIFFERS, NOT_DONE)
"""What may stand under "As-tightened"."""

_START = plain_words(PREFIX)
_FIELDS = {plain_words(heading).removeprefix(_START).strip(): name for name, heading in HEADINGS.items()}
_FIELDS.update(ALSO)
_PASS = re.compile(r"pass (\d{1,2}) (.+)")

Key = tuple[str, int]
"""A field, and the pass it is for; 0 for the row as a whole."""


def field_of(heading: Heading) -> Key | None:
    """The field of a heading of ours; None for a heading that begins like ours but is not known.

    >>> from addin.cells.headings import split
    >>> field_of(split("As-tightened pressure (psi)")), field_of(split("as tightened pass 3 wrench"))
    (('pressure', 0), ('wrench', 3))
    """
    words = heading.words.removeprefix(_START).strip()
    if words in _FIELDS:
        return _FIELDS[words], 0
    match = _PASS.fullmatch(words)
    name = _FIELDS.get(match[2]) if match else None
    return (name, int(match[1])) if match and name in OF_A_PASS else None


def is_ours(heading: Heading) -> bool:
    """Whether a heading begins as ours do.

    >>> from addin.cells.headings import split
    >>> is_ours(split("As tightened torque (ft-lb)")), is_ours(split("Tightened on"))
    (True, False)
    """
    return heading.words == _START or heading.words.startswith(f"{_START} ")


def card_text(text: str) -> str:
    """A card's revision as cards print it, however it was typed.

    >>> card_text(" 2418 4e92"), card_text("2418-4E92"), card_text("card 7")
    ('2418-4E92', '2418-4E92', 'CARD7')
    """
    plain = re.sub(r"[^0-9A-Z]", "", text.upper())
    return f"{plain[:4]}-{plain[4:]}" if len(plain) == 8 else plain


def missing(fields: Mapping[Key, object], names: tuple[str, ...]) -> list[str]:
    """Headings of fields that are not there."""
    return [HEADINGS[name] for name in names if (name, 0) not in fields]
