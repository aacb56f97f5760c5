"""A run that is killed, or that the disk fails, leaves inputs as they were and the output whole or absent."""

import contextlib
import errno
import os
import signal
import sys
import time
import traceback
import zipfile
from pathlib import Path

import openpyxl
import pytest

from addin.workbooks import new_file, writeback, zip_copy
from addin.workbooks.package import WorkbookError
from addin.workbooks.writeback import NOT_AVAILABLE, OutCell, OutColumn, write_columns

KILLS = 40
CODE = str(Path(new_file.__file__).parent)
COLUMNS = [OutColumn("G", {1: OutCell("Pressure"), 2: OutCell(4250.5), 3: OutCell(NOT_AVAILABLE)})]
posix = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and signals")


def run(folder, **more):
    return write_columns(folder / "list.xlsx", "Joints", COLUMNS, folder / "planned.xlsx", **more)


def leftovers(folder):
    return list(folder.glob(".tautsheet-*"))


def whole(path):
    sheet = openpyxl.load_workbook(path)["Joints"]
    return [sheet[f"G{row}"].value for row in (1, 2, 3)] == ["Pressure", 4250.5, "#N/A"]


def in_child(work, report=None):
    """Run something in a child process; gives its process id."""
    child = os.fork()
    if child:
        return child
    try:
        work()
        code = 0
    except BaseException:
        traceback.print_exc()
        code = 1
    if report is not None:
        os.write(report, b"end")
    os._exit(code)


class Line:
    """Counts the lines of the code under test that run between asking for the temporary file and moving it.

    `at` is the line at which the process kills itself; 0 only counts.
    """

    def __init__(self, at, report):
        self.at, self.report = at, report
        self.count = 0
        sys.addaudithook(self.hook)

    def hook(self, event, given):
        if event == "open" and ".tautsheet-" in str(given[0]) and not self.count:
            self.count = 1
            sys.settrace(self.trace)
        elif event in ("os.link", "os.rename") and self.count:
            sys.settrace(None)
            if self.at:
                self.die()
            os.write(self.report, str(self.count).encode())
            self.count = 0

    def trace(self, frame, event, _given):
        if not frame.f_code.co_filename.startswith(CODE):
            return None
        if event == "line":
            self.count += 1
            if self.count == self.at:
                self.die()
        return self.trace

    def die(self):
        os.write(self.report, b"here")
        os.kill(os.getpid(), signal.SIGKILL)


def killed(folder, at, **more):
    """Kill a run at one line; gives what it reported last: that it got there, or how many lines there are."""
    reading, writing = os.pipe()

    def work():
        Line(at, writing)
        run(folder, **more)

    child = in_child(work)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        said = pipe.read()
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status) == (at > 0)
    return said


@posix
def test_kills_between_the_temporary_file_and_the_move(books):
    source = books.joints()
    before = books.sha256(source)
    target = books.folder / "planned.xlsx"
    lines = int(killed(books.folder, 0))
    assert whole(target)
    assert lines > KILLS
    landed = 0
    for number in range(KILLS):
        target.unlink(missing_ok=True)
        at = 2 + (lines - 2) * number // (KILLS - 1)
        assert killed(books.folder, at) == b"here"
        landed += len(leftovers(books.folder)) == 1
        assert books.sha256(source) == before
        assert not target.exists()
        if number % 10 == 0:
            run(books.folder)
            assert whole(target)
        else:
            new_file.remove_leftovers(books.folder)  # what the next run begins with
        assert leftovers(books.folder) == []
    assert landed >= 33


@posix
def test_a_kill_right_after_the_move(books):
    """The new name is there before the temporary one is gone: the file is whole, and the next run tidies up."""
    source = books.joints()

    def work():
        new_file.sync_folder = lambda _folder: os.kill(os.getpid(), signal.SIGKILL)
        run(books.folder)

    _, status = os.waitpid(in_child(work), 0)
    assert os.WIFSIGNALED(status)
    assert whole(books.folder / "planned.xlsx")
    write_columns(source, "Joints", COLUMNS, books.folder / "other.xlsx")
    assert leftovers(books.folder) == []
    assert whole(books.folder / "planned.xlsx")


@posix
def test_a_run_that_is_alive_keeps_its_temporary_file(books):
    books.joints()
    child_folder = books.folder

    def work():
        stopped = []

        def hook(event, _given):
            if event == "os.link" and not stopped:
                stopped.append(1)
                os.kill(os.getpid(), signal.SIGSTOP)

        sys.addaudithook(hook)
        run(child_folder)

    child = in_child(work)
    _, status = os.waitpid(child, os.WUNTRACED)
    assert os.WIFSTOPPED(status)
    [temporary] = leftovers(books.folder)
    write_columns(books.folder / "list.xlsx", "Joints", COLUMNS, books.folder / "other.xlsx")
    assert leftovers(books.folder) == [temporary]
    os.kill(child, signal.SIGCONT)
    _, status = os.waitpid(child, 0)
    assert os.waitstatus_to_exitcode(status) == 0
    assert leftovers(books.folder) == []
    assert whole(books.folder / "planned.xlsx")
    assert whole(books.folder / "other.xlsx")


@posix
def test_a_file_of_that_name_that_appears_meanwhile_is_kept(books):
    books.joints()

    def work():
        def hook(event, _given):
            if event == "os.link":
                (books.folder / "planned.xlsx").write_bytes(b"somebody's")

        sys.addaudithook(hook)
        with pytest.raises(WorkbookError, match="has appeared while it was being written"):
            run(books.folder)

    _, status = os.waitpid(in_child(work), 0)
    assert os.waitstatus_to_exitcode(status) == 0
    assert (books.folder / "planned.xlsx").read_bytes() == b"somebody's"
    assert leftovers(books.folder) == []


@posix
def test_a_disk_that_takes_no_more(books):
    """The kernel itself refuses to let the file grow."""
    resource = pytest.importorskip("resource")
    books.joints(rows=400)

    def work():
        resource.setrlimit(resource.RLIMIT_FSIZE, (6000, 6000))
        with pytest.raises(WorkbookError, match="the file would be too large for this disk"):
            run(books.folder)

    _, status = os.waitpid(in_child(work), 0)
    assert os.waitstatus_to_exitcode(status) == 0
    assert leftovers(books.folder) == []
    assert not (books.folder / "planned.xlsx").exists()


def fail(number, *_given, **_more):
    raise OSError(number, os.strerror(number))


class Failing:
    """A file that fails at one of its calls."""

    def __init__(self, file, method, call):
        self._file, self._method, self._left = file, method, call

    def __getattr__(self, name):
        if name != self._method:
            return getattr(self._file, name)

        def method(*given):
            self._left -= 1
            if self._left == 0:
                fail(errno.ENOSPC)
            return getattr(self._file, name)(*given)

        return method


def open_failing(monkeypatch, method, call):
    @contextlib.contextmanager
    def opened(*given, **more):
        with real(*given, **more) as file:
            yield Failing(file, method, call)

    real = os.fdopen
    monkeypatch.setattr(new_file.os, "fdopen", opened)


def spoil(monkeypatch, place):
    """Write one byte wrong."""
    real = zip_copy.copy_with_changes

    def spoilt(source, new, target):
        real(source, new, target)
        end = target.seek(0, 2)
        target.seek(place % end)
        byte = target.read(1)
        target.seek(place % end)
        target.write(bytes([byte[0] ^ 0x55]))

    monkeypatch.setattr(writeback, "copy_with_changes", spoilt)


def patch_os(name, number):
    return lambda monkeypatch: monkeypatch.setattr(new_file.os, name, lambda *given, **more: fail(number))


def no_links(number):
    def prepare(monkeypatch):
        monkeypatch.setattr(new_file.os, "link", lambda *given: fail(errno.EPERM))
        monkeypatch.setattr(new_file.os, "replace", lambda *given: fail(number))

    return prepare


def no_folder(monkeypatch):
    monkeypatch.setattr(Path, "iterdir", lambda self: fail(errno.ENOENT))


NEW = {
    "create: no permission": (patch_os("open", errno.EACCES), "it may not be written"),
    "create: read-only disk": (patch_os("open", errno.EROFS), "the disk is read-only"),
    "create: disk full": (patch_os("open", errno.ENOSPC), "the disk is full"),
    "create: folder gone": (patch_os("open", errno.ENOENT), "the folder is not there"),
    "list: folder gone": (no_folder, "the folder is not there"),
    "flush": (lambda monkeypatch: open_failing(monkeypatch, "flush", 1), "the disk is full"),
    "fsync": (patch_os("fsync", errno.EIO), "Input/output error"),
    "fsync: disk full": (patch_os("fsync", errno.ENOSPC), "the disk is full"),
    "link: folder gone": (patch_os("link", errno.ENOENT), "the folder is not there"),
    "link: no permission": (patch_os("link", errno.EACCES), "it may not be written"),
    "move without links": (no_links(errno.EACCES), "it may not be written"),
    "move without links: in use": (no_links(errno.EBUSY), "it is in use by another program"),
}
NEW |= {
    f"write {call}": (lambda monkeypatch, call=call: open_failing(monkeypatch, "write", call), "the disk is full")
    for call in range(1, 34)
}
NEW |= {
    f"spoilt {place}": (lambda monkeypatch, place=place: spoil(monkeypatch, place), "does not read back")
    for place in (0, 14, 40, 60, 500, 1900, 3000, -500, -60, -10)
}


@pytest.mark.parametrize("fault", NEW)
def test_a_fault_at_every_step(books, monkeypatch, fault):
    source = books.joints()
    before = books.sha256(source)
    target = books.folder / "planned.xlsx"
    prepare, words = NEW[fault]
    with monkeypatch.context() as patched:
        prepare(patched)
        try:
            run(books.folder)
        except WorkbookError as error:
            text = str(error)
        else:
            text = None
    assert books.sha256(source) == before
    assert leftovers(books.folder) == []
    if text is None:
        assert "write" in fault or "spoilt" in fault  # beyond the last call, or a byte that nobody reads
        assert whole(target)
    else:
        assert "\n" not in text
        assert words in text
        assert not target.exists()
        run(books.folder)
    assert whole(target)


def test_a_disk_without_hard_links_or_locks(books, monkeypatch):
    books.joints()
    monkeypatch.setattr(new_file.os, "link", lambda *given: fail(errno.EPERM))
    monkeypatch.setattr(new_file.fcntl, "flock", lambda *given: fail(errno.ENOLCK))
    fresh, old = (books.folder / f".tautsheet-{digit * 16}.tmp" for digit in "ab")
    for path in (fresh, old):
        path.write_bytes(b"left")
    os.utime(old, (time.time() - 3 * 86_400,) * 2)
    run(books.folder)
    assert whole(books.folder / "planned.xlsx")
    assert leftovers(books.folder) == [fresh]  # without locks only age tells who is dead


def test_without_locks_of_posix(books, monkeypatch):
    """As on Windows, where a file that is open cannot be removed."""
    books.joints()
    monkeypatch.setattr(new_file, "fcntl", None)
    (books.folder / f".tautsheet-{'a' * 16}.tmp").write_bytes(b"left")
    run(books.folder)
    assert whole(books.folder / "planned.xlsx")
    assert leftovers(books.folder) == []


def test_only_our_own_leftovers_are_removed(books):
    books.joints()
    names = [".tautsheet-notes.tmp", ".tautsheet-0123456789abcdef.tmp.bak", "tautsheet-0123456789abcdef.tmp", "x.tmp"]
    for name in names:
        (books.folder / name).write_bytes(b"the user's")
    elsewhere = books.folder / "elsewhere.txt"
    elsewhere.write_bytes(b"the user's")
    (books.folder / ".tautsheet-0123456789abcdef.tmp").symlink_to(elsewhere)
    (books.folder / ".tautsheet-1123456789abcdef.tmp").mkdir()
    run(books.folder)
    assert all((books.folder / name).read_bytes() == b"the user's" for name in [*names, "elsewhere.txt"])


def test_an_interrupt_passes_and_leaves_nothing(books, monkeypatch):
    books.joints()

    def interrupted(*_given):
        raise KeyboardInterrupt

    monkeypatch.setattr(writeback, "copy_with_changes", interrupted)
    with pytest.raises(KeyboardInterrupt):
        run(books.folder)
    assert leftovers(books.folder) == []
    assert not (books.folder / "planned.xlsx").exists()


def test_a_source_that_changes_while_it_is_read(books, monkeypatch):
    source = books.joints()
    real = zip_copy.copy_with_changes

    def changing(original, new, target):
        real(original, new, target)
        with zipfile.ZipFile(source, "a") as archive:
            archive.writestr("docProps/late.xml", b"<a/>")

    monkeypatch.setattr(writeback, "copy_with_changes", changing)
    with pytest.raises(WorkbookError, match="changed while it was being read; nothing is written"):
        run(books.folder)
    assert not (books.folder / "planned.xlsx").exists()
    assert leftovers(books.folder) == []
