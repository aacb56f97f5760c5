"""Tools of an issue that somebody went back to, against the sheet Job and the wrench book as they are now."""

import datetime
import math
from collections.abc import Iterator

from addin.job.state import Issue
from addin.job.work import NOT_ALL, Run, some
from addin.plan.file import read_plan
from addin.plan.record_joint import JointEntry
from addin.records.of_lists import review_lists
from addin.workbooks.package import WorkbookError
from addin.wrenches.wrench_book import WrenchBook, read_wrench_book
from calc.review.as_tightened import AGREES
from calc.units import system


def say_tools_gone(run: Run, issue: Issue) -> None:
    """Name the joints whose cards use a tool that is not to be used now: an earlier issue knows nothing of that.

    A joint that is done, and whose records agree, is not named.
    """
    if issue.back_to is None or not run.path(issue.plan).is_file():
        return
    try:
        book = read_wrench_book([path for path in run.wishes.books if path.is_file()], system("US"))
    except WorkbookError:
        return  # said where the lists are planned
    found: dict[str, list[str]] = {}
    for joint in read_plan(run.path(issue.plan)).joints:
        for why in dict.fromkeys(_gone(joint, book, {name.casefold() for name in run.wishes.without})):
            found.setdefault(why, []).append(f"{joint.joint} {joint.operation}")
    done = _done(run, issue) if found else set()
    found = {why: [each for each in joints if each not in done] for why, joints in found.items()}
    for why, joints in found.items():
        if not joints:
            continue
        many = "1 joint" if len(joints) == 1 else f"{len(joints)} joints"
        text = f"issue {issue.number:03} is as issue {issue.back_to:03} was, but {why}: no more work on {many}, the"
        run.say(issue.list_name, f"{text} engineer decides: {some(joints)}", code=NOT_ALL, first=True)


def _done(run: Run, issue: Issue) -> set[str]:
    """The joints of a list that are done as planned, by the records that came back."""
    if not (files := run.records()):
        return set()
    try:
        reports, _ = review_lists(run.planned_lists(), files, [path for path in run.wishes.books if path.is_file()])
    except WorkbookError:
        return set()  # said where the records are taken
    report = reports.get(issue.list_name)
    rows = report.rows if report else ()
    return {f"{row.joint.joint} {row.joint.operation}" for row in rows if row.status == AGREES}


def _gone(joint: JointEntry, book: WrenchBook, without: set[str]) -> Iterator[str]:
    """Why the wrenches and gauges of a card are not to be used on its day."""
    day = float(datetime.date.fromisoformat(joint.date).toordinal()) if joint.date else math.nan
    tools = [*joint.tools, *([joint.breakout.tool] if joint.breakout else [])]
    for tool in tools:
        if tool.wrench.casefold() in without:
            yield f"the sheet Job does not use {tool.wrench}"
            continue
        mine = [each for each in book.wrenches if tool.wrench.casefold() in (each.name.casefold(), each.of.casefold())]
        if not mine:
            yield f"the wrench book has no {tool.wrench} now"
        elif any(each.out_of_service and each.out_of_service[0] <= day <= each.out_of_service[1] for each in mine):
            yield f"{tool.wrench} is out of service on its day"
        elif not any(each.calibrated <= day <= each.valid_until for each in mine):
            yield f"no certificate of {tool.wrench} holds on its day"
        gauge = next((each for name, each in book.gauges.items() if name.casefold() == tool.gauge.casefold()), None)
        if gauge is None:
            yield f"the wrench book has no gauge {tool.gauge} now"
        elif not gauge.calibrated <= day <= gauge.valid_until:
            yield f"no certificate of gauge {tool.gauge} holds on its day"
