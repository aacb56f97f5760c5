"""Runs inside LibreOffice's own Python, so it uses nothing but the standard library and uno.

Every worksheet function of Calc is a method here. It hands its arguments to a worker, a process of the interpreter that
tautsheet is installed for, as one line of JSON, and shows what comes back. A worker that has died is started again, one
that does not answer is ended.

A workbook of Excel's names our functions plainly, which Calc before 25.2 does not know. When such a document is opened,
its formulas are read once more; when it is saved as .xlsx, the plain names are put back into the file.
"""

import contextlib
import json
import os
import queue
import re
import subprocess
import threading
import time

import uno
import unohelper
from com.sun.star.frame import XDispatch, XDispatchProvider
from com.sun.star.lang import XInitialization
from com.sun.star.task import XJob

HERE = os.path.dirname(uno.fileUrlToSystemPath(__file__) if "://" in __file__ else __file__)
with open(os.path.join(HERE, "settings.json"), encoding="utf-8") as _file:
    SETTINGS = json.load(_file)

_CLEAN = ("PYTHONPATH", "PYTHONHOME", "PYTHONSTARTUP", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH", "VIRTUAL_ENV")
"""Variables that LibreOffice sets for its own Python and libraries."""


class Worker:
    """The process that answers; started at the first call and again when it has gone."""

    def __init__(self):
        self.process = self.replies = None
        self.lock = threading.Lock()

    def ask(self, name, values):
        """Rows of cells for one call; a text that begins with STOP when nobody answers."""
        reply, reason = self.request(name, values, SETTINGS["limits"].get(name, 60))
        if reason is None:
            return reply
        where = SETTINGS["python"]
        return [
            ["STOP: tautsheet's Python, %s, does not answer (%s); run 'tautsheet libreoffice' again" % (where, reason)]
        ]

    def request(self, name, values, limit, says=lambda text: None):
        """The answer and None, or None and why there is none. Whoever takes longer than the limit, in s, is ended.

        What is said on the way goes to `says`; the limit begins anew with every line.
        """
        line = json.dumps([name, values]).encode("ascii") + b"\n"
        with self.lock:
            reason = ""
            for _ in range(2):
                try:
                    if self.process is None or self.process.poll() is not None:
                        self.stop()
                        self.start()
                    self.process.stdin.write(line)
                    self.process.stdin.flush()
                    reply = self.replies.get(timeout=limit)
                    while reply.startswith(b"{"):
                        says(json.loads(reply.decode("ascii"))["says"])
                        reply = self.replies.get(timeout=limit)
                    if reply.endswith(b"\n"):
                        return json.loads(reply.decode("ascii")), None
                    reason = "it ended"
                except queue.Empty:
                    self.stop()
                    return None, "it took longer than %d s for %s and was ended" % (limit, name)
                except (OSError, ValueError) as error:
                    reason = str(error)
                self.stop()
        return None, reason

    def start(self):
        """Start the process, without what LibreOffice has put into the environment for its own Python."""
        environment = {key: value for key, value in os.environ.items() if key not in _CLEAN}
        options = {"creationflags": 0x08000000} if os.name == "nt" else {}  # no console window
        self.process = subprocess.Popen(
            [SETTINGS["python"], *SETTINGS["arguments"]], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL, env=environment, cwd=SETTINGS["folder"], **options
        )  # fmt: skip
        self.replies = queue.Queue()
        threading.Thread(target=read_all, args=(self.process.stdout, self.replies), daemon=True).start()

    def stop(self):
        """End the process, if there is one."""
        process, self.process = self.process, None
        if process is not None:
            process.kill()
            process.wait()
            with contextlib.suppress(OSError):  # what it did not take
                process.stdin.close()


def read_all(stream, replies):
    """Hand on every line; an empty one says that there are no more."""
    with stream, contextlib.suppress(OSError, ValueError):
        for line in stream:
            replies.put(line)
    replies.put(b"")


WORKER = Worker()


def plain(value):
    """A value of Calc as JSON has it; what has no counterpart is text."""
    if value is None or isinstance(value, (bool, int, float, str)):
        return value
    if isinstance(value, tuple):
        return [plain(part) for part in value]
    return str(value)


def alone(value):
    """One cell for a table of one cell: so does Calc hand over a number or a text that must be given."""
    return value[0][0] if isinstance(value, tuple) and len(value) == 1 and len(value[0]) == 1 else value


def _method(name):
    def call(self, *values):
        rows = WORKER.ask(name, [plain(alone(value)) for value in values])
        return tuple(tuple(row) for row in rows)

    return call


_methods = {method: _method(name) for method, name in SETTINGS["functions"].items()}
Functions = type("Functions", (unohelper.Base, uno.getClass(SETTINGS["interface"])), _methods)

_PLAIN = re.compile(r"(?i)(?<![\w.])(?:%s)\s*\(" % "|".join(SETTINGS["functions"].values()))
_SHOWN = 1 + 2 + 4  # number, text or error, as com.sun.star.sheet.FormulaResult has them
_XLSX = "Calc MS Excel 2007 XML"


def plainly_named(document):
    """Areas with formulas that name a function of ours plainly, which Calc has not understood."""
    found = []
    for sheet in (document.Sheets.getByIndex(i) for i in range(document.Sheets.Count)):
        for area in sheet.queryFormulaCells(_SHOWN).RangeAddresses:
            cells = sheet.getCellRangeByPosition(area.StartColumn, area.StartRow, area.EndColumn, area.EndRow)
            if any(_PLAIN.search(text) for row in cells.getFormulaArray() for text in row):
                found.append(cells)
    return found


def wake(document):
    """Have the formulas read once more that name our functions plainly.

    Calc does so for every formula it has not understood when a name is defined: protected sheets, arrays and documents
    that may only be read included. A document in which no cell shows another value than it brought along still counts
    as unchanged; what an array brought along is not known, for Calc calculates arrays whenever it opens a file.
    """
    areas = plainly_named(document)
    if not areas:
        return
    before, changed = [area.getDataArray() for area in areas], document.isModified()
    names, name = document.NamedRanges, "tautsheet_%d" % time.monotonic_ns()
    undo = document.UndoManager
    undo.lock()
    try:
        names.addNewByName(name, "1", uno.createUnoStruct("com.sun.star.table.CellAddress"), 0)
        names.removeByName(name)
    finally:
        undo.unlock()
    if all(
        was is None or now == was or formula.startswith("{")
        for area, rows in zip(areas, before)
        for shows, showed, formulas in zip(area.getDataArray(), rows, area.getFormulaArray())
        for now, was, formula in zip(shows, showed, formulas)
    ):
        document.setModified(changed)


def files_beside(document):
    """The .xlsx in the document's folder and in the user's folder for documents, each with its date and size.

    Nothing tells the name of a copy that is saved. So what has changed in these folders while one was saved is it; the
    worker writes only into what has full names of ours.
    """
    found = {}
    if not document.URL.startswith("file:"):
        return found
    context = uno.getComponentContext()
    paths = context.ServiceManager.createInstanceWithContext("com.sun.star.util.PathSettings", context)
    for folder in {os.path.dirname(uno.fileUrlToSystemPath(url)) for url in (document.URL, paths.Work + "/x")}:
        with contextlib.suppress(OSError), os.scandir(folder) as entries:
            for entry in entries:
                if entry.name.lower().endswith(".xlsx") and entry.path != uno.fileUrlToSystemPath(document.URL):
                    about = entry.stat()
                    found[entry.path] = (about.st_mtime_ns, about.st_size)
    return found


class Documents(unohelper.Base, XJob):
    """Looks after workbooks when they are opened, saved and closed."""

    late = {}
    """Files that could not be written while they were open, by the document that holds them."""

    begun = {}
    """The .xlsx that lay where a copy may be saved when that began, by document."""

    def execute(self, arguments):  # the method's name in the interface
        event = document = None
        for pair in arguments:
            if pair.Name == "Environment":
                values = {part.Name: part.Value for part in pair.Value}
                event, document = values.get("EventName"), values.get("Model")
        if document is not None and document.supportsService("com.sun.star.sheet.SpreadsheetDocument"):
            with contextlib.suppress(Exception):  # a document opens and is saved whatever becomes of our part in it
                self.look_after(event, document)

    def look_after(self, event, document):
        if event == "OnLoadFinished":
            wake(document)
        elif event in ("OnSaveDone", "OnSaveAsDone"):
            filters = [part.Value for part in document.Args if part.Name == "FilterName"]
            if filters == [_XLSX] and document.URL.startswith("file:"):
                self.put_plain(document.RuntimeUID, uno.fileUrlToSystemPath(document.URL))
        elif event == "OnCopyTo":
            self.begun[document.RuntimeUID] = files_beside(document)
        elif event == "OnCopyToDone":
            before = self.begun.pop(document.RuntimeUID, {})
            for path, state in files_beside(document).items():
                if before.get(path) != state:
                    WORKER.request(":plain names", [path], 60)
        elif event == "OnUnload":
            self.begun.pop(document.RuntimeUID, None)
            for path in self.late.pop(document.RuntimeUID, ()):
                WORKER.request(":plain names", [path], 60)

    def put_plain(self, number, path):
        """Put the plain names into a file; where the system does not let it be written, once it is closed."""
        reply, reason = WORKER.request(":plain names", [path], 60)
        if reply or reason:
            self.late.setdefault(number, set()).add(path)


MESSAGES = "tautsheet"
"""The sheet on which a command of the menu tells what it did."""
_TITLE = "Messages of tautsheet: "
_NO_PART = "This sheet is no part of the list: it is gone when the workbook is closed without saving."


class Menu(unohelper.Base, XInitialization, XDispatchProvider, XDispatch):
    """The commands of the menu, each for the document of the frame it was chosen in."""

    frame = None

    def initialize(self, arguments):
        self.frame = arguments[0] if arguments else None

    def queryDispatch(self, url, target, flags):  # noqa: N802  # names of the interfaces
        return self if url.Complete.startswith(SETTINGS["protocol"]) else None

    def queryDispatches(self, requests):  # noqa: N802
        return tuple(self.queryDispatch(each.FeatureURL, each.FrameName, each.SearchFlags) for each in requests)

    def addStatusListener(self, listener, url):  # noqa: N802
        pass

    def removeStatusListener(self, listener, url):  # noqa: N802
        pass

    def dispatch(self, url, arguments):
        document = self.frame.Controller.Model
        command = url.Complete[len(SETTINGS["protocol"]) :]
        title = SETTINGS["commands"].get(command)
        if title is None or not document.supportsService("com.sun.star.sheet.SpreadsheetDocument"):
            return
        tell(document, title, self.lines(document, command, title))

    def lines(self, document, command, title):
        """What the program says to a command, or why it is not run."""
        if not document.URL.startswith("file:"):
            return ["Save the workbook first: what is planned is its file."]
        if document.isModified():
            return ["Save the workbook first: what has changed since is not in its file."]
        path = uno.fileUrlToSystemPath(document.URL)
        words = [path]
        if command == "cards":
            words += ["--rows", ",".join("%d-%d" % ends for ends in rows_of(document.CurrentSelection))]
        elif command == "plan" and not any(
            os.path.exists(os.path.join(folder, "job.xlsx"))
            for folder in (os.path.dirname(path), os.path.dirname(os.path.dirname(path)))
        ):
            words += ["--new"]
        progress = self.frame.createStatusIndicator()
        progress.start("tautsheet: " + title, 0)
        try:
            reply, reason = WORKER.request(":job", words, 900, progress.setText)
        finally:
            progress.end()
        if reason is not None:
            return ["tautsheet's Python, %s, does not answer (%s)" % (SETTINGS["python"], reason)]
        lines, _ = reply
        return lines or ["Nothing was said."]


def rows_of(selection):
    """First and last row of each selected area, as a spreadsheet counts them."""
    if hasattr(selection, "getRangeAddresses"):
        areas = selection.getRangeAddresses()
    else:
        areas = [selection.getRangeAddress()]
    return [(area.StartRow + 1, area.EndRow + 1) for area in areas]


def tell(document, title, lines):
    """Write lines on a sheet of their own, the last one; one that we wrote before gives way.

    The document counts as changed only if it did before: closed without saving, the sheet is gone.
    """
    changed, sheets, name, count = document.isModified(), document.Sheets, MESSAGES, 1
    while sheets.hasByName(name) and not sheets.getByName(name).getCellByPosition(0, 0).String.startswith(_TITLE):
        count += 1
        name = "%s %d" % (MESSAGES, count)
    undo = document.UndoManager
    undo.lock()
    try:
        if sheets.hasByName(name):
            sheets.removeByName(name)
        sheets.insertNewByName(name, sheets.Count)
        sheet = sheets.getByName(name)
        head = [_TITLE + title + time.strftime(", %Y-%m-%d %H:%M"), _NO_PART, ""]
        for row, text in enumerate(head + lines):
            sheet.getCellByPosition(0, row).String = text  # never a formula
        column = sheet.Columns.getByIndex(0)
        column.Width = 18000
        column.IsTextWrapped = True
        document.CurrentController.setActiveSheet(sheet)
    finally:
        undo.unlock()
    document.setModified(changed)


g_ImplementationHelper = unohelper.ImplementationHelper()  # noqa: N816  # the loader looks for this name
g_ImplementationHelper.addImplementation(
    lambda context: Functions(), SETTINGS["service"], (SETTINGS["service"], "com.sun.star.sheet.AddIn")
)
g_ImplementationHelper.addImplementation(
    lambda context: Documents(), SETTINGS["documents"], (SETTINGS["documents"], "com.sun.star.task.Job")
)
g_ImplementationHelper.addImplementation(
    lambda context: Menu(), SETTINGS["menu"], (SETTINGS["menu"], "com.sun.star.frame.ProtocolHandler")
)
