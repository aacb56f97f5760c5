"""The columns of an as-tightened record, on our record sheet or beside the planner's own list, and their words."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from addin.cells.headings import Heading, plain_words
from calc.plan.joints import OPERATIONS
from calc.units import known

PREFIX = "As-tightened"
"""Every heading of ours begins with it: a list has columns for what was planned, and these are not they."""

RESULT = f"{PREFIX} result"
"""Headings of columns that we write beside a list begin with it; they are never read as records."""
AS_PLANNED, DIFFERS, NOT_DONE = "as planned", "differs", "open"
WORDS = (AS_PLANNED, DIFFERS, NOT_DONE)
"""What may stand under "As-tightened"."""

WORD, WHEN, TOOL, SETTING, BOX, FOUND_OTHER = "word", "when", "tool", "setting", "box", "found"


@dataclass(frozen=True)
class RecordField:
    """A column of a record.

    kind : what it is for; a "box" is kept as it is typed and comes back in the hand-over. of_a_pass : may stand for one
    pass in a column of its own, "As-tightened pass 3 wrench". also : other words for it behind the prefix. text : its
    cells are formatted as text, for 1-2 would turn into a date. box : the box of the card that it takes.
    """

    name: str
    kind: str
    help: str
    width: float = 11
    of_a_pass: bool = False
    also: tuple[str, ...] = ()
    text: bool = False
    choices: tuple[str, ...] = ()
    box: str = ""
    of: str = ""

    @property
    def heading(self) -> str:
        """Its heading as our own sheets write it."""
        return PREFIX if self.name == "done" else f"{PREFIX} {self.name.replace('_', ' ')}"


FIELDS = (
    RecordField("scan", WORD, "Scan the mark of the card here: it says 'as planned' for the joint of the card.", 14,
                also=("key", "mark"), text=True),
    RecordField("card", WORD, "Revision as printed on the card that the crew used, like 7F3A-91C2.",
                also=("card revision",), text=True),
    RecordField("done", WORD, "as planned: what this row leaves blank was done as the card says. differs: what it"
                " leaves blank is not known. open: nothing was done. An empty cell is never 'as planned'.",
                also=("record",), choices=WORDS),
    RecordField("passes", WORD, "Passes that the row is about: 3, 1-2, 3 to 5. Empty with 'as planned': every pass"
                " that no other row of this joint names.", 10.5, also=("pass",), text=True, box="done by"),
    RecordField("date", WHEN, "Day of the work: certificates are checked on it. Empty: the day at the head of the"
                " sheet.", of_a_pass=True, box="day, time"),
    RecordField("time", WHEN, "Time of a single pass, like 14:30. Not needed.", 10.5, of_a_pass=True, text=True,
                box="day, time"),
    RecordField("by", WHEN, "Who did it. Empty: the name at the head of the sheet.", of_a_pass=True,
                also=("done by",), box="tightened by"),
    RecordField("wrench", TOOL, "Wrench or hand torque wrench used, where it is not the planned one or the row says"
                " 'differs'. Several: HW-3, HW-4, or a row each.", 10.5, of_a_pass=True, box="wrench"),
    RecordField("link", TOOL, "Link or socket used, where that wrench has several for the nut.", 15, of_a_pass=True,
                also=("link or socket", "socket"), box="link or socket"),
    RecordField("pump", TOOL, "Pump used.", 9, of_a_pass=True, box="pump"),
    RecordField("gauge", TOOL, "Gauge used.", 10.5, of_a_pass=True, box="gauge"),
    RecordField("tool_number", TOOL, "Serial or certificate number read off a tool that is not the planned one.", 13,
                also=("certificate", "number", "other"), text=True, box="other: name, number, certificate"),
    RecordField("pressure", SETTING, "Pressure set on the gauge; for several wrenches 3150, 3200 in their order.",
                10.5, of_a_pass=True, also=("pressure set",)),
    RecordField("pressure_unit", SETTING, "Unit of the pressure. It is never guessed.", 10.5,
                choices=known("pressure")[:6]),
    RecordField("torque", SETTING, "Torque, for a hand torque wrench or other means.", 10.5, of_a_pass=True,
                also=("torque set",)),
    RecordField("torque_unit", SETTING, "Unit of the torque.", 10.5, choices=known("torque")[:4]),
    RecordField("lubricant", SETTING, "Product used, or 'as planned'.", box="lubricant"),
    RecordField("batch", BOX, "Batch of the lubricant.", 10.5, also=("lubricant batch",), text=True, box="batch"),
    RecordField("studs_left", BOX, "Studs without a tick: their numbers. A joint with one is looked at.", 11,
                of_a_pass=True, also=("studs without a tick",), text=True, box="stud"),
    RecordField("studs_found", FOUND_OTHER, "Number of studs, where found otherwise than on the card: a proposal for"
                " the list.", 10.5, box="studs: number, length", of="studs"),
    RecordField("length_found", FOUND_OTHER, "Length of the studs as found.", 10.5, text=True,
                box="studs: number, length", of="length"),
    RecordField("size_found", FOUND_OTHER, "Stud size as found.", text=True, box="size and thread", of="thread"),
    RecordField("grade_found", FOUND_OTHER, "Marking of the studs as found.", text=True, box="grade, marking",
                of="grade"),
    RecordField("other_found", FOUND_OTHER, "Anything else found otherwise than on the card.", 14,
                box="other; call first"),
    RecordField("remarks", BOX, "Anything else.", 26, also=("notes",), box="remarks"),
    RecordField("gap_before", BOX, "Gap before the first pass at 12, 3, 6 and 9 o'clock, with its unit.", 14, text=True,
                box="before the first pass"),
    RecordField("gap", BOX, "Gap at the end at 12, 3, 6 and 9 o'clock, with its unit.", 14, of_a_pass=True, text=True,
                box="flange gap, at clock position"),
    RecordField("qualification", BOX, "Qualification of who did it.", 12, box="qualification"),
    RecordField("signature", BOX, "Who signed the card, or where the signed card is kept.", 12, box="signature"),
    RecordField("witness", BOX, "Who witnessed, with the day.", 14, of_a_pass=True, box="witness"),
    RecordField("hold", BOX, "Who released the hold point, with the day.", 14, of_a_pass=True, also=("hold point",),
                box="hold points"),
    RecordField("permit", BOX, "Permit to work.", 10.5, text=True, box="permit"),
    RecordField("work_order", BOX, "Work order.", 10.5, text=True, box="work order"),
    RecordField("leak_check", BOX, "Leak check: who, when, what was seen.", 14, box="leak check after"),
    RecordField("engineer", BOX, "Engineer of a retightening: name, date; closed by whom.", 14,
                also=("engineer closed",), box="engineer, closed"),
    RecordField("authority", BOX, "Authority for a retightening: document, limits, state of the joint, consent of the"
                " gasket's maker.", 14, box="authority: document and limits"),
    RecordField("isolation", BOX, "Before breaking out: zero energy proven, drained, line supported: how, by whom.",
                14, also=("zero energy",), box="zero energy proven"),
    RecordField("nuts_turned", BOX, "Breaking out: nuts that turned in each stage.", 11, text=True,
                box="nuts that turned"),
    RecordField("opened", BOX, "Breaking out: where the gap opened first, when, what came out.", 14,
                also=("gap opened",), box="gap opened, joint free"),
    RecordField("studs_kept", BOX, "Breaking out: studs kept or scrapped, which and why; nuts.", 14, text=True,
                box="studs kept or scrapped"),
)  # fmt: skip
"""Every column, in the order of our record sheet."""

BY_NAME = {field.name: field for field in FIELDS}
HEADINGS = {field.name: field.heading for field in FIELDS}
"""Field -> heading as our own sheets write it."""
FOUND = {field.name: field.of for field in FIELDS if field.kind == FOUND_OTHER}
"""Fields for what was found otherwise than planned -> the field of the list they propose to change, "" for none."""
BOXES = tuple(field for field in FIELDS if field.kind == BOX and field.name != "remarks")
"""Boxes of a card that are handed over as they were typed."""
OF_A_PASS = tuple(field.name for field in FIELDS if field.of_a_pass)
"""Fields that may stand for one pass in a column of their own."""
VALUES = tuple(field.name for field in FIELDS if field.name not in ("card", "scan"))
"""Fields that say something of the work: a row with one of them is a report, a number of a card alone is none."""

_START = plain_words(PREFIX)
_RESULT = plain_words(RESULT)
_FIELDS = {plain_words(field.heading).removeprefix(_START).strip(): field.name for field in FIELDS}
_FIELDS.update({word: field.name for field in FIELDS for word in field.also})
_PASS = re.compile(r"pass (\d{1,2}) (.+)")
_KEY = re.compile(r"[0-9A-F]{4}-[0-9A-F]{4}")

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
    if heading.words.startswith(_RESULT):
        return False
    return heading.words == _START or heading.words.startswith(f"{_START} ")


def card_text(text: str) -> str:
    """A card's revision as cards print it, however it was typed.

    >>> card_text(" 2418 4e92"), card_text("2418-4E92"), card_text("card 7")
    ('2418-4E92', '2418-4E92', 'CARD7')
    """
    plain = re.sub(r"[^0-9A-Z]", "", text.upper())
    return f"{plain[:4]}-{plain[4:]}" if len(plain) == 8 else plain


@dataclass(frozen=True)
class CardKey:
    """What the mark of a card says."""

    joint: str
    operation: str
    card: str


def card_key(text: str) -> CardKey | None:
    """A scanned or typed key, split from the right, for a tag may hold the sign between its parts; None for any other
    text. The operation in a key is always English.

    >>> card_key("N1|N2|break|7f3a91c2")
    CardKey(joint='N1|N2', operation='break', card='7F3A-91C2')
    >>> card_key("E-1204 | CH"), card_key("E-1204|Endmontage|7F3A-91C2")
    (None, None)
    """
    parts = [part.strip() for part in text.rsplit("|", 2)]
    if len(parts) < 3 or not parts[0] or plain_words(parts[1]) not in _OPERATIONS:
        return None
    card = card_text(parts[2])
    return CardKey(parts[0], _OPERATIONS[plain_words(parts[1])], card) if _KEY.fullmatch(card) else None


_OPERATIONS = {plain_words(name): name for name in OPERATIONS}


def missing(fields: Mapping[Key, object], names: tuple[str, ...]) -> list[str]:
    """Headings of fields that are not there."""
    return [HEADINGS[name] for name in names if (name, 0) not in fields]
