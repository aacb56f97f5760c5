"""Parts that stand in a scratch file are read, patched and checked as those in memory are, to the last byte."""

import random
from dataclasses import fields
from typing import Any

import pytest

from addin.workbooks import sheet_part
from addin.workbooks.cell_text import cell_tail
from addin.workbooks.long_part import LongPart
from addin.workbooks.markup import MAIN, Markup
from addin.workbooks.package import WorkbookError, open_package
from addin.workbooks.sheet_part import KnownLine, KnownRows, SheetScan, read_sheet, scan_part
from addin.workbooks.sheet_patch import SheetPatch
from tests.addin.workbooks.test_usual_rows import rows_of, told


@pytest.fixture
def all_long(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every part is held as a long one is, and looked at in small steps."""
    monkeypatch.setattr("addin.workbooks.package.LONG", 1)
    monkeypatch.setattr("addin.workbooks.long_part._STEP", 64)
    monkeypatch.setattr("addin.workbooks.long_part._NEAR", 8)
    monkeypatch.setattr("addin.workbooks.markup._PIECE", 32)
    monkeypatch.setattr("addin.workbooks.sheet_patch._KEPT", 1)


def written(books: Any, path: Any, chance: random.Random, *, replace: bool) -> Any:
    """What stands in the copy with two columns written into it, or the line of a refusal."""
    rows = {row: chance.choice((1.5, "text", None, 7)) for row in range(1, 50) if chance.random() < 0.4}
    columns = [books.out("C", rows), books.out("AD", {**rows, 3: "x"}), books.out("AE", {2: 1})]
    try:
        target, report = books.write(path, columns, replace=replace)
    except WorkbookError as error:
        return str(error)
    content = books.part(target)
    target.unlink()
    return content, report.cells, report.replaced, report.warnings


def all_said(books: Any, path: Any, seed: int) -> list[Any]:
    """What is said of a workbook read, and written into, with and without cells that may be replaced."""
    return [told(path, kept=True), *(written(books, path, random.Random(seed), replace=r) for r in (False, True))]


def test_long_parts_are_read_and_written_as_short_ones(books, request: pytest.FixtureRequest) -> None:  # type: ignore[no-untyped-def]
    paths, before = [], []
    for seed in range(60):
        paths.append(books.pack(books.parts(rows_of(random.Random(seed))), f"{seed}.xlsx"))
        before.append(
            [told(paths[-1], kept=True), *(written(books, paths[-1], random.Random(seed), replace=r) for r in (0, 1))]
        )
    request.getfixturevalue("all_long")
    for seed, path in enumerate(paths):
        package = open_package(path)
        assert isinstance(read_sheet(package, package.sheet("Joints")), LongPart)
        assert all_said(books, path, seed) == before[seed], f"seed {seed}"

    assert sum(isinstance(said, tuple) for each in before for said in each[1:]) > 15


def test_comments_of_a_long_part_are_blanked_out(all_long: None) -> None:
    content = b"<w xmlns='" + MAIN.encode() + b"'><!-- " + b"x" * 200 + b" --><a/><![CDATA[<b>]]></w>"
    short, long = Markup(content, root="w", namespace=MAIN), Markup(LongPart.of([content]), root="w", namespace=MAIN)

    assert long.plain[:] == short.plain
    assert [tag.name for tag in long.tags()] == ["w", "a", "w"]


def test_rows_that_are_what_they_are_known_to_be_are_scanned_as_any(books, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    scans: list[SheetScan] = []
    scan_part = sheet_part.scan_part

    def noted(*given: Any, **more: Any) -> SheetScan:
        scans.append(scan_part(*given, **more))
        return scans[-1]

    monkeypatch.setattr("addin.workbooks.writeback.scan_part", noted)
    quick = SheetPatch.line
    taken = []
    for seed in range(60):
        path = books.pack(books.parts(rows_of(random.Random(seed))), f"{seed}.xlsx")
        found = []
        for line in (lambda self, index: taken.append(quick(self, index)) or taken[-1], lambda *_given: None):
            monkeypatch.setattr(SheetPatch, "line", line)
            scans.clear()
            rows = dict.fromkeys(range(1, 9), 1.5)
            try:
                books.write(path, [books.out("AD", rows), books.out("AE", {3: "x"})])[0].unlink()
            except WorkbookError as error:
                found.append(str(error))
            else:
                wanted = [each.name for each in fields(SheetScan) if each.name not in ("usual", "uncached", "errors")]
                found.append([list(scans[-1].uncached), *(getattr(scans[-1], name) for name in wanted)])
        assert found[0] == found[1], f"seed {seed}"

    assert sum(map(bool, taken)) > 15


KNOWN = '<row r="1" hidden="1"><c r="A1"><f>1+1</f><v>22</v></c><c r="C1"><v>3</v></c></row>'
BEHIND = '<c r="AD1"><v>5</v></c>'


def scanned_again(books: Any, row: str, tag: int = 22) -> tuple[SheetScan, KnownRows]:
    """The scan of a row that is known to be KNOWN with BEHIND behind its cells; and of one after it, as it is."""
    after = '<row r="2"><c r="A2"><v>4</v></c></row>'
    before, now = (books.plain(f"{each}{after}", f"{len(each)}.xlsx") for each in (KNOWN, row))
    package, written = open_package(before), open_package(now)
    place = package.sheet("Joints")
    lines = [KnownLine(KNOWN.replace("</row>", f"{BEHIND}</row>").encode(), tag, 1, 30), None]
    known = KnownRows(scan_part(package, place, read_sheet(package, place)), lambda at: lines[at])
    return scan_part(
        written, place, read_sheet(written, place), lambda *_cell: None, frozenset((30,)), known=known
    ), known  # fmt: skip


def test_a_row_that_is_as_it_is_known_is_taken_as_it_is(books) -> None:  # type: ignore[no-untyped-def]
    found, known = scanned_again(books, KNOWN.replace("</row>", f"{BEHIND}</row>"))

    assert (known.behind, found.cells, [*found.rows], [*found.last_columns]) == (1, 4, [1, 2], [30, 1])
    assert found.hidden_rows == {1}


@pytest.mark.parametrize(
    ("row", "cells"),
    [
        (KNOWN.replace(">22<", ">  <").replace("</row>", f"{BEHIND}</row>"), 4),  # as many bytes
        (KNOWN.replace("</row>", f"{BEHIND.replace('5', '6')}</row>"), 4),
        (KNOWN, 3),
    ],
)
def test_a_row_that_is_another_than_the_known_one_is_looked_at(books, row: str, cells: int) -> None:  # type: ignore[no-untyped-def]
    found, known = scanned_again(books, row)

    assert (known.behind, found.cells, [*found.rows]) == (0, cells, [1, 2])
    assert [*found.uncached.places()] == ([(1, 1)] if "  " in row else [])


def test_a_cell_that_belongs_before_those_of_a_known_row_is_refused(books) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(WorkbookError, match="cell B1 stands out of order in row 1"):
        scanned_again(books, KNOWN.replace("</row>", '<c r="B1"><v>4</v></c></row>'))


def test_a_cell_whose_markup_says_something_else_is_not_written(books, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    path = books.plain('<row r="1"><c r="A1" s="1"><v>2.50</v></c></row>')
    made = lambda prefix, style, value: cell_tail(prefix, style, 7.5 if value == 1.5 else value)  # noqa: E731
    monkeypatch.setattr("addin.workbooks.sheet_patch.cell_tail", made)

    with pytest.raises(WorkbookError, match=r"a cell that is to hold '1\.5' does not read back as it should"):
        books.write(path, [books.out("AD", {1: 1.5})])


def test_a_copy_with_another_cell_is_not_taken_for_what_was_written(books, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    path = books.plain('<row r="1"><c r="A1" s="1"><v>2.50</v></c></row>')
    read = lambda package, sheet: package.read(sheet.part).replace(b">1.5</v>", b">7.5</v>")  # noqa: E731
    monkeypatch.setattr("addin.workbooks.writeback.read_sheet", read)

    with pytest.raises(WorkbookError, match="does not read back as it should .*cell AD1 was not written as it should"):
        books.write(path, [books.out("AD", {1: 1.5})])
