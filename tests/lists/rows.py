#!/usr/bin/env python3
"""Counts what is read of the rows that the written lists spell out: thread, studs, and the target with its unit.

rows.py FOLDER|FILE...   Proposals are taken as they stand, as after one look. A target is right where the value of the truth stands in
the row, in its own unit, as the target in use or as one that is compared with the plan. Prints what differs, then the totals.
"""

import math
import sys
import tempfile
from collections import Counter
from json import loads
from pathlib import Path

from score import build

from addin.reading.evidence import number
from addin.reading.joint_list import read_joint_list
from addin.reading.spellings import unit_of
from addin.reading.understood import Answers
from calc.findings import InputError
from calc.hardware.threads import parse
from calc.units import to_si

_KIND = {"torque": "torque", "stress": "stress", "load": "force", "percent": "percent"}


def thread(text):
    try:
        found = parse(str(text))
    except InputError as error:
        return error.finding.code if "pitch" not in error.finding.code else str(text).split("x")[0].strip()
    return (round(float(found.diameter), 6), round(float(found.pitch), 6))


def same_thread(mine, truth):
    if not mine:
        return False
    one, other = thread(mine), thread(truth)
    if isinstance(one, str) or isinstance(other, str):  # M36 without its pitch: the size alone is compared
        sizes = [str(t).upper().replace(" ", "").split("X")[0] for t in (mine, truth)]
        return sizes[0] == sizes[1]
    return one == other


def judged(read, rows):
    """Of each row that the truth spells out: row, what, whether it was read so, and what was read."""
    at, joints = {number: i for i, number in enumerate(read.numbers)}, read.rows.joints
    for row in rows:
        i = at.get(row["row"])
        if row.get("thread"):
            mine = joints.thread[i] if i is not None else ""
            yield row["row"], "thread", same_thread(mine, row["thread"]), f"thread {row['thread']!r} read {mine!r}"
        if isinstance(row.get("studs"), (int, float)):
            mine = float(joints.studs[i]) if i is not None else math.nan
            yield row["row"], "studs", mine == row["studs"], f"studs {row['studs']} read {mine}"
        target = row.get("target")
        if isinstance(target, list) and len(target) == 3 and target[0] in _KIND:
            name, value, unit = target
            try:
                wanted = in_si(name, value, unit)
            except (InputError, ValueError, TypeError) as error:
                yield row["row"], "target", False, f"truth {target}: {error}"
                continue
            mine = [float(getattr(joints, name)[i])] if i is not None else []
            mine += [c.values[i] for c in read.checked if c.field == name and i is not None]
            ok = any(abs(v / wanted - 1) < 1e-3 for v in mine if v == v)
            yield row["row"], "target", ok, f"target {target} read {mine}"


def in_si(name, value, unit):
    """A target of the truth in SI."""
    told = unit_of(str(unit))
    unit = told.symbol if told is not None and told.symbol else unit
    value = number(str(value)) if isinstance(value, str) else value
    spelled = str(unit).split("/")[0] if name == "load" else str(unit)
    return float(to_si(float(value), _KIND[name], {"MT": "tf", "t": "tf"}.get(str(unit), spelled)))


def main(files):
    total, right = Counter(), Counter()
    with tempfile.TemporaryDirectory() as folder:
        for file in files:
            d = loads(Path(file).read_text(encoding="utf-8"))
            path = Path(folder) / (d["id"] + ".xlsx")
            build(d, path)
            try:
                read = read_joint_list(path, answers=Answers(accept=True))
            except Exception as error:  # noqa: BLE001
                print(d["id"], "not read:", str(error)[:150])
                for row in d["truth"]["reads"]:
                    total.update(k for k in ("thread", "studs", "target") if row.get(k))
                continue
            for row, name, ok, mark in judged(read, d["truth"]["reads"]):
                total[name] += 1
                right[name] += ok
                if not ok:
                    print(d["id"], row, mark)
    print(", ".join(f"{name} {right[name]} of {total[name]}" for name in total))


if __name__ == "__main__":
    main([p for a in sys.argv[1:] for p in (sorted(Path(a).rglob("*.json")) if Path(a).is_dir() else [a])])
