"""Rows of usual cells are taken whole: scan, values and refusals are those of a walk cell by cell, in any mixture."""

import random
from dataclasses import fields
from typing import Any

import pytest

from addin.workbooks import cell_values, sheet_part
from addin.workbooks.cell_values import read_values
from addin.workbooks.package import WorkbookError, open_package
from addin.workbooks.sheet_part import SheetScan, read_sheet, scan_part
from addin.workbooks.value_book import ValueBook

USUAL = (
    '<c r="{at}"><v>1</v></c>',
    '<c r="{at}" s="1"><v>2.50</v></c>',
    '<c r="{at}" s="0"/>',
    '<c r="{at}" t="str"><v>E-1 &amp; 2</v></c>',
    '<c r="{at}" t="b"><v>1</v></c>',
    '<c r="{at}" s="3"><v>0.5</v></c>',
    '<c r="{at}" t="inlineStr"><is><t xml:space="preserve"> a &lt; b </t></is></c>',
    '<c r="{at}" s="2"><v>46303</v></c>',
    '<c r="{at}"><f>A1+1</f><v>7</v></c>',
    '<c r="{at}" t="str"><f ca="1">"a"</f><v>a</v></c>',
    '<c r="{at}"><f t="shared" si="0"/><v>3</v></c>',
    '<c r="{at}" t="n"><v> 4 </v></c>',
    '<c r="{at}"><v></v></c>',
)
ODD = (
    '<c r="{at}"></c>',
    '<c r="{at}"><f>A1</f></c>',
    '<c r="{at}"><f>A1</f><v/></c>',
    '<c r="{at}"><f>A1</f><v> </v></c>',
    '<c r="{at}" t="e"><v>#N/A</v></c>',
    '<c t="n" r="{at}"><v>5</v></c>',
    '<c r="{at}" cm="1"><v>6</v></c>',
    "<c/>",
    '<c r="{at}"><f t="array" ref="{at}">1</f><v>1</v></c>',
    "<c r='{at}'><v>8</v></c>",
    '<c r="{at}" t="s"><v>9</v></c>',
    '<c r="{at}" t="inlineStr"><is><r><t>a</t></r><r><t>b</t></r></is></c>',
    "<c><v>1</v></c>",
    '<c r="{at}"><v>1</v> </c>',
    '<c r="{at}" t="inlineStr"><v>5</v></c>',
    '<c r="{at}"><is><t>own</t></is></c>',
    '<c r="{at}" t="inlineStr"/>',
    '<c r="{at}" t="d"><v>2026-03-14</v></c>',
    '<c r="{at}"><v>x</v></c>',
    "<!-- a note -->",
    '<c r="{at}"><v>1</v ></c>',
    '<c r="{at}"><v><![CDATA[5]]></v></c>',
    '<c r="A1"><v>1</v></c>',
    '<c r="XFE3"><v>1</v></c>',
    '<c r="{at}9"><v>1</v></c>',
    '<c r="{at}" t="str"><v>a</v></c><extLst><ext uri="x"/></extLst>',
)
STYLES = b'<cellXfs count="4"><xf xfId="0"/><xf numFmtId="2" xfId="0"/><xf numFmtId="14" xfId="0"/>' + (
    b'<xf numFmtId="9" xfId="0"/></cellXfs>'
)
LETTERS = ("A", "B", "C", "D", "H", "AB")


def rows_of(chance: random.Random) -> str:
    """Rows most of which are usual; some have an odd cell, their cells in disorder, or the number of another row."""
    made, number = [], 0
    for _ in range(chance.randint(1, 6)):
        number += chance.choice((1, 1, 1, 2, 40))
        cells = []
        for letter in chance.sample(LETTERS, chance.randint(0, len(LETTERS))) if chance.random() < 0.1 else LETTERS:
            kinds = ODD if chance.random() < 0.06 else USUAL
            row = number + 1 if chance.random() < 0.02 else number
            cells.append(chance.choice(kinds).replace("{at}", f"{letter}{row}"))
        gap = chance.choice(("", "", "", "\n "))
        tag = (
            chance.choice(('<row r="%d">', '<row r="%d" spans="1:8" hidden="1">', "<row>"))
            if number < 4
            else '<row r="%d">'
        )
        made.append((tag % number if "%d" in tag else tag) + gap.join(cells) + "</row>")
    return "".join(made)


def told(path: Any, *, kept: bool) -> Any:
    """Everything that scan and reader say of a workbook, or the line of a refusal."""
    try:
        package = open_package(path)
        book = ValueBook(package)
        if kept:
            found: list[Any] = []
            content = read_sheet(package, package.sheet("Joints"))
            scan = scan_part(
                package, package.sheet("Joints"), content, lambda *each: found.append(each), frozenset((1, 3, 8))
            )
        else:
            cells = read_values(package, book, "Joints")
            scan, found = cells.scan, [dict(cells.rows), list(cells.percents), list(cells.formulas)]
    except WorkbookError as error:
        return str(error)
    said = [each.name for each in fields(SheetScan) if each.name != "usual"]  # how it was taken, not what stands there
    return [repr(found), *(shown(getattr(scan, name)) for name in said)]


def shown(value: Any) -> Any:
    return list(value.places()) if isinstance(value, sheet_part.CellSet) else value


@pytest.mark.parametrize("manual", [False, True])
def test_rows_taken_whole_say_what_a_walk_says(  # type: ignore[no-untyped-def]
    books, monkeypatch: pytest.MonkeyPatch, manual: bool, sweeps: bool
) -> None:
    rounds = 150 if sweeps else 50
    whole = sheet_part._Scan._usual_row
    taken = refused = 0
    for seed in range(rounds):
        parts = books.parts(rows_of(random.Random(seed)))
        old = parts["xl/styles.xml"]
        old = old if isinstance(old, bytes) else old.encode()
        parts["xl/styles.xml"] = old[: old.index(b"<cellXfs")] + STYLES + old[old.index(b"<cellStyles") :]
        if manual:
            workbook = parts["xl/workbook.xml"]
            workbook = workbook if isinstance(workbook, bytes) else workbook.encode()
            parts["xl/workbook.xml"] = workbook.replace(b"</sheets>", b'</sheets><calcPr calcMode="manual"/>')
        path = books.pack(parts)
        for kept in (False, True):
            monkeypatch.setattr(sheet_part._Scan, "_usual_row", whole)
            now = told(path, kept=kept)
            monkeypatch.setattr(sheet_part._Scan, "_usual_row", lambda *_given: 0)
            assert now == told(path, kept=kept), f"seed {seed}"
            taken, refused = taken + isinstance(now, list), refused + isinstance(now, str)
        path.unlink()

    assert taken > 0.4 * rounds
    assert refused > 0.25 * rounds


def test_most_rows_are_taken_whole(books, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    walked = []
    keep = cell_values.CellReader.keep
    monkeypatch.setattr(
        cell_values.CellReader, "keep", lambda self, *cell: (walked.append(cell[:2]), keep(self, *cell))
    )
    cells = "".join(cell.replace("{at}", f"{letter}1") for letter, cell in zip("ABCDEFGHIJKLM", USUAL, strict=True))
    path = books.plain(f'<row r="1">{cells}</row><row r="2"><c r="A2" t="e"><v>#N/A</v></c></row>')
    package = open_package(path)
    read_values(package, ValueBook(package), "Joints")

    assert walked == [(2, 1)]
