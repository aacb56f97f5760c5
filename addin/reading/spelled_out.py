"""One joint in words, as it is read: what shows a wrong reading faster than any table."""

from addin.cells.numbers import is_blank, plain_text
from addin.reading.fields import BY_NAME
from addin.reading.joint_list import JointList
from addin.reading.reading_report import value_in
from addin.reading.understood import PITCH, PROPOSED, shown_name
from addin.workbooks.addresses import address

_FIRST = ("operation", "method", "studs", "thread", "grade")
_NEEDED = ("operation", "method", "studs", "thread")


def spelled_out(joint_list: JointList) -> list[str]:
    """One row of a list field by field, named by its cell: the first of those that say most; nothing without a joint.

    Fields that are still proposed stand behind the others, as the cells have them: nothing is read from them yet.
    """
    columns = [each for each in joint_list.columns if each.field not in (None, "joint")]
    order = {name: place for place, name in reversed([*enumerate((*_FIRST, *BY_NAME))])}
    columns.sort(key=lambda each: order[str(each.field)])
    faulty = {(fault.row, fault.quantity) for fault in joint_list.rows.joints.faults}

    def said(i: int) -> dict[str, str]:
        found = {str(c.field): value_in(joint_list, c, i) for c in columns if (i, c.field) not in faulty}
        return {name: text for name, text in found.items() if text}

    tags = joint_list.rows.texts.get("joint", [])
    rows = [i for i in range(min(len(joint_list.numbers), _LOOKED_AT)) if i < len(tags) and tags[i]]
    if not rows:
        return []
    i = max(rows, key=lambda row: len(said(row)))
    facts = said(i)
    for fact in joint_list.understood.whole:
        if fact.value and fact.state != PROPOSED:
            facts.setdefault(fact.field, fact.value)
    words = [f"{shown_name(name)} {text}" for name, text in facts.items()]
    cells = joint_list.cells[i]
    proposed = {
        shown_name(reading.field): plain_text(cells[reading.at])
        for reading in joint_list.understood.columns
        if reading.state == PROPOSED and reading.field and reading.field != PITCH and reading.at < len(cells)
        if not is_blank(cells[reading.at])
    }
    words += [f"{name} '{text}' (proposed)" for name, text in proposed.items()]
    if missing := [name for name in _NEEDED if name not in facts and shown_name(name) not in proposed]:
        words.append(f"not known yet: {', '.join(missing)}")
    place = next((column.place for column in joint_list.columns if column.field == "joint"), None)
    number = joint_list.numbers[i]
    where = f"row {number}" if place is None else address(number, place + 1)
    return [f"{joint_list.sheet}!{where} {tags[i]}: {', '.join(words)}"]


_LOOKED_AT = 300
"""Rows among which the one that says most is looked for."""
