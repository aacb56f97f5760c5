"""One joint in words, as it is read: what shows a wrong reading faster than any table."""

from addin.reading.fields import BY_NAME
from addin.reading.joint_list import JointList
from addin.reading.reading_report import first_values
from addin.reading.understood import shown_name

_FIRST = ("joint", "operation", "method", "studs", "thread", "grade")


def spelled_out(joint_list: JointList) -> list[str]:
    """The first joint of a list field by field; nothing where the list has no joint.

    Fields that are still proposed are not among them: nothing is read from their columns yet.
    """
    columns = [each for each in joint_list.columns if each.field is not None]
    order = {name: place for place, name in enumerate((*_FIRST, *BY_NAME))}
    columns.sort(key=lambda each: order[str(each.field)])
    said = [f"{shown_name(str(c.field))} {values[0]}" for c in columns if (values := first_values(joint_list, c))]
    return [f"row {joint_list.numbers[0]}: {', '.join(said)}"] if said and joint_list.numbers else []
