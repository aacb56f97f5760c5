"""The one way from a list and a wrench book to what is planned: for a new plan, and to hold an older one against."""

import re
from dataclasses import replace
from pathlib import Path

from addin.plan.list_settings import OPTIONS, ListSettings
from addin.plan.still_open import with_methods
from addin.reading.answer_sheet import AnswerSheet
from addin.reading.joint_list import JointList, read_joint_list
from addin.reading.understood import BY_THE_BOOK
from addin.workbooks.package import WorkbookError
from addin.workbooks.sheet_part import Tell
from addin.wrenches.hand_tools import hand_tools
from addin.wrenches.wrench_book import WrenchBook
from calc.plan.plan import plan_joints
from calc.plan.plans import Plans


def names_in(book: WrenchBook) -> dict[str, set[str]]:
    """Names of wrenches and lubricants of a book, by field: they speak for what a column of a list is."""
    return {"wrench": {each.name for each in book.wrenches}, "lubricant": {each.product for each in book.lubricants}}


def not_in_book(settings: ListSettings, book: WrenchBook) -> dict[str, str]:
    """By setting, what is wrong with a lubricant or wrench stated that the book does not have."""
    found = {}
    for name, kind in (("lubricant", "product of the lubricants"), ("wrench", "wrench")):
        known = list(dict.fromkeys(_known(book, name).values()))
        missing = [each for each in _parts(name, getattr(settings, name)) if each.casefold() not in _known(book, name)]
        if missing:
            has = f"it has {', '.join(known)}" if known else "it has none"
            found[name] = f"'{missing[0][:40]}' is no {kind} in the wrench book; {has}"
    return found


def as_in_book(settings: ListSettings, book: WrenchBook) -> ListSettings:
    """What is stated, its lubricant and wrench as the book writes them.

    Raises WorkbookError where it has none.
    """
    for name, fault in not_in_book(settings, book).items():
        raise WorkbookError(f"{OPTIONS[name]}: {fault}")
    lubricant, wrench = (
        ", ".join(_known(book, name)[part.casefold()] for part in _parts(name, getattr(settings, name))) or None
        for name in ("lubricant", "wrench")
    )
    return replace(settings, lubricant=lubricant, wrench=wrench)


def _known(book: WrenchBook, name: str) -> dict[str, str]:
    names = [each.product for each in book.lubricants] if name == "lubricant" else [each.tool for each in book.wrenches]
    return {each.casefold(): each for each in names}


def _parts(name: str, text: str | None) -> list[str]:
    """The names that are stated: one lubricant, or wrenches with a comma or the like between, as a row has them."""
    parts = re.split("[;,+&]", text or "") if name == "wrench" else [text or ""]
    return [" ".join(part.split()) for part in parts if part.strip()]


def read_for_plan(
    list_file: Path, book: WrenchBook, settings: ListSettings, answers: AnswerSheet | None, sheet: str | None = None,
    recalculated: Path | None = None, *, accept: bool = False, tell: Tell | None = None,
) -> JointList:  # fmt: skip
    """Read a list as it is planned: with its answers, the names of the book, and what is stated for all its rows;
    `recalculated` is a copy of it that was calculated anew; `accept` takes what is proposed as it stands; `tell` is
    told how many rows are read.
    """
    read = read_joint_list(
        list_file,
        sheet,
        answers=answers,
        known=names_in(book),
        stated=settings.of_rows(),
        recalculated=recalculated,
        accept=accept,
        tell=tell,
    )
    by_book = read.given is not None and read.given.whole.get("method") == BY_THE_BOOK
    return with_methods(read, book, settings) if by_book else read


def planned(joint_list: JointList, book: WrenchBook, settings: ListSettings) -> Plans:
    """Plan what was read."""
    return plan_joints(
        joint_list.rows.joints, book.wrenches, book.gauges, book.lubricants, settings.settings(),
        hand_tools(book.equipment),
    )  # fmt: skip
