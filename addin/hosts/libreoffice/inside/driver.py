"""Drives one headless office process; runs in a Python that has uno, with nothing but the standard library beside it.

Reads lines of JSON, `[command, arguments]`, and answers each with a line `[result, error]`. The process is gone
when this ends.
"""

import contextlib
import json
import os
import signal
import subprocess
import sys
import time

import uno
import unohelper
from com.sun.star.beans import PropertyValue
from com.sun.star.connection import NoConnectException
from com.sun.star.lang import DisposedException
from com.sun.star.task import XInteractionHandler
from com.sun.star.ucb import XCommandEnvironment, XProgressHandler

WAIT = 90.0
"""Seconds a first start may take on a slow disk."""

_TEXTS, _ERRORS = 2, 4
"""Results of formulas, as com.sun.star.sheet.FormulaResult has them."""


class DriverError(Exception):
    """What is asked cannot be done."""


class Approval(unohelper.Base, XCommandEnvironment, XInteractionHandler, XProgressHandler):
    """Says yes when the extension manager asks; shows no progress."""

    def getInteractionHandler(self):  # noqa: N802  # names of the interfaces
        return self

    def getProgressHandler(self):  # noqa: N802
        return self

    def handle(self, request):
        for continuation in request.getContinuations():
            approve = continuation.queryInterface(uno.getTypeByName("com.sun.star.task.XInteractionApprove"))
            if approve is not None:
                approve.select()
                return

    def push(self, status):
        pass

    def update(self, status):
        pass

    def pop(self):
        pass


def setting(name, value):
    prop = PropertyValue()
    prop.Name, prop.Value = name, value
    return prop


def shown(value):
    """Kind and content of a cell that shows no error."""
    if isinstance(value, float):
        return ["number", value]
    return ["text", value] if value else ["", ""]


class Driver:
    """One office process and the documents that are open in it."""

    def __init__(self, soffice, profile, extension=None):
        self.documents = {}
        self.start(soffice, profile)
        if extension:
            try:
                self.add_extension(extension)
            finally:
                self.end()
            self.start(soffice, profile)  # in the process that adds it, an extension cannot find its own types

    def start(self, soffice, profile):
        """Start the office process and connect to it."""
        pipe = "tautsheet%d-%d" % (os.getpid(), time.monotonic_ns())
        self.process = subprocess.Popen(
            [soffice, "--headless", "--invisible", "--norestore", "--nologo", "--nodefault", "--nolockcheck",
             "--nofirststartwizard", "-env:UserInstallation=" + uno.systemPathToFileUrl(profile),
             "--accept=pipe,name=%s;urp;StarOffice.ComponentContext" % pipe],
            stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            start_new_session=os.name == "posix",
        )  # fmt: skip
        self.context = self.connect("uno:pipe,name=%s;urp;StarOffice.ComponentContext" % pipe)
        self.services = self.context.ServiceManager
        self.desktop = self.service("com.sun.star.frame.Desktop")

    def connect(self, address):
        local = uno.getComponentContext()
        resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
        end = time.monotonic() + WAIT
        while True:
            try:
                return resolver.resolve(address)
            except NoConnectException:
                if self.process.poll() not in (None, 0) or time.monotonic() > end:
                    self.kill()
                    raise
                time.sleep(0.05)

    def service(self, name):
        return self.services.createInstanceWithContext(name, self.context)

    def manager(self):
        return self.context.getByName("/singletons/com.sun.star.deployment.ExtensionManager")

    def add_extension(self, path):
        """Add an extension to the profile, in place of one with the same identifier."""
        self.manager().addExtension(uno.systemPathToFileUrl(path), (), "user", None, Approval())

    def extension(self, identifier):
        """Folder of an extension in the profile, None where it is not there."""
        packages = self.context.getByName("/singletons/com.sun.star.deployment.PackageInformationProvider")
        url = packages.getPackageLocation(identifier)
        return uno.fileUrlToSystemPath(url) if url else None

    def remove_extension(self, identifier):
        """Remove an extension from the profile; whether it was there."""
        for found in self.manager().getDeployedExtensions("user", None, Approval()):
            if found.getIdentifier().Value == identifier:
                self.manager().removeExtension(identifier, found.getName(), "user", None, Approval())
                return True
        return False

    def office_version(self):
        """Version as the office program's settings have it, e.g. "7.4"."""
        provider = self.service("com.sun.star.configuration.ConfigurationProvider")
        access = provider.createInstanceWithArguments(
            "com.sun.star.configuration.ConfigurationAccess", (setting("nodepath", "/org.openoffice.Setup/Product"),)
        )
        return access.getByName("ooSetupVersion")

    def knows(self, name):
        """Whether a formula of an Excel file may use this name as it stands."""
        document = self.desktop.loadComponentFromURL("private:factory/scalc", "_blank", 0, (setting("Hidden", True),))
        try:
            mapper = document.createInstance("com.sun.star.sheet.FormulaOpCodeMapper")
            token = mapper.getMappings((name,), 2)[0]  # FormulaLanguage.XL_ENGLISH
            return token.OpCode not in (mapper.OpCodeUnknown, mapper.OpCodeExternal) or bool(token.Data)
        finally:
            document.close(True)

    def load(self, path):
        """Open a workbook; its number."""
        document = self.desktop.loadComponentFromURL(
            uno.systemPathToFileUrl(path), "_blank", 0,
            (setting("Hidden", True), setting("MacroExecutionMode", 0), setting("UpdateDocMode", 0)),
        )  # fmt: skip
        if document is None:
            raise DriverError("LibreOffice cannot open it")
        number = max(self.documents, default=0) + 1
        self.documents[number] = document
        return number

    def new(self):
        """Open an empty workbook; its number."""
        number = max(self.documents, default=0) + 1
        self.documents[number] = self.desktop.loadComponentFromURL(
            "private:factory/scalc", "_blank", 0, (setting("Hidden", True),)
        )
        return number

    def recalculate(self, number):
        """Calculate every formula; the seconds it took."""
        start = time.perf_counter()
        self.documents[number].calculateAll()
        return time.perf_counter() - start

    def sheet(self, number, name):
        sheets = self.documents[number].Sheets
        return sheets.getByName(name) if name else sheets.getByIndex(0)

    def sheets(self, number):
        """Names of the sheets."""
        return list(self.documents[number].Sheets.ElementNames)

    def put(self, number, name, address, rows, how):
        """Write rows of cells from an address on: "formula", or "value", where texts stay texts and None is empty.

        The seconds it took, calculation included.
        """
        corner = self.sheet(number, name).getCellRangeByName(address).RangeAddress
        area = self.sheet(number, name).getCellRangeByPosition(
            corner.StartColumn, corner.StartRow, corner.StartColumn + len(rows[0]) - 1, corner.StartRow + len(rows) - 1
        )
        start = time.perf_counter()
        if how == "formula":
            area.setFormulaArray(tuple(map(tuple, rows)))
        else:
            area.setDataArray(tuple(tuple("" if cell is None else cell for cell in row) for row in rows))  # "": empty
        return time.perf_counter() - start

    def array(self, number, name, address, formula):
        """One formula over an area; the seconds it took."""
        start = time.perf_counter()
        self.sheet(number, name).getCellRangeByName(address).setArrayFormula(formula)
        return time.perf_counter() - start

    def cells(self, number, name, address):
        """What an area shows, a pair for each cell: kind and content. Kinds: "", "number", "text", "error"."""
        area = self.sheet(number, name).getCellRangeByName(address)
        return [
            [shown(value) if value is not None else ["error", area.getCellByPosition(k, i).String]
             for k, value in enumerate(row)]
            for i, row in enumerate(area.getDataArray())
        ]  # fmt: skip

    def formulas(self, number, name, address):
        """Formulas of an area as Calc shows them."""
        return [list(row) for row in self.sheet(number, name).getCellRangeByName(address).getFormulaArray()]

    def used(self, number, name):
        """Address of the used area of a sheet, from A1, as [columns, rows]."""
        cursor = self.sheet(number, name).createCursor()
        cursor.gotoEndOfUsedArea(False)
        return [cursor.RangeAddress.EndColumn + 1, cursor.RangeAddress.EndRow + 1]

    def findings(self, number):
        """Formulas that show an error or a text beginning with STOP: sheet, address, what it shows."""
        found = []
        for name in self.sheets(number):
            sheet = self.sheet(number, name)
            for area in sheet.queryFormulaCells(_TEXTS + _ERRORS).RangeAddresses:
                cells = sheet.getCellRangeByPosition(area.StartColumn, area.StartRow, area.EndColumn, area.EndRow)
                for i, row in enumerate(cells.getDataArray()):
                    for k, value in enumerate(row):
                        if value is None or (isinstance(value, str) and value.startswith("STOP")):
                            cell = cells.getCellByPosition(k, i)
                            place = cell.AbsoluteName.split(".")[-1].replace("$", "")
                            found.append([name, place, cell.String])
        return found

    def save(self, number, path, kind):
        """Save a copy: "xlsx", "ods" or "pdf"."""
        names = {"xlsx": "Calc MS Excel 2007 XML", "ods": "calc8", "pdf": "calc_pdf_Export"}
        self.documents[number].storeToURL(
            uno.systemPathToFileUrl(path), (setting("FilterName", names[kind]), setting("Overwrite", True))
        )

    def close(self, number):
        """Close a workbook."""
        self.documents.pop(number).close(True)

    def end(self):
        """End the office process."""
        with contextlib.suppress(DisposedException):
            self.desktop.terminate()
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.kill()

    def kill(self):
        """End it the hard way, with what it has started."""
        if os.name == "posix":
            with contextlib.suppress(ProcessLookupError):
                os.killpg(self.process.pid, signal.SIGKILL)
        else:
            self.process.kill()
        self.process.wait()


_COMMANDS = frozenset((
    "add_extension", "extension", "remove_extension",
    "office_version", "knows", "load", "new", "recalculate", "sheets", "put", "array", "cells",
    "formulas", "used", "findings", "save", "close",
))  # fmt: skip


def main():
    """Serve on the standard streams until they close."""
    replies = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)

    def answer(*content):
        replies.write(json.dumps(content).encode("ascii") + b"\n")
        replies.flush()

    try:
        driver = Driver(*sys.argv[1:])
    except Exception as error:  # noqa: BLE001  # whatever it is, the other side must hear of it
        answer(None, "LibreOffice does not start: %s" % error)
        return
    try:
        answer("ready", None)
        for line in sys.stdin.buffer:
            command, arguments = json.loads(line.decode("ascii"))
            try:
                if command not in _COMMANDS:
                    raise DriverError("no command " + command)
                answer(getattr(driver, command)(*arguments), None)
            except DriverError as error:
                answer(None, str(error))
            except Exception as error:  # noqa: BLE001  # uno's errors share no other base
                answer(None, "%s: %s" % (type(error).__name__, str(getattr(error, "Message", "") or error)))
    finally:
        driver.end()


if __name__ == "__main__":
    main()
