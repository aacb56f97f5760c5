"""The cards that the list and the wrench book as they are now would get, through the same planning as the plan's."""

from collections.abc import Sequence
from pathlib import Path

from addin.plan.file import Plan
from addin.plan.list_settings import ListSettings
from addin.plan.planned_list import planned, read_for_plan
from addin.plan.writer import PlanWriter
from addin.reading.answer_sheet import read_answers
from addin.records.done_work import Now
from addin.records.known_cards import key_of
from addin.workbooks.package import WorkbookError, open_package
from addin.wrenches.wrench_book import WrenchBook, read_wrench_book
from calc.units import system


def cards_now(
    plan: Plan, list_file: Path | None, book_files: Sequence[Path], answers_file: Path | None = None
) -> tuple[Now | None, WrenchBook | None]:
    """Every row as the files would be planned now, and the book; None for what is not given.

    Raises WorkbookError when one file has changed since the plan and the other is not given (a card is made from both),
    and when the list has open questions.
    """
    book = read_wrench_book(book_files, system("US")) if book_files else None
    if list_file is None or book is None:
        for path, other in ((list_file, "--wrenches"), *((each, "--list") for each in book_files)):
            known = {*plan.head.inputs.values(), plan.head.planned_copy}
            if path is not None and open_package(path).sha256 not in known:
                raise WorkbookError(
                    f"{path.name}: has changed since the plan; give {other} too, for a card is made from list and book"
                )
        return (of_plan(plan) if list_file else None), book
    if {open_package(list_file).sha256, *book.hashes.values()} <= set(plan.head.inputs.values()):
        return of_plan(plan), book
    if plan.head.answers and answers_file is None:
        file = plan.head.answers.get("file", "")
        raise WorkbookError(f"{list_file.name}: was planned with the sheet of answers {file}; give it with --answers")
    answers = read_answers(answers_file) if answers_file else None
    settings = ListSettings.of_plan(plan.head)
    joint_list = read_for_plan(list_file, book, settings, answers, None if answers else plan.head.sheet)
    if open_ := [question for question in joint_list.questions if question.blocks]:
        question = open_[0].text
        raise WorkbookError(f"{list_file.name}: {question}; answer it in a sheet of answers and give --answers")
    settings = settings.with_answers(joint_list.given, answers.file if answers else "", override=True)
    writer = PlanWriter(joint_list, book, planned(joint_list, book, settings))
    return Now(writer.head, {key_of(entry.joint, entry.operation): entry for entry in writer.joints()}), book


def of_plan(plan: Plan) -> Now:
    """The rows of a plan whose list has not changed."""
    return Now(plan.head, {key_of(joint.joint, joint.operation): joint for joint in plan.joints})
