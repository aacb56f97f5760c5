"""What every record of a plan is made of."""

import math

import msgspec


class Entry(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """What all records of a plan are: frozen, named fields, nothing written for a field that is not stated."""


class Amount(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A number with its unit.

    >>> Amount(math.nan, "psi")
    Traceback (most recent call last):
    ValueError: nan psi is no finite number
    """

    value: float
    unit: str

    def __post_init__(self) -> None:
        if not math.isfinite(self.value):
            raise ValueError(f"{self.value} {self.unit} is no finite number")
