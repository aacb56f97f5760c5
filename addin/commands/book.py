"""The command `book`: a checked copy of a wrench book, before any list."""

import datetime
import sys
from pathlib import Path

import click

from addin.console import DONE, NOT_ALL, CannotRun, styled


def _day(context: click.Context, parameter: click.Parameter, value: str | None) -> float | None:
    if value is None:
        return None
    try:
        return float(datetime.date.fromisoformat(value).toordinal())
    except ValueError:
        raise click.BadParameter(f"'{value}' is not a date like 2026-03-14") from None


@click.command()
@click.argument("books", metavar="BOOK...", nargs=-1, required=True, type=click.Path(dir_okay=False, path_type=Path))
@click.option("--out", metavar="COPY", required=True, type=click.Path(path_type=Path),
              help="The checked copy; for several books a folder.")  # fmt: skip
@click.option("--from", "first", metavar="YYYY-MM-DD", callback=_day, help="First day of the jobs; else today.")
@click.option("--until", "last", metavar="YYYY-MM-DD", callback=_day, help="Last day of the jobs.")
@click.option("--overwrite", is_flag=True, help="Replace what an earlier run wrote there; never a file of yours.")
def book(books: tuple[Path, ...], out: Path, first: float | None, last: float | None, overwrite: bool) -> None:
    """Check wrench books: a copy of each with every finding beside its row, certificates, curves, drift and links."""
    from addin.cells.words import line
    from addin.workbooks.outputs import CHECKED, Outputs
    from addin.wrenches.checked_copy import Days, units_of, write_checked
    from addin.wrenches.wrench_book import read_wrench_book
    from calc.findings import NOTE, STOP
    from calc.units import system

    if last is not None and (first is None or last < first):
        raise CannotRun("--until needs a first day, --from, that is not after it")
    days = Days.today() if first is None else Days(first, first if last is None else last)
    one = len(books) == 1 and out.suffix.lower() == ".xlsx"
    read = read_wrench_book(books, system("SI"))
    names = {path: out.name if one else f"{path.stem}-checked.xlsx" for path in books}
    with Outputs(out.parent if one else out, books, overwrite=overwrite, by="book") as outputs:
        for path, name in names.items():
            write_checked(read, path, outputs.place(name, CHECKED), days)
    told = [finding for finding in read.findings if finding.level != NOTE]
    for finding in sorted(told, key=lambda finding: finding.level != STOP):
        facts = finding.facts
        said = line(finding, units_of(read.sheets.get((facts["file"], facts["sheet"]))))
        click.echo(
            styled(f"{finding.level.upper()} {facts['file']}, {said}", fg="red" if finding.level == STOP else "yellow")
        )
    for text in outputs.kept():
        click.echo(f"note: {text}")
    for name in names.values():
        click.echo(str((out.parent if one else out) / name))
    stops = sum(finding.level == STOP for finding in read.findings)
    usable = sum(not wrench.faults for wrench in read.wrenches)
    lapsed = sum(wrench.valid_until < days.last or wrench.calibrated > days.first for wrench in read.wrenches)
    if lapsed:
        click.echo(f"certificates that do not cover {days.words()}: {lapsed}")
    counts = f"stops {stops}, cautions {len(told) - stops}"
    click.echo(
        styled(f"wrenches {len(read.wrenches)}, usable {usable}; gauges {len(read.gauges)}; {counts}", bold=True)
    )
    sys.exit(NOT_ALL if stops else DONE)
