"""Writes `samples/drigrauvex-records.xlsx`: a filled record of the sample plan, for every reason that one can give.

Run `python tests/make_record_samples.py` after a change of the samples, of what a plan says, or here: the cards'
revisions come from the plan of the sample list. Crew, products and dates are invented.
"""

import sys
import tempfile
from datetime import date
from pathlib import Path
from typing import Any

from click.testing import CliRunner
from openpyxl import Workbook

sys.path.insert(0, str(Path(__file__).parent))  # pytest, looking for doctests, imports this file by its path
from make_record_sheet import NOTES, H  # noqa: E402
from plain_plan import plain_plan  # noqa: E402
from sheet_layout import notes_sheet, save  # noqa: E402

from addin.cli import main  # noqa: E402
from addin.records.record_sheet import RecordSheet, SheetStyle, fill  # noqa: E402

SAMPLES = Path(__file__).parents[1] / "samples"
MAKE, TEST, AGAIN = "final make-up", "test make-up", "retighten"
OLD_CARD = "1C04-77AB"


def sample_plan() -> dict[str, Any]:
    """The plan of the sample list."""
    with tempfile.TemporaryDirectory() as folder:
        arguments = ["plan", str(SAMPLES / "drigrauvex-joints.xlsx"), "--wrenches",
                     str(SAMPLES / "drigrauvex-wrenches.xlsx"), "--out", folder]  # fmt: skip
        CliRunner().invoke(main, arguments, catch_exceptions=False)
        (path,) = Path(folder).glob("*-plan.json")
        return plain_plan(path)


def rows(plan: dict[str, Any]) -> list[dict[str, Any]]:
    """The rows of the record, joint by joint."""
    joints = {(joint["joint"], joint["operation"]): joint for joint in plan["joints"]}
    made: list[dict[str, Any]] = []

    def add(joint: str, done: str | None = "as planned", operation: str = MAKE, **more: Any) -> None:
        entry = joints.get((joint, operation))
        row = {"Joint": joint, "Operation": operation, H["card"]: entry["card"] if entry else "7777-0000",
               H["done"]: done, H["by"]: "crew A",
               H["date"]: date.fromisoformat(entry["date"]) if entry else date(2026, 10, 8)}  # fmt: skip
        made.append(row | {H[name]: value for name, value in more.items()})

    def differs(joint: str, passes: str, wrench: str | None, pressure: Any, **more: Any) -> None:
        unit = None if pressure is None else more.pop("pressure_unit", "psi")
        add(joint, "differs", passes=passes, wrench=wrench, pressure=pressure, pressure_unit=unit, **more)

    add("V-1101-MH", operation=TEST)
    add("V-1101-MH", passes="1-2")
    differs("V-1101-MH", "3 to 5", "HW-3", 2550, gauge="G-1", remarks="HW-2 needed elsewhere, same pressure kept")
    add("V-1101-N1", remarks="HW-1 stalled after pass 2")
    differs("V-1101-N1", "3-5", "HW-8", 5050, gauge="G-1", link="2 in socket")
    add("V-1101-N2", lubricant="L-10", batch="10-553", remarks="= L-20 tin was empty")
    add("V-1101-N3", lubricant="L-20", batch="20-118")
    add("V-1101-N7")
    add("V-1101-N7", "differs", passes="5", torque=85, torque_unit="lbf·ft", lubricant="as planned")
    add("E-1204-CH", wrench="HW-3", remarks="swap on the deck: settings of the card for HW-3")
    add("E-1204-GF", passes="1-2", remarks="shift ended")
    add("E-1204-N1", passes="1-2")
    differs("E-1204-N1", "3-5", "HW-3", 2400, gauge="G-2", link="2-3/16 in link")
    add("E-1205-FH", passes="1, 2, 4, 5")
    add("E-1205-N3")
    add("E-1205-N3", by="crew B", remarks="typed by both crews")
    add("T-1401-HF", card=OLD_CARD, remarks="card of revision B")
    add("T-1401-BTM", card=None, date=None)
    add("T-1401-BTM", "open", operation=AGAIN)
    add("T-1401-N9", passes="1-2")
    differs("T-1401-N9", "3", None, 1300)
    add("C-1301-SUC", passes="1-2")
    differs("C-1301-SUC", "3", "HW-3", 3400, gauge="G-1")
    add("C-1301-DIS", passes="1-2")
    add("C-1301-DIS", passes="3", time="13:40")
    add("C-1301-DIS", passes="4", time="12:10")
    add("C-1301-DIS", passes="5", time="13:00")
    add("V-1302-MH", passes="1-2")
    differs("V-1302-MH", "3", "HW-2", 3750, gauge="G-2", link="2-9/16 in long link")
    differs("V-1302-MH", "4", "HW-2", 3750, gauge="G-2", link="2-3/8 in socket")
    add("P-1601A-DIS", lubricant="copper paste")
    add("P-1601B-DIS", passes="1-4")
    differs("P-1601B-DIS", "5", "HW-5", 11400, gauge="G-2")
    differs("H-1501-OUT", "1", "HW-9", 1350, gauge="G-2", lubricant="L-20")
    differs("H-1501-OUT", "2", "HW-2", 2600, gauge="G-9")
    differs("H-1501-PSV", "1", None, None)
    differs("H-1501-PSV", "2", "HW-5", None)
    add("A-1803-HC", passes="1-4")
    differs("A-1803-HC", "5", "HW-1", 9900, gauge="G-2")
    add("V-1901-N1", lubricant="L-20")
    add("V-1901-N2")
    add("V-1901-N3", passes="1-2")
    add("V-1901-N3", "differs", passes="3", torque=585, torque_unit="lbf·ft")
    add("E-501-CH")
    add("E-501-SH", date="10/11/2026", remarks="which month?")
    add("V-502-MH", passes="1-4")
    differs("V-502-MH", "5", "HW-7", "about 250", gauge="G-3", pressure_unit="bar")
    add("V-502-N1", passes="1-3")
    add("V-502-N1", passes="3-5")
    add("V-502-N4")
    add("P-503-CAS", passes="1-3")
    differs("C-504-DIS", "1", "HW-6", 100, gauge="G-3", pressure_unit="bar", lubricant="L-20")
    add("R-1801-TOP", card=None, remarks="tensioning record TR-114")
    add("V-1101-N8", remarks="tag copied wrong")
    add("P-503-DRN", passes="7")
    add("P-503-DRN", None, remarks="scaffold not ready")
    return made


TITLE = (
    "Drigrauvex condensate unit: as-tightened record, autumn outage 2026 (invented; most rows are wrong on purpose, so"
    " that every reason can be seen)"
)


def workbook(plan: dict[str, Any]) -> Workbook:
    book = Workbook()
    sheet = book.active
    sheet.title = "Records"
    fill(sheet, RecordSheet("Records", TITLE, "", rows(plan), 6), SheetStyle(book), None, "A4")
    notes_sheet(book, "Notes", NOTES)
    return book


if __name__ == "__main__":
    save(workbook(sample_plan()), SAMPLES / "drigrauvex-records.xlsx")
