"""Nuts: series, and what is refused."""

import pytest

from addin.cells.words import line
from calc.findings import InputError
from calc.hardware import nuts, threads
from calc.units import system


@pytest.mark.parametrize(
    ("thread", "series", "millimetres"),
    [
        ("M36x4", "ISO 4032", 55), ("M36x4", "iso 4032 style 1", 55), ("M36x4", "ISO-4033", 55),
        ("M24", "heavy hex", 41), ("M36x4", "heavy hex", 60),
        ("M24", "Metric Heavy Hex nut", 41), ("M12", "DIN 934", 19), ("M12", "ISO 4032", 18),
        ("1 1/2-8", None, 60.325), ("1 1/2-8", "heavy hex", 60.325), ("1-8", "hex", 38.1),
        ("1-8", "HEAVY HEX NUTS", 41.275),
    ],
)  # fmt: skip
def test_across_flats(thread: str, series: str | None, millimetres: float) -> None:
    assert nuts.across_flats(threads.parse(thread), series) * 1e3 == pytest.approx(millimetres, rel=1e-12)


@pytest.mark.parametrize(
    ("thread", "series", "code"),
    [
        ("M36x4", None, "series_needed"), ("M36x4", "", "series_needed"), ("M24", "round", "series_unknown"),
        ("M24", "hex", "series_system"), ("1-8", "ISO 4032", "series_system"),
        ("M70x3", "ISO 4032", "nut_not_in_table"),
        ("2-8", "hex", "nut_not_in_table"), ("3/8-16", "heavy hex", "nut_not_in_table"),
        ("M60x5.5", "heavy hex", "nut_not_in_table"),
    ],
)  # fmt: skip
def test_what_is_refused(thread: str, series: str | None, code: str) -> None:
    with pytest.raises(InputError) as caught:
        nuts.across_flats(threads.parse(thread), series)

    assert caught.value.finding.code == code


@pytest.mark.parametrize(
    ("thread", "series", "said"),
    [
        ("4 1/4-8 UN", None, "no heavy hex nut for 4 1/4-8 UN in the table, which goes from 12.7 mm to 101.6 mm; give"
                             " the width across flats instead"),
        ("M70x3", "ISO 4032", "no ISO 4032 nut for M70x3 in the table, which goes from 6 mm to 64 mm; give the width"
                              " across flats instead"),
    ],
)  # fmt: skip
def test_a_size_beyond_the_table_says_which_it_has(thread: str, series: str | None, said: str) -> None:
    with pytest.raises(InputError) as caught:
        nuts.across_flats(threads.parse(thread), series)

    assert line(caught.value.finding, system("SI")) == said
