"""The map of a list: how its columns are understood, as a person has confirmed it, and what holds for the whole list.

A map is a small JSON file. `tautsheet columns LIST --out MAP` writes it, a person edits it, `tautsheet plan --map MAP`
obeys it:

    {
     "tautsheet map": 1,
     "list": "spring outage.xlsx",
     "sheet": "Joints",
     "columns": [
      {"column": "A", "heading": "Flange No.", "field": "joint", "unit": "", "how": "exact"},
      {"column": "D", "heading": "Qty", "field": "?", "unit": "", "how": "may be studs"},
      {"column": "F", "heading": "Torque", "field": "torque", "unit": "?", "how": "exact"},
      {"column": "G", "heading": "Gasket OD", "field": "none", "unit": "", "how": "not used"}
     ],
     "whole list": {"method": "hydraulic", "lubricant": "L-10", "date": "2027-05-03"},
     "standard flange studs": false
    }

"?" is an open question: put a field, or "none", in its place, or the unit of the column's bare numbers. "whole list"
holds what has no column: any field but the joint, with its unit in the text ("50 ksi"); a field cannot stand in both.
scheme, at once and date hold for rows that do not say otherwise. "standard flange studs": true lets a row without
studs have those of the standard flange of its size and class.

The map belongs to one sheet and to its headings with their units, wherever their columns stand. A heading that is new
or has changed is asked about again, and nothing else is.
"""

import hashlib
import json
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO

from addin.cells.dates import read_day
from addin.cells.numbers import Cell, stands_for_nothing
from addin.cells.words import line
from addin.reading.column import letter
from addin.reading.fields import BY_NAME
from addin.reading.joint_rows import read_constant
from addin.reading.understood import ASKED, PROPOSED, Answers, ColumnAnswer, heading_key, shown_name
from addin.workbooks.new_file import write_new
from addin.workbooks.package import Package, WorkbookError
from addin.workbooks.plain_file import read_plain
from calc.findings import InputError
from calc.units import system

VERSION = 1
OPEN, NONE = "?", "none"
FROM_MAP = "the map"
SETTINGS = ("scheme", "at_once", "date")
"""What holds for rows that do not say otherwise, and so is no constant of every row."""
_LIMIT = 1 << 20
_KEYS = ("tautsheet map", "list", "sheet", "columns", "whole list", "standard flange studs")


@dataclass(frozen=True)
class MapColumn:
    """One column of a map; `field` may be "?" or "none", `unit` "", "?" or a unit."""

    column: str
    heading: str
    field: str
    unit: str
    how: str = ""


@dataclass(frozen=True)
class ListMap:
    """A map as read or proposed."""

    sheet: str
    columns: tuple[MapColumn, ...]
    whole_list: Mapping[str, Cell] = field(default_factory=dict)
    standard_flange_studs: bool = False
    list_name: str = ""
    name: str = "map"
    sha256: str = ""

    def row_constants(self) -> dict[str, Cell]:
        """What holds for every row."""
        return {name: cell for name, cell in self.whole_list.items() if name not in SETTINGS}

    def headings(self) -> set[str]:
        """Every heading of the map, as headings are compared."""
        return {heading_key(column.heading) for column in self.columns}

    def settings(self, stated: Mapping[str, Any]) -> dict[str, Any]:
        """What holds for rows that do not say otherwise: scheme, at_once, and date as a day number.

        `stated` are those given elsewhere. Raises WorkbookError when both state one and differ.
        """
        found: dict[str, Any] = {name: self.whole_list[name] for name in SETTINGS if name in self.whole_list}
        if "date" in found:
            found["date"] = read_day(found["date"], "date")
        for name, value in stated.items():
            if found.setdefault(name, value) != value:
                raise WorkbookError(
                    f"{self.name}: {shown_name(name)} of the whole list differs from the one given; leave one out"
                )
        return found

    def as_json(self) -> dict[str, Any]:
        """What a plan carries of the map."""
        return {
            "file": self.name,
            "sha256": self.sha256,
            "whole_list": {shown_name(name): value for name, value in self.whole_list.items()},
            "standard_flange_studs": self.standard_flange_studs,
        }

    def answers(self) -> Answers:
        """What the map answers; an entry that is open answers nothing."""
        columns = {
            heading_key(each.heading): ColumnAnswer(each.field, "" if each.unit == OPEN else each.unit)
            for each in self.columns
            if each.field != OPEN
        }
        whole = {name: value for name, value in self.whole_list.items() if name != "scheme"}
        return Answers(columns, whole, by="", sheet=self.sheet, standard_flange_studs=self.standard_flange_studs)

    def fields(self) -> set[str]:
        """The fields that the map states for the whole list, the studs of standard flanges among them."""
        studs = {"thread", "studs"} if self.standard_flange_studs else set()
        return (set(self.whole_list) - {"scheme"}) | studs


def sheet_for(answers: ListMap | None, sheet: str | None, package: Package) -> str | None:
    """The sheet to read: the one named, else the map's. Raises WorkbookError where they differ or it is not there."""
    if answers is None:
        return sheet
    if sheet is not None and sheet.casefold() != answers.sheet.casefold():
        raise WorkbookError(f"{answers.name}: is the map of sheet {answers.sheet!r}, not of {sheet!r}")
    if not any(each.name.casefold() == answers.sheet.casefold() for each in package.sheets):
        raise WorkbookError(
            f"{answers.name}: is the map of sheet {answers.sheet!r}, which {package.path.name} does not have; "
            "write a new map with `tautsheet columns`"
        )
    return answers.sheet


# --- the file -------------------------------------------------------------------------------------------------------


def read_map(path: Path) -> ListMap:
    """Read a map. Raises WorkbookError, naming the entry, for what cannot be used."""
    path = Path(path)
    raw = read_plain(path, _LIMIT)
    try:
        content = json.loads(raw.decode("utf-8-sig"), parse_int=_whole, parse_constant=_no_number)
        _check_texts(content)
    except (ValueError, RecursionError) as error:
        raise WorkbookError(f"{path.name}: is not a map: {' '.join(str(error).split())[:200]}") from error
    if not isinstance(content, dict) or "tautsheet map" not in content:
        raise WorkbookError(f"{path.name}: is not a map; `tautsheet columns LIST --out MAP` writes one")
    if content["tautsheet map"] != VERSION:
        version = str(content["tautsheet map"])[:20]
        raise WorkbookError(f"{path.name}: is a map of version {version}; this program reads {VERSION}")
    unknown = [key for key in content if key not in _KEYS]
    if unknown:
        raise WorkbookError(f"{path.name}: '{unknown[0][:60]}' is not known; a map has {', '.join(_KEYS[1:])}")
    flange = content.get("standard flange studs", False)
    if not isinstance(flange, bool):
        raise WorkbookError(f"{path.name}: 'standard flange studs' must be true or false")
    sheet = content.get("sheet")
    if not isinstance(sheet, str) or not sheet:
        raise WorkbookError(f"{path.name}: 'sheet' must name the sheet of the list")
    return ListMap(
        sheet,
        _columns(path.name, content.get("columns", [])),
        _whole_list(path.name, content.get("whole list", {})),
        flange,
        str(content.get("list", "")),
        path.name,
        hashlib.sha256(raw).hexdigest(),
    )


def _whole(text: str) -> int | float:
    """A number without a decimal point: what no cell can hold exactly is no whole number here."""
    return int(text) if len(text) <= 16 else float(text)


def _no_number(text: str) -> float:
    raise ValueError(f"{text} is no number")


def _check_texts(value: Any) -> None:
    """Refuse texts with signs that no cell and no screen can show. Raises ValueError."""
    if isinstance(value, str):
        odd = next(
            (sign for sign in value if unicodedata.category(sign) in ("Cc", "Cs") and sign not in "\n\t\r"), None
        )
        if odd is not None:
            raise ValueError(f"a text holds a control character (code {ord(odd)})")
    for inner in (*value, *value.values()) if isinstance(value, dict) else value if isinstance(value, list) else ():
        _check_texts(inner)


def _columns(name: str, entries: Any) -> tuple[MapColumn, ...]:
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise WorkbookError(f"{name}: 'columns' must be a list of columns")
    found = []
    for number, entry in enumerate(entries, start=1):
        texts = {key: entry.get(key, "") for key in ("column", "heading", "field", "unit", "how")}
        if not all(isinstance(text, str) for text in texts.values()) or not texts["heading"]:
            raise WorkbookError(f"{name}: column {number} must have a heading and a field, as texts")
        text = texts["field"].strip() or OPEN
        if text not in (OPEN, NONE):
            text = _field(f"{name}: column '{texts['heading'][:60]}'", text)
        found.append(MapColumn(texts["column"], texts["heading"], text, texts["unit"].strip(), texts["how"]))
    return tuple(found)


def _field(where: str, text: str) -> str:
    wanted = " ".join(text.casefold().replace("_", " ").split())
    field = next((name for name in BY_NAME if shown_name(name) == wanted), None)
    if field is None:
        known = ", ".join(shown_name(name) for name in BY_NAME)
        raise WorkbookError(f"{where}: field '{text[:60]}' is not known; write {known} or {NONE}")
    return field


def _whole_list(name: str, entries: Any) -> dict[str, Cell]:
    if not isinstance(entries, dict):
        raise WorkbookError(f"{name}: 'whole list' must be fields with their values")
    found: dict[str, Cell] = {}
    for key, value in entries.items():
        where = f"{name}: whole list, {key[:60]}"
        field = "scheme" if key == "scheme" else _field(where, key)
        if field == "joint" or isinstance(value, (bool, list, dict)):
            raise WorkbookError(f"{where}: must be one text or number that every row may share")
        if stands_for_nothing(value):
            continue
        try:
            if field == "at_once" and value not in (1, 2, 4):
                raise WorkbookError(f"{where}: wrenches at once must be 1, 2 or 4")
            if field not in ("scheme", "at_once"):
                read_constant(field, value)
        except InputError as error:
            raise WorkbookError(f"{where}: {line(error.finding, system('US'))}") from None
        found[field] = value
    return found


def proposed(joint_list: Any, before: ListMap | None = None) -> ListMap:
    """The map of a list as it was read: open questions as "?"; constants of the map before are kept."""
    columns = []
    for reading in joint_list.understood.columns:
        field, unit, how = reading.field or NONE, reading.unit or "", reading.why
        if reading.state in (PROPOSED, ASKED):
            names = " or ".join(shown_name(name) for name in reading.candidates)
            if reading.unit_open:
                unit = OPEN
            else:
                field, how = OPEN, f"may be {names}: {reading.why}"
        elif reading.field is not None and not reading.used:
            field = NONE
        columns.append(MapColumn(letter(reading.at), reading.heading, field, unit, how))
    constants = before.whole_list if before else {}
    flange = before.standard_flange_studs if before else False
    return ListMap(joint_list.sheet, tuple(columns), constants, flange, joint_list.package.path.name)


def write_map(made: ListMap, target: Path) -> None:
    """Write a map, one column a line. Raises WorkbookError as `write_new` does."""

    def text(value: Any) -> str:
        return json.dumps(value, ensure_ascii=False)

    lines = [
        f' "tautsheet map": {VERSION},',
        f' "list": {text(made.list_name)},',
        f' "sheet": {text(made.sheet)},',
        ' "columns": [',
        ",\n".join(
            "  "
            + text(
                {"column": c.column, "heading": c.heading, "field": shown_name(c.field), "unit": c.unit, "how": c.how}
            )
            for c in made.columns
        ),
        " ],",
        f' "whole list": {text({shown_name(name): value for name, value in made.whole_list.items()})},',
        f' "standard flange studs": {text(made.standard_flange_studs)}',
    ]
    content = "{\n" + "\n".join(lines) + "\n}\n"

    def write(file: BinaryIO) -> None:
        file.write(content.encode())

    write_new(target, write)
