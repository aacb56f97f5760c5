"""How many slips in calibration tables are found, and how many sound tables are doubted.

`python tests/slips/run.py [SLIPS] [SOUND] [SEED]`: plants that many seeded slips (2,000) in sound invented tables and
reads them and as many sound ones (3,000) as wrench books, once with and once without the rated torque. A slip is silent
when no finding names the wrench's table; what counts is a silent slip that puts a torque more than 3 % off. A nominal
chart (a factor times the pressure, rounded) has no slip but was not measured either: it is counted apart, for it should
be asked about. The script uses the reader of wrench books alone, so that it runs on any commit.
"""

import datetime
import importlib
import importlib.util
import sys
import tempfile
import time
from collections import Counter, defaultdict
from pathlib import Path
from typing import Any

import xlsxwriter
from plant import Copied, copied, plant, worst
from sound import Sound, make

from calc.units import system

# where the reader of wrench books stood before it had a room of its own
_ROOM = "addin.wrenches" if importlib.util.find_spec("addin.wrenches") else "addin" + ".workbooks"
read_wrench_book = importlib.import_module(f"{_ROOM}.wrench_book").read_wrench_book
PER_BOOK = 100
CHART, MEASURED = "nominal chart", "all measured tables"
NOT_OF_THE_TABLE = {
    "row_not_used", "heading_not_used", "book_empty", "gauge_not_listed", "gauges_missing", "graduation_odd",
}  # fmt: skip


def write(path: Path, certificates: list[tuple[Sound, Copied]], *, rated: bool) -> None:
    """A wrench book with a sheet for each certificate."""
    book = xlsxwriter.Workbook(path)
    day = book.add_format({"num_format": "yyyy-mm-dd"})
    made, until = datetime.date(2026, 1, 10), datetime.date(2027, 1, 9)
    for number, (s, c) in enumerate(certificates):
        sheet = book.add_worksheet(f"W{number}")
        labels: list[tuple[str, Any]] = [
            ("Wrench", f"W{number}"), ("Certificate", f"C-{number}"), ("Calibrated on", made),
            ("Certificate valid until", until), (f"Rated pressure ({s.pressure_unit})", s.rated_pressure),
            ("Gauge", "G"),
        ]  # fmt: skip
        if rated:
            labels.append((f"Rated torque ({s.torque_unit})", s.rated_torque))
        if s.stroke_angle is not None:
            labels += [("Stroke angle (deg)", s.stroke_angle), ("Oil per stroke (cm3)", s.oil_per_stroke)]
        for row, (label, value) in enumerate(labels):
            sheet.write(row, 0, label)
            sheet.write(row, 1, value, day if isinstance(value, datetime.date) else None)
        at = len(labels) + 1
        heads = ["Link", "Across flats (mm)", "Torque factor"]
        links: list[Any] = ["square", 60, 1]
        if s.link_limit is not None:
            heads.append(f"Torque limit ({s.torque_unit})")
            links.append(s.link_limit)
        sheet.write_row(at, 0, heads)
        sheet.write_row(at + 1, 0, links)
        sheet.write_row(at + 3, 0, [f"Pressure ({c.pressure_unit})", f"Torque ({c.torque_unit})"])
        for i, pair in enumerate(zip(c.pressure, c.torque, strict=True)):
            sheet.write_row(at + 4 + i, 0, pair)
    gauges = book.add_worksheet("Gauges")
    gauges.write_row(0, 0, ["Gauge", "Unit", "Range", "Graduation", "Valid until"])
    gauges.write_row(1, 0, ["G", "bar", 1000, 10])
    gauges.write(1, 4, until, day)
    book.close()


def judge(certificates: list[tuple[Sound, Copied]], *, rated: bool) -> tuple[list[str], list[set[str]], float]:
    """Per certificate "stop", "caution" or "silent", and the codes; seconds of reading."""
    said, codes, spent = [], [], 0.0
    with tempfile.TemporaryDirectory() as folder:
        for start in range(0, len(certificates), PER_BOOK):
            path = Path(folder) / f"{start}.xlsx"
            part = certificates[start : start + PER_BOOK]
            write(path, part, rated=rated)
            began = time.process_time()
            book = read_wrench_book(path, system("SI"))
            spent += time.process_time() - began
            levels: dict[str, set[str]] = defaultdict(set)
            found: dict[str, set[str]] = defaultdict(set)
            for finding in book.findings:
                if finding.code not in NOT_OF_THE_TABLE:
                    levels[finding.facts["sheet"]].add(finding.level)
                    found[finding.facts["sheet"]].add(finding.code)
            for number in range(len(part)):
                level = levels[f"W{number}"]
                said.append(next((name for name in ("stop", "caution") if name in level), "silent"))
                codes.append(found[f"W{number}"])
    return said, codes, spent


def main() -> None:
    slips, sound, first = (int(text) for text in [*sys.argv[1:], *("2000", "3000", "0")[len(sys.argv) - 1 :]])
    plain = [make(first + seed) for seed in range(sound)]
    made = [make(first + 1_000_000 + seed) for seed in range(slips)]
    planted = [plant(first + seed, s) for seed, s in enumerate(made)]
    off = [worst(s, c) for s, (_, c) in zip(made, planted, strict=True)]
    for rated in (True, False):
        print(f"\n=== {'with' if rated else 'without'} the rated torque")
        said, codes, seconds = judge([(s, copied(s)) for s in plain], rated=rated)
        rows: dict[str, Counter[str]] = defaultdict(Counter)
        for s, level in zip(plain, said, strict=True):
            rows[s.kind][level] += 1
            if s.kind != CHART:
                rows[MEASURED][level] += 1
        print(f"\n{'sound tables':44}{'number':>8}{'stopped':>9}{'caution':>9}{'silent':>8}")
        for kind, count in sorted(rows.items(), key=lambda item: (item[0] == CHART, item[0] == MEASURED)):
            n = sum(count.values())
            print(f"{kind:44}{n:8}{count['stop']:9}{count['caution']:9}{count['silent']:8}")
        alarms = Counter(code for found in codes for code in found)
        measured, chart = rows[MEASURED], rows[CHART]
        shares = [100 * count["caution"] / max(sum(count.values()), 1) for count in (measured, chart)]
        print(f"cautions on measured tables {shares[0]:.1f} %; nominal charts asked about {shares[1]:.1f} %")
        print("alarms:", dict(alarms.most_common()), f"reading {1000 * seconds / max(sound, 1):.2f} ms a table")
        said, codes, _ = judge([(s, c) for s, (_, c) in zip(made, planted, strict=True)], rated=rated)
        rows = defaultdict(Counter)
        for (name, _), level, wrong in zip(planted, said, off, strict=True):
            for key in (name, "all slips"):
                rows[key][level] += 1
                rows[key]["bad"] += wrong > 0.03
                rows[key]["silent and bad"] += level == "silent" and wrong > 0.03
        print(f"\n{'slips':44}{'number':>8}{'stopped':>9}{'caution':>9}{'silent':>8}{'>3 %':>7}{'silent >3 %':>13}")
        for kind, count in sorted(rows.items(), key=lambda item: item[0] == "all slips"):
            n = count["stop"] + count["caution"] + count["silent"]
            print(f"{kind:44}{n:8}{count['stop']:9}{count['caution']:9}{count['silent']:8}{count['bad']:7}"
                  f"{count['silent and bad']:7}{100 * count['silent and bad'] / n:5.1f}%")  # fmt: skip


if __name__ == "__main__":
    main()
