"""Words of cells speak for the same fields whatever figures stand among them."""

import random
import re

import pytest

from addin.reading.evidence import fields_said
from addin.reading.tables import table

PATTERNS = [(name, re.compile(pattern)) for name, pattern, _ in table("cell_words.csv")]
WORDS = [word for _, pattern in PATTERNS for word in re.findall(r"[^\W\d_]{2,}|\d+", pattern.pattern)]


@pytest.mark.parametrize("seed", range(2))
def test_each_word_of_the_table_speaks_for_its_field_in_any_text(seed: int) -> None:
    chance = random.Random(seed)
    signs = (" ", "-", "/", ".", "1", "12", "316", "(", "°", "é")
    for _ in range(250):
        pieces = [chance.choice((chance.choice(WORDS), chance.choice(signs))) for _ in range(chance.randint(1, 5))]
        text = chance.choice((str.title, str.upper, str))("".join(pieces))
        assert fields_said(text) == {name for name, pattern in PATTERNS if pattern.search(text.lower())}, text


def test_figures_make_no_word_of_a_tag() -> None:
    assert {fields_said(f"XQ-{number:05d}-7") for number in range(500)} == {frozenset()}
