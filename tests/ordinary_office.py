"""Opens and saves workbooks as a person does, in a LibreOffice that has the extension. Runs in LibreOffice's Python.

    python3 ordinary_office.py DRIVER SOFFICE PROFILE EXTENSION

Each line on the standard input is JSON, a list of steps: ["open", NAME, PATH, {"ReadOnly": true, ...}],
["cells", NAME, SHEET, AREA], ["put", NAME, SHEET, CELL, VALUE], ["save", NAME], ["save as", NAME, PATH, FILTER],
["save copy", NAME, PATH, FILTER], ["changed", NAME], ["protected", NAME, SHEET], ["unprotect", NAME, SHEET],
["copy down", NAME, SHEET, AREA], ["wizard", FUNCTION], ["workers"], ["close", NAME] and so on. It is answered with a
line: a list of what they gave, or a text that says what failed. Documents that are left open are closed.
"""

import json
import os
import sys

sys.path.insert(0, os.path.dirname(sys.argv[1]))
import uno  # noqa: E402
from driver import Driver, setting, shown  # noqa: E402


class Session:
    def __init__(self, driver):
        self.driver, self.documents, self.described = driver, {}, {}

    def sheet(self, name, sheet):
        return self.documents[name].Sheets.getByName(sheet)

    def open(self, name, path, options):
        arguments = tuple(setting(key, value) for key, value in options.items())
        url = uno.systemPathToFileUrl(path)
        self.documents[name] = self.driver.desktop.loadComponentFromURL(url, "_blank", 0, arguments)
        return self.documents[name] is not None

    def cells(self, name, sheet, area):
        cells = self.sheet(name, sheet).getCellRangeByName(area)
        return [
            [shown(value) if value is not None else ["error", cells.getCellByPosition(k, i).String]
             for k, value in enumerate(row)]
            for i, row in enumerate(cells.getDataArray())
        ]  # fmt: skip

    def formulas(self, name, sheet, area):
        return [list(row) for row in self.sheet(name, sheet).getCellRangeByName(area).getFormulaArray()]

    def put(self, name, sheet, cell, value):
        self.sheet(name, sheet).getCellRangeByName(cell).setFormula(value)

    def save(self, name):
        self.documents[name].store()

    def save_as(self, name, path, kind):
        self.documents[name].storeAsURL(uno.systemPathToFileUrl(path), (setting("FilterName", kind),))

    def save_copy(self, name, path, kind):
        self.documents[name].storeToURL(uno.systemPathToFileUrl(path), (setting("FilterName", kind),))

    def select(self, name, sheet, area):
        controller = self.documents[name].CurrentController
        controller.setActiveSheet(self.sheet(name, sheet))
        return controller.select(self.sheet(name, sheet).getCellRangeByName(area))

    def menu(self, name, command):
        """Choose a command of the menu; what stands on the sheet of messages."""
        document = self.documents[name]
        helper = self.driver.service("com.sun.star.frame.DispatchHelper")
        helper.executeDispatch(document.CurrentController.Frame, "vnd.tautsheet:" + command, "", 0, ())
        cells = document.Sheets.getByName("tautsheet").getCellRangeByName("A1:A60").getDataArray()
        return [row[0] for row in cells if row[0]]

    def titles(self):
        """What our menu holds: address and title of each command."""
        provider = self.driver.service("com.sun.star.configuration.ConfigurationProvider")
        menu = provider.createInstanceWithArguments(
            "com.sun.star.configuration.ConfigurationAccess",
            (setting("nodepath", "/org.openoffice.Office.Addons/AddonUI/OfficeMenuBar/tautsheet.calc/Submenu"),),
        )
        items = [menu.getByName(name) for name in menu.ElementNames]
        return sorted([item.getByName("URL"), item.getByName("Title")] for item in items)

    def calculate(self, name):
        self.documents[name].calculateAll()

    def unprotect(self, name, sheet):
        self.documents[name].Sheets.getByName(sheet).unprotect("")
        return self.protected(name, sheet)

    def copy_down(self, name, sheet, area, rows):
        """Copy an area to the rows that follow, as by Ctrl+C and Ctrl+V; their formulas."""
        cells = self.sheet(name, sheet).getCellRangeByName(area)
        at = cells.RangeAddress
        for row in range(1, rows + 1):
            place = self.sheet(name, sheet).getCellByPosition(at.StartColumn, at.StartRow + row).CellAddress
            self.sheet(name, sheet).copyRange(place, at)
        below = self.sheet(name, sheet).getCellRangeByPosition(
            at.StartColumn, at.StartRow + 1, at.EndColumn, at.EndRow + rows
        )
        return [list(row) for row in below.getFormulaArray()]

    def workers(self):
        """Numbers of the processes that answer our functions, started by this office."""
        found, mine = [], os.getpgid(self.driver.process.pid)
        for number in filter(str.isdigit, os.listdir("/proc")):
            try:
                with open(f"/proc/{number}/cmdline", "rb") as file:
                    command = file.read()
                if b"addin.hosts.libreoffice.worker" in command and os.getpgid(int(number)) == mine:
                    found.append(int(number))
            except OSError:  # gone meanwhile
                continue
        return found

    def signal(self, number, which):
        os.kill(number, which)

    def changed(self, name):
        return self.documents[name].isModified()

    def protected(self, name, sheet):
        return self.sheet(name, sheet).isProtected()

    def wizard(self, function):
        if not self.described:
            known = self.driver.service("com.sun.star.sheet.FunctionDescriptions")
            for i in range(known.Count):
                values = {pair.Name: pair.Value for pair in known.getByIndex(i)}
                arguments = [[argument.Name, argument.IsOptional] for argument in values["Arguments"] or ()]
                self.described.setdefault(values["Name"], arguments)
        return self.described.get(function)

    def close(self, name):
        self.documents.pop(name).close(True)

    def all(self, steps):
        try:
            return [getattr(self, word.replace(" ", "_"))(*rest) for word, *rest in steps]
        except Exception as error:  # noqa: BLE001  # the test is told
            return f"{type(error).__name__}: {getattr(error, 'Message', '') or error}"
        finally:
            for name in list(self.documents):
                self.close(name)


def main():
    driver = Driver(*sys.argv[2:5])
    try:
        driver.context.getByName("/singletons/com.sun.star.task.theJobExecutor")  # a windowless office lacks it
        session = Session(driver)
        for line in sys.stdin:
            sys.stdout.write(json.dumps(session.all(json.loads(line))) + "\n")
            sys.stdout.flush()
    finally:
        driver.end()


if __name__ == "__main__":
    main()
