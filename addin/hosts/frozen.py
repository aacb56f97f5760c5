"""A copy of a workbook for people without the functions: our formulas become their values, the rest stays as it is."""

import datetime
import re
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO
from xml.sax.saxutils import escape, quoteattr

from addin.cells.texts import is_stop
from addin.hosts.frozen_cells import Found, Place, Shown, find, freeze, is_ours
from addin.shipped import program
from addin.workbooks.addresses import address
from addin.workbooks.markup import Markup, MarkupError, attributes, unescape
from addin.workbooks.new_file import write_new
from addin.workbooks.package import Package, Sheet, WorkbookError, open_package
from addin.workbooks.zip_copy import copy_with_changes

SHEET = "Frozen"
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_LINK = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_TYPES, _CHAIN = "[Content_Types].xml", "xl/calcChain.xml"
_SHEET_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"


@dataclass(frozen=True)
class FrozenCell:
    """A cell that was frozen: where, the formula it had, what it shows now and what the file said."""

    sheet: str
    address: str
    formula: str
    shown: Shown
    saved: Shown

    @property
    def differs(self) -> bool:
        """Whether the file brought another value along."""
        (kind, now), (had, was) = self.shown, self.saved
        if had == "" or kind == had == "error":
            return False
        if kind == had == "number":
            return f"{now:.14g}" != f"{was:.14g}"  # files keep 15 digits
        return (kind or "text", now) != (had, was)


@dataclass(frozen=True)
class Frozen:
    """What was done: the cells, and what names our functions still, outside cells."""

    cells: tuple[FrozenCell, ...]
    left: tuple[str, ...]

    @property
    def stops(self) -> tuple[FrozenCell, ...]:
        """Cells that show a STOP."""
        return tuple(cell for cell in self.cells if is_stop(cell.shown[1]))


def frozen_copy(source: Path, target: Path, *, as_saved: bool = False) -> Frozen:
    """Write the copy. Values are recalculated by LibreOffice, or with `as_saved` taken as the file has them.

    Raises WorkbookError for a workbook that cannot be read or written, has nothing of ours in it, or, with `as_saved`,
    lacks a value; NoOfficeError, OfficeError.
    """
    if source.suffix.lower() not in (".xlsx", ".xlsm"):
        raise WorkbookError(f"{source}: is not frozen: it is no .xlsx or .xlsm")
    if source.suffix.lower() != target.suffix.lower():
        raise WorkbookError(f"{target}: the copy needs a name that ends in {source.suffix}, as the workbook has")
    package = open_package(source)
    if package.signed:
        raise WorkbookError(f"{source}: is signed; a copy with other content would break the signature")
    names = _names(package)
    found = {sheet: _find(package, sheet, names) for sheet in package.sheets if sheet.kind == "worksheet"}
    found = {sheet: cells for sheet, cells in found.items() if cells}
    if not found:
        raise WorkbookError(f"{source}: has no formula of tautsheet's; nothing to freeze")
    values, by = _as_saved(package, found) if as_saved else _calculated(source, found)
    cells = tuple(
        FrozenCell(sheet.name, address(*where), cell.formula, values[sheet][where], cell.saved)
        for sheet, places in found.items()
        for where, cell in places.items()
    )
    done = Frozen(cells, tuple(_left(package, names)))
    new = {sheet.part: freeze(package.read(sheet.part), values[sheet]) for sheet in found}
    new |= _without_columns(package, new)
    gone = _chain(package, found, new)
    _add_sheet(package, new, _report(source, package, done, by))

    def write(file: BinaryIO) -> None:
        with source.open("rb") as original:
            copy_with_changes(original, new, file, gone)

    write_new(target, write)
    return done


def _find(package: Package, sheet: Sheet, names: tuple[str, ...]) -> dict[Place, Found]:
    try:
        return find(package.read(sheet.part), names)
    except (MarkupError, ValueError) as error:
        raise WorkbookError(f"{package.path}: sheet {sheet.name!r} is not frozen: {error}") from error


_NAME = re.compile(r"<definedName\b([^>]*)>([^<]*)</definedName>")


def _names(package: Package) -> tuple[str, ...]:
    """Defined names that call our functions, by way of others too."""
    defined = {
        attributes(head.encode())["name"]: unescape(text)
        for head, text in _NAME.findall(package.read(package.workbook).decode("utf-8"))
    }
    ours: tuple[str, ...] = ()
    while True:
        more = tuple(name for name, text in defined.items() if is_ours(text, ours))
        if more == ours:
            return ours
        ours = more


Values = dict[Sheet, dict[Place, Shown]]


def _as_saved(package: Package, found: dict[Sheet, dict[Place, Found]]) -> tuple[Values, str]:
    for sheet, cells in found.items():
        without = next((where for where, cell in cells.items() if cell.formula and cell.saved[0] == ""), None)
        if without:
            raise WorkbookError(
                f"{package.path}: {sheet.name}!{address(*without)} has no value in the file; leave out --as-saved, or "
                "open and save it in the spreadsheet program"
            )
    values = {sheet: {where: cell.saved for where, cell in cells.items()} for sheet, cells in found.items()}
    return values, "as the file had them: they were not recalculated"


def _calculated(source: Path, found: dict[Sheet, dict[Place, Found]]) -> tuple[Values, str]:
    from addin.hosts.libreoffice.office import Office

    values: Values = {}
    with Office() as office:
        book = office.open(source)
        book.recalculate()
        for sheet, cells in found.items():
            rows, columns = [row for row, _ in cells], [column for _, column in cells]
            top, left = min(rows), min(columns)
            shown = book.cells(f"{address(top, left)}:{address(max(rows), max(columns))}", sheet.name)
            values[sheet] = {(row, column): shown[row - top][column - left] for row, column in cells}
        return values, f"recalculated by LibreOffice {office.version}"


def _left(package: Package, names: tuple[str, ...]) -> list[str]:
    """Where else our functions are named: these formulas stay, and mean nothing without the functions."""
    said = [f"defined name {name}" for name in names]
    for sheet in package.sheets:
        if sheet.kind != "worksheet":
            continue
        text = bytes(Markup(package.read(sheet.part)).plain).decode("utf-8")
        for tag, what in (("formula", "conditional format"), ("formula1", "validation"), ("formula2", "validation")):
            if any(is_ours(unescape(found), names) for found in re.findall(rf"<{tag}>([^<]*)</{tag}>", text)):
                said.append(f"{what} of sheet {sheet.name}")
    return list(dict.fromkeys(said))


def _without_columns(package: Package, new: dict[str, bytes]) -> dict[str, bytes]:
    """Tables whose column formula is ours, without it: a new row would show it."""
    changed = {}
    for name in package.parts:
        if re.fullmatch(r"xl/tables/[^/]+\.xml", name):
            content = package.read(name).decode("utf-8")
            made = re.sub(
                r"<calculatedColumnFormula\b[^>]*>([^<]*)</calculatedColumnFormula>",
                lambda found: "" if is_ours(unescape(found[1])) else found[0],
                content,
            )
            if made != content:
                changed[name] = made.encode("utf-8")
    return changed


def _chain(package: Package, found: dict[Sheet, dict[Place, Found]], new: dict[str, bytes]) -> tuple[str, ...]:
    """Take the frozen cells out of the order of calculation; the parts that are gone with it."""
    if _CHAIN not in package.parts:
        return ()
    new[_TYPES] = re.sub(rb'<Override\b[^>]*"/xl/calcChain\.xml"[^>]*/>', b"", package.read(_TYPES))
    rels = "xl/_rels/workbook.xml.rels"
    new[rels] = re.sub(rb'<Relationship\b[^>]*/calcChain"[^>]*/>', b"", package.read(rels))
    return (_CHAIN,)  # a spreadsheet program makes it anew when it is not there


def _add_sheet(package: Package, new: dict[str, bytes], rows: list[list[str]]) -> None:
    """Put a sheet of texts behind the others."""
    taken, name, number = {sheet.name.casefold() for sheet in package.sheets}, SHEET, 1
    while name.casefold() in taken:
        number += 1
        name = f"{SHEET} {number}"
    part = next(part for k in range(1, 10_000) if (part := f"xl/worksheets/frozen{k}.xml") not in package.parts)
    rels = "xl/_rels/workbook.xml.rels"
    links, book = new.get(rels, package.read(rels)), package.read(package.workbook)
    numbers = [int(found) for found in re.findall(rb'<sheet\b[^>]*sheetId="(\d+)"', book)]
    known = set(re.findall(rb'\bId="([^"]+)"', links))
    link = next(each for k in range(1, 100_000) if (each := f"rIdFrozen{k}").encode() not in known)
    sheet = f'<sheet xmlns:r="{_LINK}" name={quoteattr(name)} sheetId="{max(numbers) + 1}" r:id="{link}"/></sheets>'
    new[package.workbook] = book.replace(b"</sheets>", sheet.encode("utf-8"), 1)
    added = f'<Relationship Id="{link}" Type="{_LINK}/worksheet" Target="/{part}"/></Relationships>'
    new[rels] = links.replace(b"</Relationships>", added.encode(), 1)
    kind = f'<Override PartName="/{part}" ContentType="{_SHEET_TYPE}"/></Types>'
    new[_TYPES] = new.get(_TYPES, package.read(_TYPES)).replace(b"</Types>", kind.encode(), 1)
    lines = "".join(
        f'<row r="{i}">' + "".join(
            f'<c r="{address(i, k)}" t="inlineStr"><is><t xml:space="preserve">{escape(text)}</t></is></c>'
            for k, text in enumerate(row, start=1)
        ) + "</row>"
        for i, row in enumerate(rows, start=1)
    )  # fmt: skip
    widths = "".join(
        f'<col min="{k}" max="{k}" width="{w}" customWidth="1"/>' for k, w in enumerate((20, 12, 60, 40, 20), 1)
    )
    new[part] = (
        f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<worksheet xmlns="{_MAIN}"><cols>{widths}</cols>'
        f"<sheetData>{lines}</sheetData></worksheet>"
    ).encode()


def _report(source: Path, package: Package, done: Frozen, by: str) -> list[list[str]]:
    now = datetime.datetime.now().astimezone().isoformat(" ", "minutes")
    rows = [
        ["Frozen copy: tautsheet's formulas are values here and do not follow any change of the cells they came from."],
        [f"Made {now} by {program()} from {source.name}, SHA-256 {package.sha256}."],
        [f"{len(done.cells)} values, {len(done.stops)} of them STOP; {by}."],
        *(
            [f"Still with a function of tautsheet's in it, which means nothing without them: {text}."]
            for text in done.left
        ),
        [],
        ["Sheet", "Cell", "Formula", "Value", "Value in the file"],
    ]
    for cell in done.cells:
        formula = f"={cell.formula}" if cell.formula else "(part of the table above or before it)"
        rows.append([cell.sheet, cell.address, formula, _text(cell.shown), _text(cell.saved) if cell.differs else ""])
    return rows


def _text(shown: Shown) -> str:
    kind, content = shown
    return repr(content).removesuffix(".0") if kind == "number" else str(content)
