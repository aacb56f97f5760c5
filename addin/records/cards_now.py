"""The cards that the list and the wrench book as they are now would get, through the same planning as the plan's."""

from collections.abc import Sequence
from pathlib import Path

from addin.plan.file import Plan
from addin.plan.writer import PlanWriter
from addin.reading.answer_sheet import read_answers
from addin.reading.joint_list import read_joint_list
from addin.records.progress import Key, key_of
from addin.records.tools_of_plan import day_number, number
from addin.workbooks.package import WorkbookError, open_package
from addin.wrenches.hand_tools import hand_reach
from addin.wrenches.wrench_book import WrenchBook, read_wrench_book
from calc.plan.joints import Settings
from calc.plan.plan import plan_joints
from calc.units import system


def settings_of(plan: Plan) -> Settings:
    """The settings that a plan was made with."""
    given = plan.head.settings
    return Settings(
        scheme=given.scheme,
        at_once=given.at_once,
        rounding=given.rounding,
        tolerance=given.tolerance_percent / 100,
        yield_fraction=given.yield_percent / 100,
        reserve=given.reserve_percent / 100,
        date=day_number(plan.head.date),
        form=given.friction_form,
        breakout_factor=number(given.breakout_factor),
        scatter_method=given.scatter_method or "",
    )


def cards_now(
    plan: Plan, list_file: Path | None, book_files: Sequence[Path], answers_file: Path | None = None
) -> tuple[dict[Key, str | None] | None, WrenchBook | None]:
    """Status and card of every row as the files would be planned now, and the book; None for what is not given.

    Raises WorkbookError when one file has changed since the plan and the other is not given (a card is made from both),
    and when the list has open questions.
    """
    book = read_wrench_book(book_files, system("US")) if book_files else None
    if list_file is None or book is None:
        for path, other in ((list_file, "--wrenches"), *((each, "--list") for each in book_files)):
            if path is not None and open_package(path).sha256 not in plan.head.inputs.values():
                raise WorkbookError(
                    f"{path.name}: has changed since the plan; give {other} too, for a card is made from list and book"
                )
        return None, book
    if {open_package(list_file).sha256, *book.hashes.values()} <= set(plan.head.inputs.values()):
        return {key_of(joint.joint, joint.operation): joint.card for joint in plan.joints}, book
    answers = read_answers(answers_file) if answers_file else None
    joint_list = read_joint_list(list_file, None if answers else plan.head.sheet, answers=answers)
    if open_ := [question for question in joint_list.questions if question.blocks]:
        question = open_[0].text
        raise WorkbookError(f"{list_file.name}: {question}; answer it in a sheet of answers and give --answers")
    plans = plan_joints(
        joint_list.rows.joints,
        book.wrenches,
        book.gauges,
        book.lubricants,
        settings_of(plan),
        hand_reach(book.equipment),
    )
    entries = PlanWriter(joint_list, book, plans).joints()
    return {key_of(entry.joint, entry.operation): entry.card for entry in entries}, book
