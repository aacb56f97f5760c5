"""Rows of usual cells are taken whole: scan, values and refusals are those of a walk cell by cell, in any mixture."""

import random
import re
from dataclasses import fields
from typing import Any

import pytest

from addin.workbooks import cell_values, row_forms, sheet_part
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


def rows_alike(chance: random.Random) -> str:
    """Many rows of a few forms, one behind the other; some have a cell that is not of their form."""
    forms = [[chance.choice(USUAL[:8] + USUAL[11:]) for _ in LETTERS] for _ in range(3)]
    made, number = [], 0
    for at in range(40):
        number += chance.choice((1, 1, 1, 3))
        cells = [cell.replace("{at}", f"{name}{number}") for name, cell in zip(LETTERS, forms[at % 3], strict=True)]
        cells = [re.sub(r"<v>[\d.]+<", lambda _: f"<v>{chance.choice((1, 0.5, 46303, 12))}<", cell) for cell in cells]
        if chance.random() < 0.2:
            odd = chance.choice((*USUAL, *USUAL, *ODD[:9], '<c r="{at}9"><v>1</v></c>', '<c r="A1"><v>1</v></c>'))
            place = chance.randrange(len(LETTERS))
            cells[place] = odd.replace("{at}", f"{LETTERS[place]}{number}")
        if chance.random() < 0.02:  # one cell, or all, with the number of another row
            some = chance.choice((range(len(LETTERS)), [chance.randrange(len(LETTERS))]))
            cells = [
                re.sub(rf'{number}"', f'{number + 1}"', cell) if k in some else cell for k, cell in enumerate(cells)
            ]
        if chance.random() < 0.05:  # one more cell than the form has
            cells.append(f'<c r="AC{number}"><v>7</v></c>')
        end = chance.choice(("</row>", "</row>", "</row>", "</row >", " </row>"))
        made.append(f'<row r="{number}">{"".join(cells)}{end}')
    return "".join(made)


def test_rows_of_a_form_seen_before_say_what_a_walk_says(books, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    whole, take = sheet_part._Scan._usual_row, row_forms.RowForms.taken
    known: list[bool] = []

    def taken(forms: row_forms.RowForms, line: bytes, digits: bytes) -> Any:
        known.append((found := take(forms, line, digits)) is not None)
        return found

    monkeypatch.setattr(row_forms.RowForms, "taken", taken)
    monkeypatch.setattr(row_forms, "SEEN", 2)
    read = 0
    for seed in range(60):
        parts = books.parts(rows_alike(random.Random(seed)))
        old = parts["xl/styles.xml"]
        old = old if isinstance(old, bytes) else old.encode()
        parts["xl/styles.xml"] = old[: old.index(b"<cellXfs")] + STYLES + old[old.index(b"<cellStyles") :]
        path = books.pack(parts)
        monkeypatch.setattr(sheet_part._Scan, "_usual_row", whole)
        now = told(path, kept=False)
        monkeypatch.setattr(sheet_part._Scan, "_usual_row", lambda *_given: 0)
        assert now == told(path, kept=False), f"seed {seed}"
        read += isinstance(now, list)
        path.unlink()

    assert 20 < read < 60
    assert 0.3 * len(known) < sum(known) < len(known)
