"""What a plan says of the interaction of a joint's studs, as typed records."""

from typing import Any

import msgspec

from addin.plan.entries import Amount, Entry


class GivenEntry(Entry, frozen=True, kw_only=True):
    """An input of the model of interaction, by its name: stated, or assumed with its range and basis."""

    name: str
    value: Any
    unit: str = ""
    range: str = ""
    basis: str = ""


class CourseEntry(Entry, frozen=True, kw_only=True):
    """One pass of the model: loads after it, band of the lowest, difference of closure; older plans have no band."""

    number: int = msgspec.field(name="pass")
    pattern: str
    percent: float
    moves: int
    mean: float
    lowest: float
    highest: float
    kept: tuple[float, ...]
    lowest_low: float | None = None
    lowest_high: float | None = None
    uneven: float | None = None
    variation_percent: float | None = None


class KeptEntry(Entry, frozen=True, kw_only=True):
    """What one stud keeps, with the ends of its scatter and of the model's band."""

    stud: int
    kept: float
    p5: float
    p95: float
    band_low: float | None = None
    band_high: float | None = None


class CircularEntry(Entry, frozen=True, kw_only=True):
    """How many circular passes make the studs alike; None where the most that were tried do not."""

    most: int
    variation_percent: float
    mean_percent: float
    count: int | None = None


class StudSettingEntry(Entry, frozen=True, kw_only=True):
    """Setting of one stud for the engineer: never for a crew."""

    stud: int
    percent: float
    load: float
    torque: float
    kept: float
    closing: float
    pressure: float | None = None
    remark: str = ""


class StudSettingsEntry(Entry, frozen=True, kw_only=True):
    """Settings stud by stud for one pass after others."""

    cap_percent: float
    after: str
    highest_percent: float
    torque_unit: str
    studs: tuple[StudSettingEntry, ...]
    said: tuple[str, ...] = ()
    pressure_unit: str | None = None


class InteractionEntry(Entry, frozen=True, kw_only=True):
    """What each stud of a joint keeps after its neighbours are tightened, or in the note why it was not worked out."""

    note: str | None = None
    wording: str = ""
    band: str = ""
    scatter: str = ""
    length_unit: str = ""
    said: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    target: Amount | None = None
    plan: str = ""
    at_once: int = 1
    inputs: tuple[GivenEntry, ...] = ()
    assumed: tuple[GivenEntry, ...] = ()
    unit: str = ""
    passes: tuple[CourseEntry, ...] = ()
    studs: tuple[KeptEntry, ...] = ()
    circular_passes: CircularEntry | None = None
    settings: StudSettingsEntry | None = None
