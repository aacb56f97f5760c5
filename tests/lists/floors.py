#!/usr/bin/env python3
"""Counts, list by list, what of the written lists is read as their truth says; `floors.csv` keeps what must not be lost.

floors.py            writes floors.csv anew: after a change that reads more, never to hide one that reads less
A row a list: columns `sure` right and `understood` (sure or first proposal right), `wrong` in calculating fields, `rows` found
and `other` rows taken for joints, and of the rows spelled out thread, studs and target read right.
"""

import csv
import sys
import tempfile
from functools import lru_cache
from json import loads
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
import rows
import score

from addin.reading.joint_list import read_joint_list
from addin.reading.reading_report import as_json
from addin.reading.understood import Answers
from addin.workbooks.package import WorkbookError

LISTS = sorted(Path(__file__).parent.glob("*.json"))
FLOORS = Path(__file__).with_name("floors.csv")
COUNTS = ("sure", "understood", "wrong", "rows", "other", "thread", "studs", "target")


def counted(file, folder):
    """What is read right of one list."""
    written = loads(file.read_text(encoding="utf-8"))
    truth, found = written["truth"], dict.fromkeys(COUNTS, 0)
    path = Path(folder) / f"{written['id']}.xlsx"
    score.build(written, path)
    try:
        lists = as_json([read_joint_list(path).understood])["lists"]
    except WorkbookError:
        return found
    columns = {column["column"]: column for each in lists[:1] for column in each["columns"]}
    for column in truth["columns"]:
        said = score.told(columns, column)
        how = score.judged(column, said)
        found["sure"] += how == "sure right"
        found["understood"] += how in ("sure right", "proposed")
        found["wrong"] += how == "sure wrong" and score.calculates(said)
    taken = {number for each in lists for number in each["joint rows"]}
    found["rows"], found["other"] = len(taken & set(truth["joint rows"])), len(taken - set(truth["joint rows"]))
    try:
        read = read_joint_list(path, answers=Answers(accept=True))
    except WorkbookError:
        return found
    for _, name, right, _ in rows.judged(read, truth["reads"]):
        found[name] += right
    return found


@lru_cache
def floors():
    """The kept counts by list."""
    with FLOORS.open(encoding="utf-8") as file:
        return {row["list"]: {name: int(row[name]) for name in COUNTS} for row in csv.DictReader(file)}


def main():
    with tempfile.TemporaryDirectory() as folder, FLOORS.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["list", *COUNTS])
        writer.writerows([each.stem, *counted(each, folder).values()] for each in LISTS)


if __name__ == "__main__":
    main()
