"""The planned workbook: the list as it was, and our columns to the right of it."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from addin.workbooks.addresses import letters
from addin.workbooks.joint_list import JointList
from addin.workbooks.writeback import NOT_AVAILABLE, OutCell, OutColumn, Style, Value, WriteReport, write_columns

Json = Mapping[str, Any]

_HEAD = Style(bold=True, wrap=True, fill=True)
_TEXT = Style(wrap=True)


def write_planned(joint_list: JointList, plan: Json, target: Path, *, overwrite: bool) -> WriteReport:
    """Write a copy of the list's workbook with a column group of results beside the list.

    The first of them repeats joint and operation, so that rows sorted apart are seen. A stopped row has #N/A in every
    number; a number that is not there for another reason has the reason as text, never a blank that counts as 0.

    Raises WorkbookError as `write_columns` does.
    """
    columns = _columns(plan["joints"])
    out = []
    for k, (heading, style, width, cells) in enumerate(columns):
        by_row: dict[int, OutCell] = {joint_list.heading_row: OutCell(heading, _HEAD)}
        for number, value in zip(joint_list.numbers, cells, strict=True):
            by_row[number] = OutCell(value, style if isinstance(value, (int, float)) else _TEXT)
        out.append(OutColumn(letters(joint_list.first_free + k), by_row, width))
    return write_columns(
        joint_list.package.path, joint_list.sheet, out, target, overwrite=overwrite, scan=joint_list.scan
    )


_Column = tuple[str, Style, float, list[Value]]


def _columns(joints: Sequence[Json]) -> list[_Column]:
    """Headings, formats, widths and cells of the results."""

    def texts(heading: str, width: float, values: list[Value]) -> list[_Column]:
        return [(heading, _TEXT, width, values)]

    stages: Sequence[Json] = max((joint["passes"] for joint in joints), key=len, default=[])
    columns = texts("Joint | operation", 26, [f"{j['joint']} | {j['operation']}" for j in joints])
    columns += texts("Status", 13, [j["status"] for j in joints])
    columns += texts(
        "Message", 60, ["\n".join(f"{f['level']}: {f['text']}" for f in j["findings"]) or None for j in joints]
    )
    columns += texts("Card", 12, [j["card"] for j in joints])
    columns += _numbers("Preload", joints, lambda j: j["preload"], "not known")
    columns += _numbers("Torque", joints, lambda j: j["torque"], "")
    columns += texts("Wrench", 14, [_said(j, " + ".join(w["wrench"] for w in j["wrenches"])) for j in joints])
    columns += texts(
        "Link or socket", 14, [_said(j, " + ".join(dict.fromkeys(w["link"] for w in j["wrenches"]))) for j in joints]
    )
    columns += texts(
        "Gauge", 10, [_said(j, " + ".join(dict.fromkeys(w["gauge"] for w in j["wrenches"]))) for j in joints]
    )
    columns += _numbers("Pressure to set", joints, lambda j: j["setpoint"], "by hand", exact=True)
    columns += _numbers("Torque at that pressure", joints, lambda j: j["torque_at_setpoint"], "by hand")
    for k, stage in enumerate(stages):
        if stage["percent"] is None:
            continue
        heading = f"Pass {stage['pass']}: {stage['percent']:g} %"
        columns += _numbers(f"{heading}, torque", joints, lambda j, k=k: j["passes"][k]["torque"], "")
        columns += _numbers(
            f"{heading}, pressure", joints, lambda j, k=k: j["passes"][k]["pressure"], "other means", exact=True
        )
    return columns


def _said(joint: Json, text: str) -> Value:
    if joint["status"] != "planned":
        return None
    return text or "by hand"


def _numbers(heading: str, joints: Sequence[Json], get: Any, missing: str, *, exact: bool = False) -> list[_Column]:
    """A column of numbers; its unit stands in the heading, or in a column of its own where rows differ.

    `exact`: settings, shown with every decimal they have.
    """
    found = [get(joint) if joint["status"] == "planned" else None for joint in joints]
    units = list(dict.fromkeys(item["unit"] for item in found if item))
    cells: list[Value] = []
    for joint, item in zip(joints, found, strict=True):
        if joint["status"] != "planned":
            cells.append(NOT_AVAILABLE if joint["status"] == "stopped" else "other method")
        elif item is None:
            cells.append("by hand" if joint["method"] == "hand" and missing == "other means" else missing)
        else:
            cells.append(item["value"])
    style = Style(_format([item["value"] for item in found if item], exact=exact))
    if len(units) <= 1:
        return [(f"{heading} ({units[0]})" if units else heading, style, 12, cells)]
    unit_cells: list[Value] = [item["unit"] if item else None for item in found]
    return [(heading, style, 12, cells), (f"{heading}: unit", _TEXT, 8, unit_cells)]


def _format(values: Sequence[float], *, exact: bool) -> str:
    """A number format that shows what is set: a pressure with every decimal it has, the others to the unit or tenth."""
    if not exact:
        return "0" if all(value >= 100 for value in values) else "0.0"
    decimals = next((d for d in range(4) if all(abs(round(v, d) - v) <= 1e-9 * v for v in values)), 4)
    return f"0.{'0' * decimals}" if decimals else "0"
