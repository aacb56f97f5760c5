"""One cell -> a day number, or the fact of what is wrong with it."""

import calendar
import datetime
import re
import unicodedata
from collections.abc import Iterable

from addin.cells.numbers import Cell, error_text, is_blank, plain_text
from calc.findings import stop

FIRST, LAST = datetime.date(1980, 1, 1), datetime.date(2099, 12, 31)
"""Days outside are refused: a serial number or a year typed wrong. Common practice, no source."""

_ISO = re.compile(r"(\d{4})-(\d{2})-(\d{2})(?:[T ]00:00(?::00)?)?", re.ASCII)
_DIGITS = re.compile(r"\d{1,4}[./ -]\d{1,2}[./ -]\d{1,4}", re.ASCII)


_NAMED = (
    re.compile(
        r"(?P<day>\d{1,2})(?:st|nd|rd|th|\.|er)?[ -]+(?:de |di )?(?P<month>[^\W\d]+)\.?,?[ -]+(?:de )?(?P<year>\d{4})"
    ),
    re.compile(r"(?P<month>[^\W\d]+)\.?[ -]+(?P<day>\d{1,2})(?:st|nd|rd|th)?,?[ -]+(?P<year>\d{4})"),
)
_MONTHS = {
    name: number
    for number, names in enumerate(
        [
            "jan january januar janner janvier janv enero ene gennaio gen janeiro",
            "        feb february februar fevrier fevr fev febrero febbraio fevereiro",
            "        mar march marz maerz mrz mars marzo marco",
            "        apr april avril avr abril abr aprile",
            "        may mai mayo maggio mag maio",
            "        jun june juni juin junio giugno giu junho",
            "        jul july juli juillet juil julio luglio lug julho",
            "        aug august aout agosto ago",
            "        sep sept september septembre septiembre settembre set setembro",
            "        oct october oktober okt octobre octubre ottobre ott outubro out",
            "        nov november novembre noviembre novembro",
            "        dec december dezember dez decembre diciembre dic dicembre dezembro",
        ],
        start=1,
    )
    for name in names.split()
}
"""Names of months in English, German, French, Spanish, Italian and Portuguese, in small letters without accents."""


def _named_day(text: str) -> datetime.date | None:
    """A day that can be read in one way only: its month as a word, the year first, or one number above 12.

    >>> _named_day("30 Apr 2027"), _named_day("31/12/2026"), _named_day("03/04/2026")
    (datetime.date(2027, 4, 30), datetime.date(2026, 12, 31), None)
    """
    bare = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(mark for mark in bare if not unicodedata.combining(mark))
    for pattern in _NAMED:
        match = pattern.fullmatch(plain)
        if match and match["month"] in _MONTHS:
            return _date(int(match["year"]), _MONTHS[match["month"]], int(match["day"]))
    if match := re.fullmatch(r"(\d{4})[./-](\d{1,2})[./-](\d{1,2})", plain):
        return _date(*(int(part) for part in match.groups()))
    if match := re.fullmatch(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4})", plain):
        one, other, year = int(match[1]), int(match[3]), int(match[4])
        if one > 12 >= other or one == other:
            return _date(year, other, one)
        if other > 12 >= one:
            return _date(year, one, other)
    return None


_SHORT = re.compile(r"(\d{1,2})[ .-]([^\W\d]+)\.?[ .-](\d{2})")
_TWO = re.compile(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4}|\d{2})")


def day_comes_first(texts: Iterable[str]) -> bool | None:
    """Whether days stand before months in dates typed as numbers, by those that can be read in one way only; None where
    none tells or they differ.

    >>> day_comes_first(["08/10/2026", "19/10/2026"]), day_comes_first(["08/10/2026"])
    (True, None)
    """
    found = set()
    for text in texts:
        match = _TWO.fullmatch(text.strip())
        one, other = (int(match[1]), int(match[3])) if match else (0, 0)
        if one > 12 >= other > 0 or other > 12 >= one > 0:
            found.add(one > 12)
    return found.pop() if len(found) == 1 else None


def _in_order(text: str, *, day_first: bool | None) -> datetime.date | None:
    """A day of a record: 16-Mar-27, or two numbers whose order the other dates of the column show."""
    if (match := _SHORT.fullmatch(text.casefold())) and match[2] in _MONTHS:
        return _date(2000 + int(match[3]), _MONTHS[match[2]], int(match[1]))
    if day_first is None or not (match := _TWO.fullmatch(text)):
        return None
    first, second, year = int(match[1]), int(match[3]), int(match[4]) + (2000 if len(match[4]) == 2 else 0)
    return _date(year, *((second, first) if day_first else (first, second)))


def two_ways(text: str, *, day_first: bool) -> datetime.date | None:
    """A date of two numbers and a year ("08/10/2026"), in a given order; None for any other text.

    >>> two_ways("08/10/2026", day_first=True), two_ways("8 Oct 2026", day_first=True)
    (datetime.date(2026, 10, 8), None)
    """
    return _in_order(text, day_first=day_first) if _TWO.fullmatch(text) else None


def _date(year: int, month: int, day: int) -> datetime.date | None:
    try:
        return datetime.date(year, month, day)
    except ValueError:
        return None


def months_later(day: float, months: int) -> float:
    """The same day of a later month, or its last one where it is shorter.

    >>> import datetime as d
    >>> d.date.fromordinal(int(months_later(d.date(2026, 1, 31).toordinal(), 13)))
    datetime.date(2027, 2, 28)
    """
    start = datetime.date.fromordinal(int(day))
    year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return float(datetime.date(year, month + 1, min(start.day, last)).toordinal())


def read_work_day(value: Cell, name: str, *, day_first: bool | None = None) -> float:
    """A day on which something was done: as `read_day`, and 16-Mar-27; `day_first` says how 03/04/2026 is meant.

    >>> read_work_day("16-Mar-27", "date") == read_day("2027-03-16", "date")
    True
    """
    text = plain_text(value) if isinstance(value, str) else ""
    found = _in_order(text, day_first=day_first) if _named_day(text) is None else None
    return read_day(value if found is None else found, name)


def read_day(value: Cell, name: str) -> float:
    """A date cell, or text that can be read in one way (2026-05-18, 18 May 2026, 18/05/2026), as a day number.

    03/04/2026 is two days and refused (`datetime.date.toordinal` gives the number). A number is refused: nothing says
    that it is a date.

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
        read = _date(*(int(part) for part in match.groups())) if match else None
        if read is None and not match and isinstance(value, str):
            read = _named_day(text)
        if read is None:
            typed = not match and isinstance(value, str) and _DIGITS.fullmatch(text)
            raise stop("date_ambiguous" if typed else "not_a_date", name, text=text)
        day = read
    if not FIRST <= day <= LAST:
        raise stop("date_outside", name, text=day.isoformat(), low=FIRST.isoformat(), high=LAST.isoformat())
    return float(day.toordinal())
