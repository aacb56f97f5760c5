"""Columns of the planner's list that the plan takes along as they stand, for forms of their own."""

from collections.abc import Sequence

from addin.cells.numbers import plain_text, stands_for_nothing
from addin.reading.joint_list import JointList
from addin.workbooks.package import WorkbookError

MOST = 20
"""Columns that are carried."""


def same_heading(heading: str) -> str:
    """A heading as it is compared: one blank between words, no capitals.

    >>> same_heading("  Work   Order ")
    'work order'
    """
    return " ".join(heading.split()).casefold()


def carried_columns(joint_list: JointList, headings: Sequence[str]) -> list[tuple[str, int]]:
    """The headings asked for, each with the place of its column.

    Raises WorkbookError where the list has no such heading, or has it twice.
    """
    if len(headings) > MOST:
        raise WorkbookError(f"--carry: {len(headings)} columns are asked for, at most {MOST} are carried")
    found = []
    for heading in headings:
        places = [
            head for head in joint_list.heads if same_heading(heading) in map(same_heading, (head.text, head.shown))
        ]
        if len(places) != 1:
            known = ", ".join(head.text for head in joint_list.heads)
            many = "stands twice" if places else "is not"
            where = f"{joint_list.package.path.name}, sheet {joint_list.sheet}"
            raise WorkbookError(f"{where}: '{heading}' {many} among the headings: {known}")
        found.append((heading, places[0].at))
    return found


def carried_texts(joint_list: JointList, columns: Sequence[tuple[str, int]], row: int) -> dict[str, str]:
    """What stands in the columns in one row; nothing for what is blank."""
    cells = joint_list.cells[row]
    texts = {
        same_heading(heading): plain_text(cells[at])
        for heading, at in columns
        if at < len(cells) and not stands_for_nothing(cells[at])
    }
    return {heading: text for heading, text in texts.items() if text}
