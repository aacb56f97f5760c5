"""What a start of Excel's or Calc's Python process loads: nothing heavy that a plain function does not need."""

import subprocess
import sys

import pytest

HEAVY = ("pint", "scipy", "openpyxl", "pandas", "pyopenvba")


@pytest.mark.parametrize(
    "module", ["addin.functions.registry", "addin.hosts.excel", "addin.hosts.libreoffice.worker", "addin.cli"]
)
def test_nothing_heavy_is_loaded(module: str) -> None:
    code = f"import sys, {module}; print([name for name in {HEAVY!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-P", "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_the_command_line_does_not_load_the_hosts() -> None:
    """`tautsheet call` stays quick."""
    code = "import sys, addin.cli; print('xlwings' in sys.modules, 'addin.hosts.libreoffice.office' in sys.modules)"
    done = subprocess.run([sys.executable, "-P", "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "False"]
