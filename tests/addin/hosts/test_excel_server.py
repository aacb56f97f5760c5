"""The process that Excel starts: it serves the session it is given, and nothing else makes it do anything."""

import sys
from pathlib import Path

import pytest

from addin.hosts import excel_server
from addin.hosts.excel_addin import SERVER
from addin.hosts.excel_server import main

sys.path.insert(0, str(Path(__file__).parents[2]))  # pytest, looking for doctests, imports this file by its path
from excel_stand_ins import Excel  # noqa: E402

SESSION = "{506e67c3-55b5-48c3-a035-eed5deea7d6d}"


def test_it_serves_the_session(excel: Excel, monkeypatch: pytest.MonkeyPatch) -> None:
    served: list[str] = []
    monkeypatch.setattr(sys.modules["xlwings.com_server"], "serve", served.append)
    main([SESSION])
    assert served == [SESSION]
    assert excel_server.__name__ == SERVER


@pytest.mark.parametrize("words", [[], ["x"], [SESSION, "x"], [SESSION[1:-1]], [SESSION + " & calc"], ["$(CLSID)"]])
def test_other_words_end_it(words: list[str]) -> None:
    with pytest.raises(SystemExit, match="is started by Excel, with the number of its session"):
        main(words)
