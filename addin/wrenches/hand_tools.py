"""Other tools of a wrench book: hand torque wrenches, multipliers, tensioners, reaction arms and hoses.

Each kind has a sheet of its name. They are named and their certificates kept; a tensioner is never planned with.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from addin.cells.numbers import stands_for_nothing
from addin.cells.words import day
from addin.workbooks.grid import Grid
from addin.wrenches.listing import Columns, listing, names_of
from addin.wrenches.wrench_sheet import WrenchSheet
from calc.findings import InputError, stop
from calc.plan.hand import HandTool, HandTools
from calc.units import kinds_of, symbol

HAND_WRENCH, MULTIPLIER, TENSIONER, REACTION_ARM, HOSE = (
    "hand torque wrench", "multiplier", "tensioner", "reaction arm", "hose",
)  # fmt: skip
SHEETS = {
    "hand torque wrenches": HAND_WRENCH, "hand wrenches": HAND_WRENCH, "torque multipliers": MULTIPLIER,
    "multipliers": MULTIPLIER, "tensioners": TENSIONER, "reaction arms": REACTION_ARM, "hoses": HOSE,
}  # fmt: skip
"""Name of a sheet in plain words -> the kind of tool on it."""

_HEADINGS = {
    **dict.fromkeys(("hand torque wrench", "hand wrench", "wrench", "multiplier", "torque multiplier", "tensioner",
                     "reaction arm", "arm", "hose", "name", "tool"), "name"),
    **dict.fromkeys(("from", "range from", "lowest torque", "minimum torque"), "low"),
    **dict.fromkeys(("to", "range to", "highest torque", "maximum torque"), "high"),
    **dict.fromkeys(("resolution", "graduation", "scale division"), "resolution"),
    **dict.fromkeys(("ratio", "torque ratio"), "ratio"),
    **dict.fromkeys(("torque limit", "maximum output torque", "rated torque"), "torque_limit"),
    **dict.fromkeys(("rated pressure", "maximum pressure", "maximum working pressure"), "rated_pressure"),
    **dict.fromkeys(("fits", "for wrench", "wrenches"), "fits"),
    **dict.fromkeys(("certificate", "certificate number", "test certificate"), "certificate"),
    **dict.fromkeys(("serial number",), "serial_number"),
    **dict.fromkeys(("calibrated on", "calibration date", "tested on"), "calibrated_on"),
    **dict.fromkeys(("valid until", "certificate valid until", "next test", "due"), "valid_until"),
    **dict.fromkeys(("out of service from", "not to be trusted from"), "out_of_service_from"),
    **dict.fromkeys(("remarks", "notes"), "remarks"),
}  # fmt: skip
_NEEDED = {
    HAND_WRENCH: ("From", "To", "Valid until"), MULTIPLIER: ("Ratio", "Torque limit", "Valid until"), TENSIONER: (),
    REACTION_ARM: (), HOSE: ("Rated pressure",),
}  # fmt: skip
_NUMBERS = {
    "low": ("torque", "torque"), "high": ("torque", "torque"), "resolution": ("torque_step", "torque"),
    "ratio": ("ratio", "number"), "torque_limit": ("torque", "torque"), "rated_pressure": ("pump_pressure", "pressure"),
}  # fmt: skip


@dataclass(frozen=True)
class Equipment:
    """One tool: `low` and `high` of its range and `step` [N·m], `ratio`, `limit` [N·m, of a hose Pa], certificate days.

    What is not stated is NaN or "". `out_of_service`: the first day on which it is not to be trusted; its certificate
    ends before. `units` are those of its sheet by kind, `words` as typed by field.
    """

    kind: str
    name: str
    sheet: str
    row: int
    low: float = math.nan
    high: float = math.nan
    step: float = math.nan
    ratio: float = math.nan
    limit: float = math.nan
    calibrated: float = math.nan
    valid_until: float = math.nan
    words: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    out_of_service: float = math.inf


def read_equipment(grid: Grid, kind: str, others: Sequence[Equipment]) -> list[Equipment]:
    """The tools of one sheet; a row with a fault is left out with its reason, as is a name that another book has."""
    columns, rows = listing(grid, _HEADINGS, _NEEDED[kind])
    if rows and "name" not in columns:
        grid.stop("heading_missing", "heading", rows.start - 1, 1, text=kind.capitalize())
        return []
    found = []
    for row, name in names_of(grid, rows, columns["name"][0], kind, "tool_repeated").items() if rows else ():
        if named_tool(others, kind, name):
            grid.stop("tool_repeated", kind, row, columns["name"][0], text=name)
        elif tool := _tool(grid, kind, name, row, columns):
            found.append(tool)
    return found


def _tool(grid: Grid, kind: str, name: str, row: int, columns: Columns) -> Equipment | None:
    at, values, words, units = columns["name"][0], {}, {}, {}
    try:
        for field_name, (quantity, unit_kind) in _NUMBERS.items():
            values[field_name] = math.nan
            if field_name not in columns:
                continue
            at, heading = columns[field_name]
            if not stands_for_nothing(grid.stored(row, at, quantity)):
                values[field_name] = grid.number(row, at, quantity, heading, unit_kind)
            if heading.unit and unit_kind in kinds_of(heading.unit):
                units[unit_kind] = symbol(unit_kind, heading.unit)
        for field_name in ("calibrated_on", "valid_until", "out_of_service_from"):
            values[field_name] = math.nan
            at = columns.get(field_name, (0, None))[0]
            if at and not stands_for_nothing(grid.stored(row, at, field_name)):
                values[field_name] = grid.day(row, at, field_name)
        for field_name in ("fits", "certificate", "serial_number", "remarks"):
            at = columns.get(field_name, (0, None))[0]
            words[field_name] = grid.text(row, at, field_name) if at else ""
        at = columns["name"][0]
        resting = values["out_of_service_from"]
        _check(kind, values)
    except InputError as error:
        grid.add(error.finding, row, at)
        return None
    resting = math.inf if math.isnan(resting) else resting
    until = values["valid_until"]
    until = until if until < resting else resting - 1 if math.isfinite(resting) else until
    limit = values["rated_pressure"] if kind == HOSE else values["torque_limit"]
    return Equipment(
        kind, name, grid.sheet, row, values["low"], values["high"], values["resolution"], values["ratio"], limit,
        values["calibrated_on"], until, words, units, resting,
    )  # fmt: skip


def _check(kind: str, values: Mapping[str, float]) -> None:
    """What a tool of a kind must state."""
    for name in {HAND_WRENCH: ("low", "high", "valid_until"), MULTIPLIER: ("ratio", "torque_limit")}.get(kind, ()):
        if math.isnan(values[name]):
            raise stop("tool_needs", kind, needs=name)
    if values["low"] >= values["high"]:
        raise stop("tool_range", kind, low=values["low"], high=values["high"])
    if values["calibrated_on"] > values["valid_until"]:
        dates = {"calibrated": day(values["calibrated_on"]), "valid_until": day(values["valid_until"])}
        raise stop("dates_reversed", kind, **dates)


def named_tool(equipment: Sequence[Equipment], kind: str, name: str) -> Equipment | None:
    """The tool of a kind by its name, in capitals or not."""
    return next((tool for tool in equipment if tool.kind == kind and tool.name.casefold() == name.casefold()), None)


def hand_tools(equipment: Sequence[Equipment]) -> HandTools:
    """The hand torque wrenches and multipliers as rows by hand use them."""
    wrenches = [tool for tool in equipment if tool.kind == HAND_WRENCH]
    multipliers = [tool for tool in equipment if tool.kind == MULTIPLIER]
    return HandTools(
        tuple(HandTool(t.name, t.high, t.low, first=t.calibrated, last=t.valid_until) for t in wrenches),
        tuple(HandTool(t.name, t.limit, ratio=t.ratio, first=t.calibrated, last=t.valid_until) for t in multipliers),
    )


def check_hoses(
    sheets: Sequence[tuple[Grid, WrenchSheet]], equipment: Sequence[Equipment]
) -> list[tuple[Grid, WrenchSheet]]:
    """The sheets; one whose hose is rated otherwise in the sheet of hoses has a fault, and its wrench is not used."""
    checked = []
    for grid, sheet in sheets:
        checked.append((grid, sheet))
        hose = named_tool(equipment, HOSE, sheet.words.get("hose", ""))
        if hose is None or sheet.wrench is None or math.isnan(sheet.wrench.hose_rated_pressure):
            continue
        if abs(sheet.wrench.hose_rated_pressure / hose.limit - 1) > 0.02:
            row = sheet.rows["hose_rated_pressure"]
            facts = {"text": hose.name, "here": sheet.wrench.hose_rated_pressure, "there": hose.limit}
            grid.stop("hose_ratings_differ", "hose", row, 2, **facts)
            checked[-1] = (grid, replace(sheet, faults=(*sheet.faults, grid.found[-1])))
    return checked
