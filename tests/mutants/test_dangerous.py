"""The dangerous changes can still be made: each text stands once in the program as it is."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from dangerous import DANGEROUS  # noqa: E402

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(
    ("file", "before", "after"), [each[1:] for each in DANGEROUS], ids=[each[0] for each in DANGEROUS]
)
def test_its_text_stands_once_and_the_changed_file_is_python(file: str, before: str, after: str) -> None:
    source = (ROOT / file).read_text(encoding="utf-8")

    assert source.count(before) == 1
    compile(source.replace(before, after), file, "exec")
