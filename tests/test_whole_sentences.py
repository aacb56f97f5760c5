"""Every finding has a test that holds its whole sentence, as a person reads it.

A sentence counts as held where a text in a test has it from its first to its last word, figures and names filled in.
"""

import ast
import re
import string
from functools import cache
from pathlib import Path

from addin.cells.sentences import SENTENCES
from addin.cells.words import codes

TESTS = Path(__file__).parent
MAY_BE_BLANK = {"hint", "has", "missing", "repeated", "beyond", "best", "reaches", "sizes", "from", "alike", "titles",
                "headings", "confirm", "units of torque"}  # fmt: skip
"""Ways of showing a fact that show nothing where there is nothing."""
LEAST = 12
"""Letters of its own that a sentence must have to be told from others; the rest hand on what others say."""


def pattern(sentence: str) -> str:
    """A sentence with anything in the places of its facts.

    >>> re.fullmatch(pattern("{name} must be above 0, got {text}"), "torque must be above 0, got -5") is not None
    True
    """
    parts = []
    for words, name, spec, _ in string.Formatter().parse(sentence):
        parts.append(re.escape(words))
        if name is not None:
            parts.append(".*?" if spec in MAY_BE_BLANK else ".+?")
    return "".join(parts)


@cache
def texts() -> tuple[str, ...]:
    """Every text in the tests; what is filled in when they run is a mark."""
    found = set()
    for path in TESTS.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found |= {node.value, node.value.replace("\\", "")}
            elif isinstance(node, ast.JoinedStr):
                found.add("".join(str(each.value) if isinstance(each, ast.Constant) else "…" for each in node.values))
    return tuple(text for text in found if len(text) >= LEAST)


def held(sentence: str) -> bool:
    """Whether a sentence stands whole in a test. Only few texts hold its longest piece of words."""
    pieces = [words for words, *_ in string.Formatter().parse(sentence)]
    longest, whole = max(pieces, key=len), re.compile(pattern(sentence), re.DOTALL)
    return any(longest in text and whole.search(text) for text in texts())


def without_a_test() -> list[str]:
    """Codes whose sentence stands whole in no test."""
    own = {code: re.sub(r"\{[^{}]*\}", "", sentence) for code, sentence in SENTENCES.items()}
    return [code for code, sentence in SENTENCES.items() if len(own[code]) >= LEAST and not held(sentence)]


def test_every_finding_has_a_test_of_its_whole_sentence() -> None:
    assert without_a_test() == []
    print(f"{len(codes())} findings are held by their whole sentence")
