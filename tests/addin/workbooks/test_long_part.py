"""Parts that stand in a scratch file are read, patched and checked as those in memory are, to the last byte."""

import random
from dataclasses import fields
from typing import Any

import pytest

from addin.workbooks import sheet_part
from addin.workbooks.long_part import LongPart
from addin.workbooks.markup import MAIN, Markup
from addin.workbooks.package import WorkbookError, open_package
from addin.workbooks.sheet_part import KnownRows, SheetScan, read_sheet, scan_part
from tests.addin.workbooks.test_usual_rows import rows_of, told


@pytest.fixture
def all_long(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every part is held as a long one is, and looked at in small steps."""
    monkeypatch.setattr("addin.workbooks.package.LONG", 1)
    monkeypatch.setattr("addin.workbooks.long_part._STEP", 64)
    monkeypatch.setattr("addin.workbooks.long_part._NEAR", 8)
    monkeypatch.setattr("addin.workbooks.markup._PIECE", 32)


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


def test_rows_that_begin_as_they_did_are_checked_behind_that_alone(books, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    scans: list[SheetScan] = []
    scan_part = sheet_part.scan_part

    def noted(*given: Any, **more: Any) -> SheetScan:
        scans.append(scan_part(*given, **more))
        return scans[-1]

    monkeypatch.setattr("addin.workbooks.writeback.scan_part", noted)
    quick = sheet_part._Scan._known_row
    taken = []
    for seed in range(60):
        path = books.pack(books.parts(rows_of(random.Random(seed))), f"{seed}.xlsx")
        found = []
        for known in (lambda self, *given: taken.append(quick(self, *given)) or taken[-1], lambda *_given: 0):
            monkeypatch.setattr(sheet_part._Scan, "_known_row", known)
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


KNOWN = '<c r="A1"><f>1+1</f><v>22</v></c><c r="C1"><v>3</v></c>'
BEHIND = '<c r="AD1"><v>5</v></c>'


def scanned_again(books: Any, cells: str) -> SheetScan:
    """The scan of a row that was KNOWN before, when cells of AD are to be handed over."""
    before, after = (books.plain(f'<row r="1">{each}</row>', f"{len(each)}.xlsx") for each in (KNOWN, cells + BEHIND))
    package, written = open_package(before), open_package(after)
    content = read_sheet(package, package.sheet("Joints"))
    known = KnownRows(scan_part(package, package.sheet("Joints"), content), content)
    place = written.sheet("Joints")
    return scan_part(written, place, read_sheet(written, place), lambda *_cell: None, frozenset((30,)), known=known)


def test_a_row_that_begins_in_another_way_is_not_taken_for_the_known_one(books) -> None:  # type: ignore[no-untyped-def]
    assert not len(scanned_again(books, KNOWN).uncached)
    assert [*scanned_again(books, KNOWN.replace(">22<", ">  <")).uncached.places()] == [(1, 1)]  # as many bytes


def test_a_cell_behind_known_ones_that_belongs_before_them_is_refused(books) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(WorkbookError, match="cell B1 stands out of order in row 1"):
        scanned_again(books, KNOWN + '<c r="B1"><v>4</v></c>')


def test_a_copy_with_another_cell_is_not_taken_for_what_was_written(books, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    path = books.plain('<row r="1"><c r="A1" s="1"><v>2.50</v></c></row>')
    read = lambda package, sheet: package.read(sheet.part).replace(b">1.5</v>", b">7.5</v>")  # noqa: E731
    monkeypatch.setattr("addin.workbooks.writeback.read_sheet", read)

    with pytest.raises(WorkbookError, match="does not read back as it should .*cell AD1 was not written as it should"):
        books.write(path, [books.out("AD", {1: 1.5})])
