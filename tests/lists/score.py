#!/usr/bin/env python3
"""Scores how a program understands the columns of written joint lists (JSON files with their truth).

score.py COMMAND FOLDER|FILE...   COMMAND is the path of `tautsheet`; each list becomes a workbook, `COMMAND columns --json` reads it,
and what was understood is compared with the truth, column by column. Prints a line per list that falls short, then the totals:
  sure right    taken without a question, or compared with the plan, as the truth says
  sure wrong    taken without a question, and the truth says another field or none (worst); "in calculations" those of them that calculate
  proposed      asked, and the truth is the first proposal         asked   asked, the truth among the proposals or none given
  misled        asked, and the first proposal is not the truth     missed  a field that nobody is asked about and that is not used
A field of second rank (area, line, remarks ...) that is missed counts apart ("dropped"). A column that is only compared with the plan
("checked against") is no field where the truth says none, and is right where the truth says its field. "understood": the share of columns
with a field that are sure or whose first proposal is right. "served": not a column is asked about.
"""

import json
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from openpyxl import Workbook

CORE = set(
    [
        "joint",
        "operation",
        "method",
        "thread",
        "studs",
        "grade",
        "stress",
        "percent",
        "load",
        "torque",
        "lubricant",
        "wrench",
        "date",
    ]
) | {
    "nut series",
    "across flats",
    "stress area",
    "nut factor",
    "thread friction",
    "nut friction",
    "at once",
    "size",
    "rating",
}


LATER = {"yield strength", "yield source", "hold point", "witness", "crew", "shift", "work order", "shank diameter", "nut grade", "holes",
         "flange outside diameter", "flange inside diameter", "flange thickness", "gasket load kept"}  # fmt: skip
"""Fields that the truth does not know: the program gained them after the lists were written."""


def build(d, path):
    wb = Workbook()
    ws = wb.active
    ws.title = re.sub(r"[\[\]:*?/\\]", "-", d["sheet"])[:31]
    r = 0
    for part in ("above", "headings", "rows", "below"):
        for row in d[part]:
            r += 1
            for c, v in enumerate(row, 1):
                if v is not None:
                    cell = ws.cell(r, c, v)
                    if isinstance(v, str):
                        cell.data_type = "s"
    for m in d.get("merges", []):
        try:
            ws.merge_cells(m)
        except Exception:
            pass
    wb.save(path)


def read(command, d, folder):
    x = Path(folder) / (d["id"] + ".xlsx")
    build(d, x)
    r = subprocess.run([command, "columns", str(x), "--json"], capture_output=True, text=True)
    try:
        return json.loads(r.stdout)["lists"], r.stdout + r.stderr
    except (ValueError, KeyError):
        return None, r.stdout + r.stderr


def told(columns, truth):
    """What the program says of a column of the truth."""
    none = {"field": "none", "state": "not used", "candidates": []}
    found = columns.get(truth["col"], none)
    return none if found["field"] in LATER and truth["field"] not in LATER else found


def judged(truth, found):
    """How what is said of a column compares with its truth, as at the top of this file; None where there is nothing to say."""
    may, allowed = found["candidates"], {truth["field"], *truth.get("may be", []), *truth.get("also", [])}
    if found["state"] in ("proposed", "asked"):
        if truth["field"] == "none" and truth["sure"]:
            return "needless"
        if may and may[0] in allowed:
            return "proposed"
        return "misled" if may and not allowed & set(may) else "asked"
    if found["state"] == "checked against" and (truth["field"] == "none" or "none" in allowed):
        return None
    if found["field"] == "none" or found["state"] == "not used":
        return None if truth["field"] == "none" else "missed" if truth["field"] in CORE else "dropped"
    if found["field"] in allowed and (truth["sure"] or found["field"] not in CORE):
        return "sure right"
    return "sure wrong"


def calculates(found):
    """Whether the field that is said of a column is one that calculations take."""
    return found["field"] in CORE - {"size", "rating"} | {"joint"}


def main(command, files):
    total = dict.fromkeys(
        (
            "lists",
            "not found",
            "served",
            "served after one look",
            "sure right",
            "sure wrong",
            "proposed",
            "asked",
            "misled",
            "missed",
            "dropped",
            "needless",
            "in calculations",
            "columns with a field",
            "rows found",
            "rows too many",
            "rows missed",
        ),
        0,
    )
    with tempfile.TemporaryDirectory() as folder:
        for f in files:
            d = json.loads(Path(f).read_text(encoding="utf-8"))
            t = d["truth"]
            total["lists"] += 1
            got, said = read(command, d, folder)
            if not got:
                total["not found"] += 1
                print(f"{d['id']}: no list found: {said.strip().splitlines()[-1][:150] if said.strip() else ''}")
                continue
            cols = {c["column"]: c for each in got[:1] for c in each["columns"]}
            rows, truth_rows = {n for each in got for n in each["joint rows"]}, set(t["joint rows"])
            total["rows found"] += len(rows & truth_rows)
            total["rows too many"] += len(rows - truth_rows)
            total["rows missed"] += len(truth_rows - rows)
            marks, questions = [], 0
            for c in t["columns"]:
                g = told(cols, c)
                may = g["candidates"]
                total["columns with a field"] += c["field"] != "none"
                questions += g["state"] in ("proposed", "asked")
                k = judged(c, g)
                if k == "sure wrong" and calculates(g):
                    total["in calculations"] += 1
                if k:
                    total[k] += 1
                    if k not in ("sure right", "proposed"):
                        marks.append(
                            f"{k} {c['col']} {c['field']}->{'/'.join(may) if g['state'] in ('proposed', 'asked') else g['field']}"
                        )
            clean = not [m for m in marks if not m.startswith("dropped")]
            if not t.get("ask"):
                total["served after one look"] += clean
                total["served"] += clean and not questions
            if marks:
                print(f"{d['id']}: " + "; ".join(marks)[:400])
    plain = sum(not json.loads(Path(f).read_text(encoding="utf-8"))["truth"].get("ask") for f in files)
    understood = (total["sure right"] + total["proposed"]) / max(1, total["columns with a field"])
    print(
        f"understood {understood:.1%}; "
        + ", ".join(f"{k} {v}" for k, v in total.items())
        + f" (of {plain} lists without an honest question)"
    )


if __name__ == "__main__":
    files = [p for a in sys.argv[2:] for p in (sorted(Path(a).rglob("*.json")) if Path(a).is_dir() else [a])]
    main(sys.argv[1], files)
