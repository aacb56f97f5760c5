#!/usr/bin/env python3
"""How lists are read whose own rare words nobody knew: for each list, the words that stand in no other are taken out of the lexicon.

known_words.py FOLDER   Counts like score.py, of columns alone: right for sure, proposed rightly, wrong for sure, and how many of the
columns with a field are understood, with all words and without each list's own. Needs no workbook: the place of a list is its truth.
"""

import sys
from collections import Counter
from json import loads
from pathlib import Path

from openpyxl.utils import get_column_letter, range_boundaries
from score import LATER

from addin.reading.columns import understand
from addin.reading.grammar import lexicon
from addin.reading.heads import CALCULATING
from addin.reading.notes import read_notes
from addin.reading.place import found_at
from addin.reading.spellings import spelled
from addin.reading.understood import ASKED, CHECKED, NOT_USED, PROPOSED, stored_name
from addin.workbooks.addresses import Area


def words_of(d):
    found = set()
    for row in d["headings"]:
        for text in row:
            if text:
                own = spelled(str(text))
                n = len(own.words)
                found |= {" ".join(own.words[i:j]) for i in range(n) for j in range(i + 1, min(i + 6, n + 1))} | {
                    own.bare.strip(" :.;,?")
                }
    return found


def read(d, words):
    rows = [row for part in ("above", "headings", "rows", "below") for row in d[part]]
    merged = [Area(top, left, bottom, right) for left, top, right, bottom in map(range_boundaries, d.get("merges", []))]
    first = len(d["above"]) + len(d["headings"])
    places = [found_at(rows, at, merged) for at in range(max(0, first - 2), first)]
    heads = next((p.heads for p in places if p.body == first), places[-1].heads)
    joints = [rows[number - 1] for number in d["truth"]["joint rows"]]

    def texts(part):
        return [[str(cell) for cell in row if cell is not None] for row in d[part]]

    return understand(heads, joints, read_notes(texts("above"), texts("below"), [d["sheet"]]), None, words)


def main(files):
    lists = [loads(Path(file).read_text(encoding="utf-8")) for file in files]
    counted = Counter(word for d in lists for word in words_of(d))
    for name, without in (("with all words", False), ("without each list's own words", True)):
        total, fields = Counter(), 0
        for d in lists:
            words = lexicon().without({w for w in words_of(d) if counted[w] == 1}) if without else None
            got = {get_column_letter(reading.at + 1): reading for reading in read(d, words)}
            for c in d["truth"]["columns"]:
                g = got.get(c["col"])
                allowed = {c["field"], *c.get("may be", []), *c.get("also", [])}
                fields += c["field"] != "none"
                if g is not None and g.field and stored_name(g.field) in LATER and c["field"] not in LATER:
                    g = None
                if g is None or g.field is None or g.state == NOT_USED or (g.state == CHECKED and "none" in allowed):
                    total["missed"] += c["field"] != "none"
                elif g.state in (PROPOSED, ASKED):
                    total[
                        "proposed"
                        if stored_name(g.candidates[0]) in allowed
                        else "needless"
                        if c["field"] == "none"
                        else "misled"
                    ] += 1
                elif stored_name(g.field) in allowed:
                    total["sure right"] += 1
                else:
                    total["sure wrong"] += 1
                    total["of those in calculations"] += g.field in CALCULATING
        understood = (total["sure right"] + total["proposed"]) / max(1, fields)
        print(f"{name}: understood {understood:.1%} of {fields}; " + ", ".join(f"{k} {v}" for k, v in total.items()))


if __name__ == "__main__":
    main([p for a in sys.argv[1:] for p in (sorted(Path(a).rglob("*.json")) if Path(a).is_dir() else [a])])
