"""Opens and saves workbooks as a person does, in a LibreOffice that has the extension. Runs in LibreOffice's Python.

    python3 ordinary_office.py DRIVER SOFFICE PROFILE EXTENSION STEPS

STEPS is JSON, a list of steps: ["open", NAME, PATH, {"ReadOnly": true, ...}], ["cells", NAME, SHEET, AREA],
["put", NAME, SHEET, CELL, VALUE], ["save", NAME], ["save as", NAME, PATH, FILTER], ["changed", NAME],
["protected", NAME, SHEET], ["wizard", FUNCTION], ["close", NAME]. Answers with a JSON list of what they gave.
"""

import json
import os
import sys

sys.path.insert(0, os.path.dirname(sys.argv[1]))
import uno  # noqa: E402
from driver import Driver, setting, shown  # noqa: E402


class Session:
    def __init__(self, driver):
        self.driver, self.documents = driver, {}

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

    def changed(self, name):
        return self.documents[name].isModified()

    def protected(self, name, sheet):
        return self.sheet(name, sheet).isProtected()

    def wizard(self, function):
        known = self.driver.service("com.sun.star.sheet.FunctionDescriptions")
        for i in range(known.Count):
            values = {pair.Name: pair.Value for pair in known.getByIndex(i)}
            if values["Name"] == function:
                return [[argument.Name, argument.IsOptional] for argument in values["Arguments"]]
        return None

    def close(self, name):
        self.documents.pop(name).close(True)


def main():
    driver = Driver(*sys.argv[2:5])
    answers = []
    try:
        driver.context.getByName("/singletons/com.sun.star.task.theJobExecutor")  # a windowless office lacks it
        session = Session(driver)
        for word, *rest in json.loads(sys.argv[5]):
            answers.append(getattr(session, word.replace(" ", "_"))(*rest))
    finally:
        driver.end()
    sys.stdout.write(json.dumps(answers))


if __name__ == "__main__":
    main()
