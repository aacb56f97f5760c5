"""The columns that go into a plan. One row is one joint and one operation."""

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from calc.findings import Finding
from calc.wrench.calibration import TOLERANCE

Floats = NDArray[np.float64]
Texts = tuple[str, ...]

OPERATIONS = ("break", "test make-up", "final make-up", "retighten")
METHODS = ("hydraulic", "hand", "other")

PLANNED = "planned"
STOPPED = "stopped"
OTHER = "other method"


@dataclass(frozen=True, eq=False)
class RowUnits:
    """What the units in which each row is shown are in SI: of force [N] and of torque [N·m]. The plan's preloads and
    torques are numbers of 13 digits in them, as a worksheet function would hand them on."""

    force: Floats
    torque: Floats


@dataclass(frozen=True, eq=False)
class Joints:
    """A list of joints, a column each; texts "" and numbers NaN where nothing is stated.

    Names in text columns are as the list writes them (`operation`, `method` and `holes` as the words above and
    "through"/"tapped"); numbers are SI; `date` is a day number. Stud stresses in limits stand on the root B1.1 area.
    `faults` are what the reading found: their rows stop.
    """

    joint: Texts
    operation: Texts
    method: Texts
    thread: Texts
    grade: Texts
    yield_source: Texts
    friction_source: Texts
    comments: Texts
    nut_grade: Texts
    nut_series: Texts
    area: Texts
    lubricant: Texts
    wrench: Texts
    equipment: Texts
    rating: Texts
    order: Texts
    gasket: Texts
    facing: Texts
    flange_kind: Texts
    gasket_kind: Texts
    stud_condition: Texts
    coating: Texts
    washers: Texts
    holes: Texts
    remarks: Texts
    uplift_reason: Texts
    across_flats: Floats
    studs: Floats
    at_once: Floats
    stress: Floats
    percent: Floats
    uplift: Floats
    load: Floats
    torque: Floats
    yield_strength: Floats
    shank_diameter: Floats
    nut_factor: Floats
    thread_friction: Floats
    nut_friction: Floats
    date: Floats
    target_gasket_stress: Floats
    gasket_area: Floats
    gasket_seating: Floats
    gasket_operating: Floats
    gasket_maximum: Floats
    gasket_m: Floats
    gasket_y: Floats
    gasket_inside_diameter: Floats
    gasket_outside_diameter: Floats
    gasket_load_kept: Floats
    design_pressure: Floats
    stud_maximum: Floats
    stud_minimum: Floats
    flange_limit: Floats
    flange_rotation: Floats
    rotation_limit: Floats
    grip: Floats
    bolt_circle: Floats
    flange_outside_diameter: Floats
    flange_inside_diameter: Floats
    flange_thickness: Floats
    breakout_factor: Floats
    stud_temperature: Floats
    faults: tuple[Finding, ...] = ()
    units: RowUnits | None = None
    """None: SI."""

    def __len__(self) -> int:
        return len(self.joint)


TEXT_COLUMNS = tuple(f.name for f in fields(Joints) if f.type == "Texts" or f.type is Texts)
NUMBER_COLUMNS = tuple(f.name for f in fields(Joints) if f.type == "Floats" or f.type is Floats)


def joints(
    count: int, *, faults: Sequence[Finding] = (), units: RowUnits | None = None, **columns: Sequence[object]
) -> Joints:
    """A list from the columns there are; the others are empty. Number columns are copied and read-only.

    >>> len(joints(2, joint=["E-1 channel", "E-2 channel"], studs=[16, 16]))
    2
    """
    unknown = set(columns) - set(TEXT_COLUMNS) - set(NUMBER_COLUMNS)
    if unknown:
        raise TypeError(f"no such column: {sorted(unknown)}")
    for name, values in columns.items():
        if len(values) != count:
            raise ValueError(f"column {name} has {len(values)} rows, the list {count}")
    blank, nothing = ("",) * count, np.full(count, np.nan)  # one for all columns that are not there
    nothing.flags.writeable = False
    texts = {n: tuple(str(v or "").strip() for v in columns[n]) if n in columns else blank for n in TEXT_COLUMNS}
    numbers = {}
    for name in NUMBER_COLUMNS:
        numbers[name] = np.array(columns[name], dtype=float) if name in columns else nothing
        numbers[name].flags.writeable = False
    return Joints(**texts, **numbers, faults=tuple(faults), units=units)  # type: ignore[arg-type]  # columns by name


@dataclass(frozen=True)
class Lubricant:
    """A product of the site's own table: nut factor with its range, or coefficients; NaN where not stated."""

    product: str
    nut_factor: float
    low: float
    high: float
    thread_friction: float
    nut_friction: float
    source: str


@dataclass(frozen=True)
class PlanSettings:
    """What holds for the whole list; every one of them is shown with the plan.

    `yield_fraction`: share of the minimum yield that stress with torsion may reach. `tolerance`: difference of torque
    that rounding to the gauge's marks may make at full torque. `reserve`: share of a wrench's torque kept for
    break-out when it is chosen here. `date`: day number for rows without one. `breakout_factor`: of break rows that
    state none; `scatter_method`: published scatter for rows whose product has no low and high; both are off unless set.
    """

    scheme: str = "PCC-1 legacy"
    at_once: int = 1
    rounding: str = "nearest"
    tolerance: float = TOLERANCE
    yield_fraction: float = 0.9
    reserve: float = 0.1
    date: float = float("nan")
    form: str = "VDI 2230"
    breakout_factor: float = float("nan")
    scatter_method: str = ""
