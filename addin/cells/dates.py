"""One cell -> a day number, or the fact of what is wrong with it."""

import datetime
import re

from addin.cells.numbers import Cell, error_text, is_blank, plain_text
from calc.findings import stop

FIRST, LAST = datetime.date(1980, 1, 1), datetime.date(2099, 12, 31)
"""Days outside are refused: a serial number or a year typed wrong. Common practice, no source."""

_ISO = re.compile(r"(\d{4})-(\d{2})-(\d{2})(?:[T ]00:00(?::00)?)?", re.ASCII)
_DIGITS = re.compile(r"\d{1,4}[./ -]\d{1,2}[./ -]\d{1,4}", re.ASCII)


def read_day(value: Cell, name: str) -> float:
    """A date cell, or text like 2026-05-18, as a day number (`datetime.date.toordinal`).

    Text in any other form is refused, for 03/04/2026 is two days. A number is refused: nothing says that it is a date.

    Raises InputError: `missing`, `error_cell`, `date_ambiguous`, `not_a_date`, `date_outside`.

    >>> read_day("2026-03-14", "job_date"), read_day(datetime.datetime(2026, 3, 14), "job_date")
    (739689.0, 739689.0)
    """
    if is_blank(value):
        raise stop("missing", name, known=())
    if error := error_text(value):
        raise stop("error_cell", name, text=error)
    if isinstance(value, datetime.datetime):
        day = value.date()
    elif isinstance(value, datetime.date):
        day = value
    else:
        text = plain_text(value)
        match = _ISO.fullmatch(text) if isinstance(value, str) else None
        if not match:
            typed = isinstance(value, str) and _DIGITS.fullmatch(text)
            raise stop("date_ambiguous" if typed else "not_a_date", name, text=text)
        try:
            day = datetime.date(*(int(part) for part in match.groups()))
        except ValueError:
            raise stop("not_a_date", name, text=text) from None
    if not FIRST <= day <= LAST:
        raise stop("date_outside", name, text=day.isoformat(), low=FIRST.isoformat(), high=LAST.isoformat())
    return float(day.toordinal())
