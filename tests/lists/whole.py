#!/usr/bin/env python3
"""Twelve whole workbooks from the lists, from list to cards, with nothing filled in but the sheet of answers.

whole.py COMMAND BOOK [LIST...]   COMMAND is the path of `tautsheet`, BOOK a wrench book. Each list becomes a workbook as people keep them:
styles, merged cells, a hidden row, a hidden column, the target as formulas with stored values. It is planned; the yellow lines of the sheet
of questions are answered as a planner would (from the list's truth), signed once, and the list is planned again with its cards, until nothing
is asked. Prints per list: lines on the sheet, lines that needed a look (proposed, confirmed as they stood), answers put right or filled in by
hand, runs, and rows planned, stopped and waiting. A word that the book or the tables do not have gets the first of its choices.
"""

import datetime
import json
import re
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

from openpyxl import load_workbook
from openpyxl.styles import Font, PatternFill
from score import build

from addin.plan.file import read_plan

LISTS = Path(__file__).parent
CHOSEN = ("a01", "a14", "b12", "b22", "c10", "c27", "d08", "d16", "e01", "e15", "e22", "f13")


def dressed(d, path):
    """The list as a workbook with styles, a hidden row and column, and its target column as formulas with stored values."""
    build(d, path)
    book = load_workbook(path)
    sheet = book.active
    first = len(d["above"]) + 1
    for cell in sheet[first]:
        cell.font, cell.fill = Font(bold=True), PatternFill("solid", fgColor="D9E1F2")
    sheet.freeze_panes = sheet.cell(first + len(d["headings"]), 2)
    joints = d["truth"]["joint rows"]
    sheet.row_dimensions[joints[len(joints) // 2]].hidden = True
    unused = [c["col"] for c in d["truth"]["columns"] if c["field"] == "none"]
    if unused:
        sheet.column_dimensions[unused[-1]].hidden = True
    stored = {}
    for target in (c["col"] for c in d["truth"]["columns"] if c["field"] in ("torque", "load", "stress")):
        for row in joints:
            value = sheet[f"{target}{row}"].value
            if isinstance(value, (int, float)):
                sheet[f"{target}{row}"] = f"={value}*1"
                stored[f"{target}{row}"] = value
    book.save(path)
    with zipfile.ZipFile(path) as zipped:
        parts = {name: zipped.read(name) for name in zipped.namelist()}
    name = next(name for name in parts if re.fullmatch(r"xl/worksheets/sheet1\.xml", name))
    text = parts[name].decode()
    for cell, value in stored.items():
        text = re.sub(rf'(<c r="{cell}"[^>]*><f>[^<]*</f>)<v\s*/>|(<c r="{cell}"[^>]*><f>[^<]*</f>)<v></v>',
                      lambda m, v=value: f"{m[1] or m[2]}<v>{v}</v>", text)  # fmt: skip
    parts[name] = text.encode()
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as zipped:
        for name, data in parts.items():
            zipped.writestr(name, data)
    return len(stored)


def answer(sheet_file, d):
    """Answer the open lines of a sheet of answers and sign it: (lines, confirmed as they stood, put right by hand)."""
    book = load_workbook(sheet_file)
    page = book["Answers"]
    truth = {c["col"]: c for c in d["truth"]["columns"]}
    whole = {k: v for k, v in d["truth"].get("whole list", {}).items() if isinstance(v, (str, int, float))}
    lines = looked = byhand = 0
    block = ""
    listed = {}  # the choices of column D, row by row
    for rule in page.data_validations.dataValidation:
        area = rule.formula1.rpartition("!")[2].replace("$", "")
        texts = tuple(str(cell.value) for line in book["Answers, choices"][area] for cell in line)
        for each in rule.sqref.ranges:
            if each.min_col == 4:
                listed.update(dict.fromkeys(range(each.min_row, each.max_row + 1), texts))
    for row in range(5, page.max_row + 1):
        texts = [str(page.cell(row, k).value or "") for k in range(1, 9)]
        if texts[0] in ("column", "whole list", "value in", "waits", "rows left out"):
            block = texts[0]
            continue
        state, filled = texts[6], texts[3]
        if texts[0] == "date" and not filled:
            page.cell(row, 4).value = datetime.date(2026, 11, 30)
            byhand += 1
            continue
        lines += bool(texts[0]) and block in ("column", "whole list", "value in")
        if state not in ("proposed", "asked"):
            continue
        if block == "column":
            told = truth.get(texts[0], {"field": "none"})
            allowed = {told["field"], *told.get("may be", []), *told.get("also", [])}
            wanted = "not used" if told["field"] == "none" else told["field"]
            governs = d["truth"].get("governs")
            if "one governs" in texts[5] and governs and told["field"] != governs:
                wanted = "not used"
            unit = str(told.get("unit") or "")
            unread = filled == "not used" and "no word of it" in texts[5]  # the sheet says why, and a planner agrees
            if filled in allowed or unread or (filled == "not used" and told["field"] == "none"):
                looked += 1
            else:
                page.cell(row, 4).value = wanted
                byhand += 1
            if state == "asked" and not texts[4] and unit and unit != "in cells":
                page.cell(row, 5).value = {"N.m": "N·m", "Nm": "N·m", "ft-lb": "lbf·ft"}.get(unit, unit)
                byhand += 1
        elif block == "whole list":
            metric = "ISO 4032" if "PN" in str(d["headings"]) else ""
            value = whole.get(texts[0]) or filled or {
                "operation": "final make-up", "method": "hydraulic", "stress area": "tensile", "nut series": metric
            }.get(texts[0]) or next(iter(listed.get(row, ())), "")  # fmt: skip
            page.cell(row, 4).value = value or None
            byhand += not filled
            looked += bool(filled)
        elif block == "value in":
            if not filled:
                choices = listed.get(row, ())
                page.cell(row, 4).value = {"method": "hydraulic", "operation": "final make-up"}.get(
                    texts[0], choices[0] if choices else None
                )
                byhand += 1
            else:
                looked += 1
    page["B3"], page["D3"] = "A. Planner", datetime.date.today()
    book.save(sheet_file)
    return lines, looked, byhand


def run(command, *words):
    done = subprocess.run([command, *map(str, words)], capture_output=True, text=True)
    return done.returncode, done.stdout + done.stderr


def main(command, book, names):
    total = dict.fromkeys(("lists", "cards", "lines", "confirmed as they stood", "by hand", "planned", "rows"), 0)
    for name in names:
        d = json.loads((LISTS / f"{name}.json").read_text(encoding="utf-8"))
        with tempfile.TemporaryDirectory() as folder:
            path, out = Path(folder) / f"{name}.xlsx", Path(folder) / "out"
            formulas = dressed(d, path)
            before = path.read_bytes()
            told = [0, 0, 0]
            runs = 0
            while runs < 4:
                runs += 1
                code, said = run(command, "plan", path, "--wrenches", book, "--out", out, "--pack", "--overwrite")
                if code != 2:
                    break
                questions = next(iter(sorted(out.glob("*-questions.xlsx"))), None)
                if questions is None:
                    break
                lines, looked, byhand = answer(questions, d)
                told = [lines, told[1] + looked, told[2] + byhand]
            cards = next(iter(out.glob("*cards*.xlsx")), None)
            plan = next(iter(out.glob("*-plan.json")), None)
            counts = ""
            if plan is not None:
                totals = read_plan(plan).head.totals
                counts = f"rows {totals.rows}, planned {totals.planned}, stopped {totals.stopped}"
                total["planned"] += totals.planned
                total["rows"] += totals.rows
            assert path.read_bytes() == before, f"{name}: the list was changed"
            total["lists"] += 1
            total["cards"] += cards is not None
            for key, value in zip(("lines", "confirmed as they stood", "by hand"), told, strict=True):
                total[key] += value
            why = "" if cards else f"; {said.strip().splitlines()[-1][:160] if said.strip() else ''}"
            print(
                f"{name}: {formulas} formulas; {told[0]} lines, {told[1]} confirmed as they stood, {told[2]} by hand;"
                f" {runs} runs, exit {code}; {'cards' if cards else 'no cards'}; {counts}{why}"
            )
    print(", ".join(f"{key} {value}" for key, value in total.items()))


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]), sys.argv[3:] or CHOSEN)
