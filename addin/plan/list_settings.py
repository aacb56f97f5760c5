"""What a planner states for a whole list: each setting once, with help, limits and default; to a plan and back."""

import datetime
import math
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any, Self

from addin.cells.words import day
from addin.plan.record import PlanHead, SettingsEntry
from addin.reading.understood import Answers
from addin.workbooks.package import WorkbookError
from calc.plan.joints import METHODS, OPERATIONS, PlanSettings
from calc.preload.scatter import methods
from calc.procedure.passes import schemes
from calc.quantities import QUANTITIES

_ENTRY = {"tolerance": "tolerance_percent", "yield_fraction": "yield_percent", "reserve": "reserve_percent",
          "form": "friction_form"}  # fmt: skip
"""Names in a plan that are not the names of the settings."""
OF_ROWS = ("operation", "method", "lubricant", "wrench")
"""What the reader of a list takes where a row does not say."""


@dataclass(frozen=True)
class ListSetting:
    """What is known of a setting: its help, how an example of it looks, and its choices where there are few.

    `option` is its name on the command line, None where it cannot be given there.
    """

    name: str
    help: str
    option: str | None
    shown: str = ""
    choices: tuple[str, ...] = ()

    @property
    def percent(self) -> bool:
        """Whether a person states it in per cent."""
        return self.name in QUANTITIES and QUANTITIES[self.name].kind == "percent"

    @property
    def numeric(self) -> bool:
        """Whether it is a number."""
        return self.name in QUANTITIES

    @property
    def whole(self) -> bool:
        """Whether it is a whole number."""
        return self.numeric and QUANTITIES[self.name].kind == "count"

    @property
    def limits(self) -> tuple[float, float]:
        """Lowest and highest value, as a person states them."""
        q, scale = QUANTITIES[self.name], 100 if self.percent else 1
        return round(q.low * scale, 9), round(q.high * scale, 9)

    @property
    def known(self) -> tuple[str, ...]:
        """Words that may be stated, where there are some: all of them, or those that are published."""
        if self.name == "scheme":
            return schemes()
        return tuple(each.method for each in methods()) if self.name == "scatter_method" else self.choices

    @property
    def default(self) -> Any:
        """What holds where nothing is stated, as a person would state it; None for nothing."""
        return self.typed(getattr(PlanSettings(), self.name, None))

    def typed(self, value: Any) -> Any:
        """A value of the calculation as a person states it."""
        if value is None or value == "" or (isinstance(value, float) and math.isnan(value)):
            return None
        if self.name == "date":
            return day(value)
        return float(f"{100 * value:.12g}") if self.percent else value

    def meant(self, value: Any) -> Any:
        """What a person states, checked, as the calculation takes it.

        Raises ValueError, in words that follow the name.
        """
        if self.name == "date":
            try:
                return float(datetime.date.fromisoformat(value).toordinal())
            except (ValueError, TypeError):
                raise ValueError(f"'{value}' is not a date like 2026-03-14") from None
        if self.choices and value not in self.choices:
            raise ValueError(f"'{value}' is not one of {', '.join(self.choices)}")
        if not self.numeric:
            return value
        low, high = self.limits
        if not low <= value <= high:  # nor anything that is no number
            raise ValueError(f"{value:g} is not between {low:g} and {high:g}")
        return value / 100 if self.percent else int(value) if self.whole else float(value)


def _stated(help: str, option: str | None = "", shown: str = "", choices: tuple[str, ...] = ()) -> Any:
    return field(default=None, metadata={"help": help, "option": option, "shown": shown, "choices": choices})


@dataclass(frozen=True, kw_only=True)
class ListSettings:
    """What is stated for a whole list, as a person states it: per cent, dates as 2026-03-14; None for what is open.

    Raises ValueError for a value outside its limits.

    >>> ListSettings(tolerance=2.0).settings().tolerance, ListSettings().settings().tolerance
    (0.02, 0.03)
    >>> ListSettings(tolerance=40.0)
    Traceback (most recent call last):
    ValueError: tolerance: 40 is not between 0.1 and 20
    """

    operation: str | None = _stated("Operation of every row that does not say.", choices=OPERATIONS)
    method: str | None = _stated("Method of every row that does not say.", choices=METHODS)
    lubricant: str | None = _stated("Lubricant of the wrench book, in rows that state no friction.", shown="PRODUCT")
    wrench: str | None = _stated(
        "Wrench of the book, in hydraulic rows that do not say; several with a comma between.", shown="NAME"
    )
    date: str | None = _stated("Job date of rows without one.", shown="YYYY-MM-DD")
    scheme: str | None = _stated("Published scheme of passes, or own percentages like 25/50/75/100.", shown="NAME")
    at_once: int | None = _stated("Wrenches together (1, 2 or 4) in rows that do not say.", shown="N")
    breakout_factor: float | None = _stated(
        "Torque to expect at break-out over the torque stated, for break rows that do not say.", shown="X"
    )
    scatter_method: str | None = _stated(
        "Published scatter, e.g. 'torque, lubricated', where a lubricant has no low and high.", "--scatter", "METHOD"
    )
    rounding: str | None = _stated("Which mark of the gauge is set.", choices=("nearest", "down", "up"))
    tolerance: float | None = _stated(
        "How far the torque at full torque may differ by the gauge's marks.", shown="PERCENT"
    )
    yield_fraction: float | None = _stated(
        "Share of the minimum yield that stress with torsion may reach.", "--yield-percent", "PERCENT"
    )
    reserve: float | None = _stated(
        "Share of a wrench's torque kept for break-out where the wrench is chosen here.", shown="PERCENT"
    )
    form: str | None = _stated("Formula between torque and preload.", None)

    def __post_init__(self) -> None:
        for setting in SETTINGS:
            if (value := getattr(self, setting.name)) is not None:
                try:
                    setting.meant(value)
                except ValueError as error:
                    raise ValueError(f"{setting.name}: {error}") from None

    @classmethod
    def of_plan(cls, head: PlanHead) -> Self:
        """What held for the list of a plan. Raises WorkbookError where it is out of limits."""
        entries = {setting.name: getattr(head.settings, _ENTRY.get(setting.name, setting.name), None)
                   for setting in SETTINGS}  # fmt: skip
        try:
            return cls(**(entries | {"date": head.date}))
        except ValueError as error:
            raise WorkbookError(f"settings of the plan: {error}") from error

    def of_rows(self) -> dict[str, str]:
        """What the reader of the list takes where a row does not say."""
        return {name: value for name in OF_ROWS if (value := getattr(self, name))}

    def settings(self) -> PlanSettings:
        """What the calculation takes; its defaults where nothing is stated."""
        known = {each.name for each in fields(PlanSettings)}
        return PlanSettings(
            **{
                setting.name: setting.meant(value)
                for setting in SETTINGS
                if setting.name in known and (value := getattr(self, setting.name)) is not None
            }
        )

    def with_answers(self, given: Answers | None, name: str, *, override: bool = False) -> Self:
        """With what a sheet of answers states for the whole list.

        Raises WorkbookError where both state one and differ, unless the answers override.
        """
        from addin.reading.answer_sheet import settings_of

        own = self.settings()
        stated = {} if override else {n: getattr(own, n) for n in ("at_once", "date") if getattr(self, n) is not None}
        found = settings_of(given, stated, name)
        return replace(self, **{n: _BY_NAME[n].typed(value) for n, value in found.items()})


SETTINGS = tuple(
    ListSetting(
        each.name, each.metadata["help"],
        None if (option := each.metadata["option"]) is None else option or f"--{each.name.replace('_', '-')}",
        each.metadata["shown"], each.metadata["choices"],
    )
    for each in fields(ListSettings)
)  # fmt: skip
"""Every setting, in the order of the help."""
OPTIONS = {setting.name: setting.option for setting in SETTINGS if setting.option}
_BY_NAME = {setting.name: setting for setting in SETTINGS}


def settings_entry(settings: PlanSettings, of_rows: Mapping[str, str]) -> SettingsEntry:
    """What a plan says of the settings that it was made with. `of_rows` as `ListSettings.of_rows` gives it."""
    entries = {_ENTRY.get(each.name, each.name): each.typed(getattr(settings, each.name))
               for each in SETTINGS if each.name not in ("date", *OF_ROWS)}  # fmt: skip
    return SettingsEntry(**{**entries, **of_rows, "torsion": "elastic"})
