"""Workbooks that are as large as the gate lets through, each large in another way; the reader's memory is measured.

    python tests/attack/heavy_books.py [NAME...]

Run it in an environment as users have it, without the development packages (lxml changes how openpyxl reads). Prints
what the commands `columns` and `plan` say of each, their peak of memory and their time; more than 400 MB is a fault.
"""

import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
WRENCHES = ROOT / "samples" / "drigrauvex-wrenches.xlsx"
MIB = 1024 * 1024
MOST = 400e6
"""Most memory that a command may take for a file inside the limits. [bytes]"""

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LINK = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
SPREADSHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml"
HEAD = ["Joint", "Operation", "Method", "Stud size", "Studs", "Torque (ft-lb)"]
ROW = ["final make-up", "hydraulic", "1 1/4", 16, 700]


def text_cell(place: str, text: object) -> str:
    return f'<c r="{place}" t="inlineStr"><is><t>{text}</t></is></c>'


def sheet(body: Iterator[bytes], before: bytes = b"", after: bytes = b"") -> Iterator[bytes]:
    """A sheet part with a list of two joints, then `body`."""
    yield f'<worksheet xmlns="{MAIN}">'.encode() + before + b"<sheetData>"
    for number, values in enumerate([HEAD, ["P-1", *ROW], ["P-2", *ROW]], 1):
        cells = "".join(text_cell(f"{'ABCDEF'[k]}{number}", value) for k, value in enumerate(values))
        yield f'<row r="{number}">{cells}</row>'.encode()
    yield from body
    yield b"</sheetData>" + after + b"</worksheet>"


def many(piece: Callable[[int], str], size: int) -> Iterator[bytes]:
    """Pieces until so many bytes are reached."""
    made, number, block = 0, 0, []
    while made < size:
        text = piece(number)
        made += len(text)
        number += 1
        block.append(text)
        if len(block) == 10_000:
            yield "".join(block).encode()
            block = []
    yield "".join(block).encode()


def column(number: int) -> str:
    name = ""
    while number:
        number, rest = divmod(number - 1, 26)
        name = chr(65 + rest) + name
    return name


NAMES = [column(k) for k in range(1, 16_385)]


def rows(cell: Callable[[str, int], str], wide: int, size: int) -> Iterator[bytes]:
    made, number = 0, 10
    while made < size:
        row = f'<row r="{number}">' + "".join(cell(f"{NAMES[k]}{number}", k) for k in range(wide)) + "</row>"
        made += len(row)
        number += 1
        yield row.encode()


def book(path: Path, parts: dict[str, Iterator[bytes]]) -> Path:
    """A workbook with these parts besides the usual ones."""
    kinds = {"xl/sharedStrings.xml": "sharedStrings", "xl/styles.xml": "styles", "docProps/core.xml": "core-properties"}
    types = f'<Override PartName="/xl/workbook.xml" ContentType="{SPREADSHEET}.sheet.main+xml"/>'
    types += f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{SPREADSHEET}.worksheet+xml"/>'
    links, top = f'<Relationship Id="r1" Type="{LINK}/worksheet" Target="worksheets/sheet1.xml"/>', ""
    for part, kind in kinds.items():
        if part in parts:
            link = f'<Relationship Id="r{kind}" Type="{LINK}/{kind}" Target="/{part}"/>'
            links, top = (links, top + link) if part.startswith("doc") else (links + link, top)
            types += f'<Override PartName="/{part}" ContentType="{SPREADSHEET}.{kind}+xml"/>'
    usual = {
        "[Content_Types].xml": f'<Types xmlns="{PACKAGE}/content-types"><Default Extension="rels" '
        f'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>{types}</Types>',
        "_rels/.rels": f'<Relationships xmlns="{PACKAGE}/relationships"><Relationship Id="r1" '
        f'Type="{LINK}/officeDocument" Target="xl/workbook.xml"/>{top}</Relationships>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{PACKAGE}/relationships">{links}</Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{LINK}"><sheets><sheet name="Joints" sheetId="1" '
        'r:id="r1"/></sheets></workbook>',
    }
    content: dict[str, Iterator[bytes]] = {name: iter([text.encode()]) for name, text in usual.items()}
    content["xl/worksheets/sheet1.xml"] = sheet(iter(()))
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for name, pieces in {**content, **parts}.items():
            with archive.open(zipfile.ZipInfo(name), "w", force_zip64=True) as part:
                for piece in pieces:
                    part.write(piece)
    return path


def wrapped(tag: str, pieces: Iterator[bytes]) -> Iterator[bytes]:
    yield f'<{tag} xmlns="{MAIN}">'.encode()
    yield from pieces
    yield f"</{tag}>".encode()


def mixed(number: int) -> str:
    """A few signs that do not repeat soon, so that a part keeps below the ratio of the gate."""
    return f"{number * 2654435761 % 4294967291:x}"


SHEET_PART = "xl/worksheets/sheet1.xml"
BOOKS: dict[str, Callable[[], dict[str, Iterator[bytes]]]] = {
    "shared texts, tiny": lambda: {
        "xl/sharedStrings.xml": wrapped("sst", many(lambda n: f"<si><t>{mixed(n)[:3]}</t></si>", 62 * MIB))
    },
    "shared texts, long": lambda: {
        "xl/sharedStrings.xml": wrapped("sst", many(lambda n: f"<si><t>{mixed(n) * 100}</t></si>", 62 * MIB))
    },
    "shared texts in runs": lambda: {
        "xl/sharedStrings.xml": wrapped("sst", many(lambda n: f"<si><r><t>{mixed(n)[:2]}</t></r><r/></si>", 62 * MIB))
    },
    "styles": lambda: {
        "xl/styles.xml": wrapped(
            "styleSheet",
            iter([b"<cellXfs>", *many(lambda n: f'<xf fontId="{mixed(n)}"/>', 62 * MIB), b"</cellXfs>"]),
        )
    },
    "number formats": lambda: {
        "xl/styles.xml": wrapped(
            "styleSheet",
            iter([b"<numFmts>", *many(lambda n: f'<numFmt numFmtId="{n}" formatCode="{mixed(n)}"/>', 62 * MIB),
                  b"</numFmts>"]),
        )
    },
    "properties": lambda: {
        "docProps/core.xml": iter([b"<cp:coreProperties xmlns:cp='urn:x'>",
                                   *many(lambda n: f"<a>{mixed(n)[:2]}</a>", 62 * MIB), b"</cp:coreProperties>"])
    },
    "numbers": lambda: {SHEET_PART: sheet(rows(lambda p, k: f'<c r="{p}"><v>0.{k}7</v></c>', 60, 120 * MIB))},
    "small numbers": lambda: {SHEET_PART: sheet(rows(lambda p, k: f"<c><v>{k % 7}</v></c>", 2000, 120 * MIB))},
    "own texts": lambda: {SHEET_PART: sheet(rows(lambda p, k: text_cell(p, mixed(k + hash(p))), 60, 120 * MIB))},
    "empty cells": lambda: {SHEET_PART: sheet(rows(lambda p, k: "<c/>", 16_000, 120 * MIB))},
    "empty rows": lambda: {SHEET_PART: sheet(many(lambda n: f'<row r="{n + 10}" ht="1{n % 9}"/>', 24 * MIB))},
    "merged": lambda: {
        SHEET_PART: sheet(iter(()), after=b"<mergeCells>" + b"".join(
            many(lambda n: f'<mergeCell ref="A{n + 20}:B{n + 20}"/>', 5 * MIB)) + b"</mergeCells>")
    },
    "head": lambda: {SHEET_PART: sheet(iter(()), before=b"".join(many(lambda n: f"<a>{mixed(n)[:2]}</a>", 60 * MIB)))},
    "tail": lambda: {SHEET_PART: sheet(iter(()), after=b"".join(many(lambda n: f"<a>{mixed(n)[:2]}</a>", 60 * MIB)))},
}  # fmt: skip


def measured(command: list[str]) -> tuple[int, str, float, float]:
    """Exit code, last line, peak of memory [bytes] and processor time [s] of a command."""
    begun = time.perf_counter()
    with tempfile.TemporaryFile() as said:
        process = subprocess.Popen(command, stdout=said, stderr=subprocess.STDOUT)
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        said.seek(0)
        lines = said.read().decode(errors="replace").strip().splitlines()
    scale = 1 if sys.platform == "darwin" else 1024
    return process.returncode, (lines or [""])[-1], used.ru_maxrss * scale, time.perf_counter() - begun


def main() -> int:
    """Make each book, read it, and say what it cost."""
    limit = 3 << 30
    resource.setrlimit(resource.RLIMIT_AS, (limit, limit))
    faults = 0
    with tempfile.TemporaryDirectory(prefix="tautsheet-heavy-") as folder:
        for name in sys.argv[1:] or BOOKS:
            path = book(Path(folder) / "list.xlsx", BOOKS[name]())
            run = "import sys; from addin.cli import main; sys.exit(main())"
            plan = ["plan", str(path), "--wrenches", str(WRENCHES), "--out", str(Path(folder) / "out")]
            for command in (["columns", str(path)], plan):
                code, line, peak, seconds = measured([sys.executable, "-c", run, *command])
                held = peak <= MOST and "fault of the program" not in line and "Error" not in line.split(":")[0]
                faults += not held
                said = f"{peak / 1e6:.0f} MB, {seconds:.1f} s, exit {code}: {line[:150]}"
                print(f"{'held' if held else 'open'} {name}, {command[0]}: {said}", flush=True)
            shutil.rmtree(Path(folder) / "out", ignore_errors=True)
            path.unlink()
    return int(bool(faults))


if __name__ == "__main__":
    sys.exit(main())
