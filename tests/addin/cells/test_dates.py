"""Dates of cells: real ones and ISO text, nothing that may be read in two ways."""

import datetime

import pytest

from addin.cells.dates import read_day
from calc.findings import InputError

DAY = datetime.date(2026, 3, 14)


@pytest.mark.parametrize(
    "cell",
    [
        DAY,
        datetime.datetime(2026, 3, 14, 7, 30),
        "2026-03-14",
        " 2026-03-14\u00a0",
        "2026-03-14T00:00:00",
        "14/03/2026",
        "3/14/2026",
        "2026/03/14",
        "2026-3-14",
        "14 March 2026",
        "14-Mar-2026",
        "March 14, 2026",
        "14. März 2026",
        "14 mars 2026",
        "14 de marzo de 2026",
        "14 marzo 2026",
        "14 de março de 2026",
        "14.03.2026",
    ],
)
def test_taken(cell: object) -> None:
    assert read_day(cell, "job_date") == DAY.toordinal()


@pytest.mark.parametrize(
    ("cell", "code"),
    [
        (None, "missing"), ("  ", "missing"), ("03/04/2026", "date_ambiguous"), ("3.4.26", "date_ambiguous"),
        ("3.4.2026", "date_ambiguous"), ("14-Mar-26", "not_a_date"), ("31 April 2026", "not_a_date"),
        (46095, "not_a_date"), (46095.0, "not_a_date"), (True, "not_a_date"), ("#N/A", "error_cell"),
        (-2146826246, "error_cell"), ("2026-13-01", "not_a_date"), (datetime.date(1926, 3, 14), "date_outside"),
        ("2126-03-14", "date_outside"), (datetime.time(7, 30), "not_a_date"),
    ],
)  # fmt: skip
def test_refused(cell: object, code: str) -> None:
    with pytest.raises(InputError) as caught:
        read_day(cell, "job_date")
    assert caught.value.finding.code == code
    assert caught.value.finding.quantity == "job_date"
