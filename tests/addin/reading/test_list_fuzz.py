"""Random cells in a list: read or refused in one line, never a traceback."""

from pathlib import Path
from typing import Any

import xlsxwriter
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from addin.cli import main
from addin.shipped import folder

BOOK = folder("samples") / "drigrauvex-wrenches.xlsx"
HEADINGS = (
    "Joint", "Operation", "Method", "Stud size", "Studs", "Grade", "Stress (psi)", "Stress area", "Torque (Nm)",
    "Torque", "Nut factor", "Lubricant", "Wrench", "Job date", "Order", "At once", "Remarks", "Qty", "psi",
)  # fmt: skip
WORDS = (
    "E-1", "final make-up", "hydraulic", "hand", "1 1/4", "M36x3", "A193 B7", "root B1.1", "L-20", "HW-1", "=1+1",
    "940 ft-lb", "1,250", "TBC", "#N/A", "Total", "2026-10-08", "03/04/2026", "1-3-2-4", "x" * 400, "\N{NUT AND BOLT}",
)  # fmt: skip
CELL = st.one_of(
    st.none(), st.sampled_from(WORDS), st.sampled_from((0, -1, 16, 24.0, 0.16, 45, 50000, 1e300)), st.booleans(),
    st.dates(), st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=12),
)  # fmt: skip


@settings(max_examples=15, deadline=None)
@given(
    heads=st.lists(st.sampled_from(HEADINGS), min_size=3, max_size=12),
    rows=st.lists(st.lists(CELL, max_size=12), max_size=8),
)
def test_random_lists(heads: list[str], rows: list[list[Any]], tmp_path_factory: Any) -> None:
    where: Path = tmp_path_factory.mktemp("fuzz")
    book = xlsxwriter.Workbook(where / "list.xlsx", {"strings_to_formulas": False, "default_date_format": "yyyy-mm-dd"})
    sheet = book.add_worksheet("Joints")
    sheet.write_row(2, 0, heads)
    for number, row in enumerate(rows, start=3):
        sheet.write_row(number, 0, row)
    book.close()

    call = [
        "plan",
        str(where / "list.xlsx"),
        "--wrenches",
        str(BOOK),
        "--out",
        str(where / "out"),
        "--date",
        "2026-10-08",
    ]
    result = CliRunner().invoke(main, call, catch_exceptions=False)

    assert result.exit_code in (0, 1, 2)
    assert "Traceback" not in result.output
    if result.exit_code == 2:
        left = {path.name for path in (where / "out").iterdir()} if (where / "out").exists() else set()
        assert left <= {"list-questions.xlsx", ".tautsheet-files.json"}
