"""The commands of the hosts: recalc, freeze, libreoffice, excel."""

import sys
from pathlib import Path

import click

from addin.console import DONE, NOT_ALL, say, styled, wrong

SHOWN = 20
"""Most cells of one sort that are listed."""


@click.command()
@click.argument("workbook", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--out", metavar="FILE", required=True, type=click.Path(dir_okay=False, path_type=Path),
              help="Copy to write, .xlsx or .ods.")  # fmt: skip
@click.option("--pdf", is_flag=True, help="Print it too, into a PDF beside the copy.")
@click.option("--overwrite", is_flag=True, help="Replace what an earlier run wrote there; never a file of yours.")
def recalc(workbook: Path, out: Path, pdf: bool, overwrite: bool) -> None:
    """Recalculate a workbook with our formulas, without a window, and save a copy. Needs LibreOffice."""
    from addin.hosts.libreoffice.recalc import recalculate
    from addin.workbooks.outputs import COPY, Outputs

    printed = out.with_suffix(".pdf") if pdf else None
    with Outputs(out.parent, [workbook], overwrite=overwrite, by="recalc", make=False) as outputs:
        places = [outputs.place(path.name, COPY) for path in filter(None, (out, printed))]
        done = recalculate(workbook, *places)
    for label, colour, cells in (("STOP", "red", done.stops), ("error", "yellow", done.errors)):
        for sheet, place, shown in cells[:SHOWN]:
            wrong(f"{sheet}!{place}: {shown.removeprefix('STOP: ')}", label=label, fg=colour)
        if len(cells) > SHOWN:
            wrong(f"... and {len(cells) - SHOWN} more", fg=None)
    say("\n".join([*(f"note: {line}" for line in outputs.kept()), *map(str, filter(None, (out, printed)))]))
    say(f"{len(done.stops)} cells show STOP, {len(done.errors)} an error", bold=True)
    sys.exit(NOT_ALL if done.stops else DONE)


@click.command()
@click.option("--check", "what", flag_value="check", help="Look for what usually goes wrong; change nothing.")
@click.option("--remove", "what", flag_value="remove", help="Take the files away again.")
@click.option("--folder", metavar="DIR", type=click.Path(file_okay=False, path_type=Path),
              help="Other folder than Excel's own for add-ins.")  # fmt: skip
@click.option("--on-opening", is_flag=True,
              help="The add-in also looks at each workbook that is opened: turns its links to an add-in of another "
                   "user, enters formulas of ours again that show #NAME?.")  # fmt: skip
def excel(what: str | None, folder: Path | None, on_opening: bool) -> None:
    """Make the worksheet functions known to Excel on Windows: writes the add-in file and says what to click."""
    from addin.hosts import excel_setup as setup

    place = folder or setup.default_folder()
    if what == "remove":
        gone = setup.remove(place)
        say("\n".join(f"removed {path}" for path in gone) or f"nothing of tautsheet's in {place}")
        if gone and sys.platform == "win32":
            say("In Excel untick 'Tautsheet' under File > Options > Add-ins > Go ...")
        return
    if what != "check":
        say("\n".join(setup.install(place, on_opening=on_opening)))
    said = setup.diagnose(setup.gather(place))
    for level, text in said:
        if level == setup.FAULT:
            wrong(text, label=f"{level}:")
        else:
            say(f"{styled(level, fg='green' if level == 'good' else 'yellow')}: {text}")
    faults = sum(level == setup.FAULT for level, _ in said)
    if what != "check" and not faults and sys.platform == "win32":
        say("\n".join(setup.CLICKS))
    sys.exit(NOT_ALL if faults else DONE)


@click.command()
@click.option("--check", "what", flag_value="check", help="Look whether LibreOffice knows the functions.")
@click.option("--remove", "what", flag_value="remove", help="Take them out again.")
@click.option("--profile", metavar="DIR", type=click.Path(file_okay=False, path_type=Path),
              help="Other profile of LibreOffice than the user's own.")  # fmt: skip
def libreoffice(what: str | None, profile: Path | None) -> None:
    """Make the worksheet functions known to LibreOffice Calc, and try one."""
    from addin.hosts.libreoffice import install

    if what == "remove":
        say("removed" if install.remove(profile) else "nothing of tautsheet's in LibreOffice")
    elif what == "check":
        say(install.check(profile))
    else:
        say(install.install(profile))
        say('Type =UNIT_CONVERT(1;"kN";"N") into a cell of Calc: it shows 1000. In an .xlsx that shows '
                   "#NAME? (LibreOffice before 25.2) use: tautsheet recalc")  # fmt: skip


@click.command()
@click.argument("workbook", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--out", metavar="FILE", required=True, type=click.Path(dir_okay=False, path_type=Path),
              help="Copy to write, with the same ending.")  # fmt: skip
@click.option(
    "--as-saved", is_flag=True, help="Take the values that the file has, without LibreOffice; they may be old."
)
@click.option("--overwrite", is_flag=True, help="Replace what an earlier run wrote there; never a file of yours.")
def freeze(workbook: Path, out: Path, as_saved: bool, overwrite: bool) -> None:
    """Write a copy for people without the functions: our formulas become values, all else stays as it is."""
    from addin.hosts.frozen import frozen_copy
    from addin.workbooks.outputs import FROZEN, Outputs

    with Outputs(out.parent, [workbook], overwrite=overwrite, by="freeze", make=False) as outputs:
        done = frozen_copy(workbook, outputs.place(out.name, FROZEN), as_saved=as_saved)
    differing = [cell for cell in done.cells if cell.differs]
    for label, colour, cells in (("STOP", "red", done.stops), ("another value in the file", "yellow", differing)):
        for cell in cells[:SHOWN]:
            shown = (
                str(cell.shown[1]).removeprefix("STOP: ")
                if label == "STOP"
                else f"{cell.saved[1]}, now {cell.shown[1]}"
            )
            wrong(f"{cell.sheet}!{cell.address}: {shown}", label=label, fg=colour)
        if len(cells) > SHOWN:
            wrong(f"... and {len(cells) - SHOWN} more", fg=None)
    for text in done.left:
        wrong(f"still with our functions: {text}", fg="yellow")
    say("\n".join([*(f"note: {line}" for line in outputs.kept()), str(out)]))
    say(f"{len(done.cells)} values frozen, {len(done.stops)} of them STOP", bold=True)
    sys.exit(NOT_ALL if done.stops else DONE)


@click.command()
@click.option("--remove", is_flag=True, help="Take the entry away again.")
def desktop(remove: bool) -> None:
    """Work without a console: writes an entry to which a list, or the folder of a job, is sent."""
    from addin.hosts import desktop as entry

    if remove:
        gone = entry.remove()
        say(f"removed {gone}" if gone else f"there is no entry {entry.places()}")
        return
    say(str(entry.install()))
    say(f"{'Send to' if sys.platform == 'win32' else 'Open with'} > tautsheet, on a list or the folder of a job")
