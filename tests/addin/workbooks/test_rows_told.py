"""How many rows of a long list are read, written and checked is told while it is done."""

from addin.workbooks.cell_values import read_values
from addin.workbooks.package import open_package
from addin.workbooks.sheet_part import Tell
from addin.workbooks.value_book import ValueBook
from addin.workbooks.writeback import OutCell, OutColumn, write_columns

ROWS = 1200


def read(path) -> list[tuple[int, int]]:  # type: ignore[no-untyped-def]
    package = open_package(path)
    told: list[tuple[int, int]] = []
    read_values(package, ValueBook(package), "Joints", lambda done, of: told.append((done, of)))
    return told


def test_rows_that_are_read_are_told_with_those_that_there_are(books) -> None:  # type: ignore[no-untyped-def]
    path = books.joints(rows=ROWS - 1)

    assert read(path) == [(250, ROWS), (500, ROWS), (750, ROWS), (1000, ROWS)]


def test_without_a_range_declared_the_rows_are_judged_by_what_is_done(books) -> None:  # type: ignore[no-untyped-def]
    rows = "".join(f'<row r="{row}"><c r="A{row}"><v>{row % 10}</v></c></row>' for row in range(1, ROWS + 1))

    told = read(books.plain(rows))
    assert [done for done, _ in told] == [250, 500, 750, 1000]
    assert all(0.95 * ROWS < of < 1.1 * ROWS for _, of in told)


def test_rows_that_are_written_and_checked_are_told_by_phase(books) -> None:  # type: ignore[no-untyped-def]
    told: dict[str, list[tuple[int, int]]] = {}

    def phases(name: str) -> Tell:
        return lambda done, of: told.setdefault(name, []).append((done, of))

    path = books.joints(rows=ROWS - 1)
    cells = {row: OutCell(row) for row in range(2, ROWS + 1)}
    write_columns(path, "Joints", [OutColumn("H", cells)], books.folder / "out.xlsx", phases=phases)

    assert told["writing"] == [(done, ROWS - 1) for done in (0, 250, 500, 750, 1000)]
    assert [done for done, _ in told["checking what was written"]] == [250, 500, 750, 1000]
