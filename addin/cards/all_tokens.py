"""Every token of every printed part, with what it stands for: the table of the README."""

from collections.abc import Mapping

from addin.cards import break_card, kit, overview, working_sheet, wrench_sheets
from addin.cards.card_record import BANDS, DONE, TICKS, USED
from addin.cards.card_tokens import ALTERNATE, CARD, PASS, TOGETHER, WRENCH
from addin.cards.days import DAY

Group = tuple[str, Mapping[str, str]]

PICTURES = {"order picture": "the stud circle with the order", "card mark": "the QR mark with tag|operation|card"}
LIST = {"list: HEADING": "a column of the list that was planned with --carry HEADING"}
WITHDRAWN = {
    "list": "file of the joint list", "date": "day of the plan", "program": "name and version of the program",
    "old plan": "the older plan", "count": "how many cards",
}  # fmt: skip
CAUTIONS = {
    "list": "file of the joint list", "date": "day of the plan", "program": "name and version of the program",
    "supports": "what the pack does not replace", "count": "how many cautions were found",
    "cautions hydraulic": "the usual cautions", "cautions hand": "those by hand",
    "cautions break": "those of breaking out",
}  # fmt: skip

PARTS: dict[str, tuple[Group, ...]] = {
    "joint and retightening card": (
        ("", {**CARD, **PICTURES, **LIST}), ("pass", PASS), ("wrench", WRENCH), ("alternate", ALTERNATE),
        ("pair", TOGETHER), ("four", TOGETHER), ("done", DONE), *((band, TICKS) for band in BANDS), ("used", USED),
    ),
    "break-out card, besides those of the joint card": (
        ("", break_card.BREAK_OUT), ("stage", break_card.STAGE), ("used", USED),
    ),
    "wrench sheet": (
        ("", wrench_sheets.WRENCH_SHEET), ("link", wrench_sheets.LINK), ("point", wrench_sheets.POINT),
        ("setting", wrench_sheets.SETTING), ("finding", wrench_sheets.FINDING),
    ),
    "kit list": (("", kit.KIT), ("item", kit.ITEM)),
    "summary": (
        ("", overview.SUMMARY), ("area", overview.AREA), ("wrench", overview.WRENCH), ("left", overview.LEFT),
        ("day", DAY),
    ),
    "cautions": (("", CAUTIONS), ("caution", {"text": "a caution", "joints": "its joints", "count": "how many"})),
    "withdrawn cards": (
        ("", WITHDRAWN),
        ("card", {"joint": "tag", "operation": "operation", "card": "card to withdraw", "reason": "why",
                  "new card": "the card in its place"}),
        ("supplement", {"text": "a card that holds, with the new certificate behind it"}),
    ),
    "working": (
        ("", working_sheet.WORKING), ("step", working_sheet.STEP), ("pass", working_sheet.PASS),
        ("break", working_sheet.BREAK),
    ),
}  # fmt: skip
