import os

import pytest

from addin.workbooks.package import WorkbookError
from addin.workbooks.writeback import write_columns


@pytest.mark.parametrize(
    ("target", "words"),
    [
        ("list.xlsx", "is the workbook that is read"),
        ("link.xlsx", "is the workbook that is read"),
        ("hard.xlsx", "is the workbook that is read"),
        ("nowhere/planned.xlsx", "the folder is not there"),
        ("list.xlsx/planned.xlsx", "the folder is not there"),
        ("there.xlsx", "is there already and is not overwritten"),
        ("folder.xlsx", "something of that name that is no plain file"),
        ("dangling.xlsx", "something of that name that is no plain file"),
        ("planned.xlsm", "needs a name that ends in .xlsx"),
        ("planned", "needs a name that ends in .xlsx"),
        ("x" * 300 + ".xlsx", "the name is too long"),
    ],
)
def test_targets_that_are_refused(books, target, words):
    source = books.joints()
    (books.folder / "link.xlsx").symlink_to(source)
    os.link(source, books.folder / "hard.xlsx")
    (books.folder / "there.xlsx").write_bytes(b"somebody's")
    (books.folder / "folder.xlsx").mkdir()
    (books.folder / "dangling.xlsx").symlink_to(books.folder / "gone.xlsx")
    before = {path: path.lstat().st_mtime_ns for path in books.folder.iterdir()}
    with pytest.raises(WorkbookError, match=words) as caught:
        write_columns(source, "Joints", [books.out("G", {2: 1})], books.folder / target)
    assert "\n" not in str(caught.value)
    assert {path: path.lstat().st_mtime_ns for path in books.folder.iterdir()} == before


def test_a_new_file_has_the_usual_rights(books):
    mask = os.umask(0o027)
    try:
        target, _ = books.write(books.joints(), [books.out("G", {2: 1})])
    finally:
        os.umask(mask)
    assert target.stat().st_mode & 0o777 == 0o640


def test_a_source_that_may_only_be_read(books):
    source = books.joints()
    source.chmod(0o444)
    books.write(source, [books.out("G", {2: 1})])
    assert source.stat().st_mode & 0o777 == 0o444
