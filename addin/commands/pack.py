"""The command `pack`: everything the crew, the store and the planner have on paper."""

import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import click

DONE, NOT_ALL, CANNOT = 0, 1, 2
PARTS = ("cards", "break-out", "retightening", "wrenches", "kit", "summary", "cautions", "working")
SHEETS_PER_OFFICE = 200
"""Sheets after which a new office process is started; it keeps about 1.5 MB of each sheet it has printed."""

SHOWN = 20
"""Most rows without a card that are listed; the summary lists all."""


@contextmanager
def _one_line() -> Iterator[None]:
    """What cannot be done ends the command with one line and exit code 2."""
    from addin.forms.template import TemplateError
    from addin.hosts.libreoffice.office import OfficeError
    from addin.hosts.libreoffice.places import NoOfficeError
    from addin.workbooks.package import WorkbookError

    try:
        yield
    except (WorkbookError, TemplateError, NoOfficeError, OfficeError) as error:
        click.secho(f"tautsheet: {error}", fg="red", err=True)
        sys.exit(CANNOT)


def _templates(context: click.Context, parameter: click.Parameter, given: tuple[str, ...]) -> dict[str, Path]:
    """FILE, or PART=FILE where it is not for the joint cards."""
    found: dict[str, Path] = {}
    for text in given:
        part, mark, file = text.partition("=")
        if not mark or part not in PARTS:
            part, file = "cards", text
        if part in found:
            raise click.BadParameter(f"two templates for {part}")
        if not Path(file).is_file():
            raise click.BadParameter(f"{file}: there is no such file")
        found[part] = Path(file)
    return found


@click.command()
@click.argument("plan_path", metavar="PLAN.json", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--out", metavar="DIR", required=True, type=click.Path(file_okay=False, path_type=Path),
              help="Folder for the pack.")  # fmt: skip
@click.option("--only", "only", multiple=True, type=click.Choice(PARTS),
              help="Only this part; may be repeated. The working is written only where it is named here.")  # fmt: skip
@click.option("--joint", "joints", multiple=True, metavar="TAG", help="Only this joint; may be repeated.")
@click.option("--template", "templates", multiple=True, metavar="[PART=]FILE", callback=_templates,
              help="Your own template of the joint cards, or of the part named before the sign =.")  # fmt: skip
@click.option("--paper", type=click.Choice(["A4", "Letter"]), help="Paper, in place of the template's own.")
@click.option("--units", type=click.Choice(["both"]), help="Torques and preload in US units and SI.")
@click.option("--one-file-per-joint", is_flag=True, help="A workbook for each card.")
@click.option("--since", "old_path", metavar="OLD-plan.json", type=click.Path(dir_okay=False, path_type=Path),
              help="Only the cards that changed since that plan, and the list of cards to withdraw.")  # fmt: skip
@click.option("--pdf", is_flag=True, help="PDFs too, through LibreOffice.")
@click.option("--overwrite", is_flag=True, help="Write over a pack of an earlier run in that folder.")
def pack(
    plan_path: Path, out: Path, only: tuple[str, ...], joints: tuple[str, ...], templates: dict[str, Path],
    paper: str | None, units: str | None, one_file_per_joint: bool, old_path: Path | None, pdf: bool, overwrite: bool,
) -> None:  # fmt: skip
    """Print a plan: cards, wrench sheets, kit list, summary and cautions, each in a workbook of its own.

    On request, --only working: a page behind each card with the working of its numbers, step by step.
    """
    from addin.cards.issue import Wanted
    from addin.hosts.libreoffice.places import NoOfficeError
    from addin.plan.file import read_plan
    from addin.plan.since import Since

    unprinted = printer = None
    with _one_line(), ExitStack() as stack:
        content = read_plan(plan_path)
        since = None
        if old_path is not None:
            comparison = Since.of(old_path)
            for joint in content["joints"]:
                comparison.add(joint)
            since = comparison.result({key: value for key, value in content.items() if key != "joints"})
        try:
            printer = stack.enter_context(_printer(overwrite)) if pdf else None
        except NoOfficeError as error:
            unprinted = str(error)
        wanted = Wanted(
            only, joints or None, templates, paper, units == "both", one_file_per_joint, overwrite, since,
            printer,
        )  # fmt: skip
        code = write(content, plan_path.stem.removesuffix("-plan"), out, wanted)
    if unprinted:
        click.secho(f"no PDFs: {unprinted}", fg="red")
        code = max(code, NOT_ALL)
    sys.exit(code)


@contextmanager
def _printer(overwrite: bool) -> Iterator[Any]:
    """Prints workbooks through an office process, which is started anew before it has grown large."""
    from addin.hosts.libreoffice.office import Office

    with tempfile.TemporaryDirectory(prefix="tautsheet-profile-") as folder, ExitStack() as stack:
        office = stack.enter_context(Office(profile=Path(folder)))
        printed = 0

        def print_one(source: Path, target: Path) -> None:
            nonlocal office, printed
            if printed >= SHEETS_PER_OFFICE:
                office.close()
                office, printed = stack.enter_context(Office(profile=Path(folder))), 0
            book = office.open(source)
            printed += len(book.sheets())
            book.print_pdf(target, overwrite=overwrite)
            book.close()

        yield print_one


def write(content: Mapping[str, Any], stem: str, out: Path, wanted: Any) -> int:
    """Write the parts wanted (`issue.Wanted`), say what came of it, and give the exit code."""
    from addin.cards.issue import issue
    from addin.workbooks.package import WorkbookError

    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise WorkbookError(f"{out}: cannot be made: {error.strerror}") from error
    with _bars() as bars:
        issued = issue(content, stem, out, wanted, bars)
    if wanted.since is not None:
        since = wanted.since
        cards = _count(len(since["issue"]), "card")
        click.echo(f"since {since['plan']}: {cards} to issue, {len(since['withdraw'])} to withdraw")
        for entry in since["withdraw"]:
            click.echo(f"withdraw {entry['card']}: {entry['joint']} {entry['operation']}: {entry['reason']}")
    unchanged = sum(reason == "unchanged" for *_, reason in issued.skipped)
    skipped = [each for each in issued.skipped if each[2] != "unchanged"]
    _list("no card", skipped)
    if unchanged:
        click.echo(f"{_count(unchanged, 'card')} unchanged, not written again")
    refused = [*issued.refused, *(each for report in issued.reports.values() for each in report.refused)]
    for tag, operation, reason in refused:
        click.secho(f"refused: {' '.join(filter(None, (tag, operation)))}: {reason}", fg="red")
    for line in issued.without:
        click.secho(f"not written: {line}", fg="red")
    for note in dict.fromkeys(issued.notes + [note for report in issued.reports.values() for note in report.notes]):
        click.echo(f"note: {note}")
    for part, report in issued.reports.items():
        _tokens(part, report, part in wanted.templates)
    for part, report in issued.reports.items():
        many = f" ({_count(len(report.cards), 'card' if part in PARTS[:3] else 'sheet')})"
        shown = report.files if len(report.files) <= 3 or not wanted.one_file_per_joint else report.files[:1]
        for path in shown:
            click.echo(f"{path}{many}")
            many = ""
        if len(shown) < len(report.files):
            click.echo(f"  and {len(report.files) - len(shown)} more in {report.files[0].parent}")
    total = sum(len(report.cards) for part, report in issued.reports.items() if part in PARTS[:3])
    pages = len(issued.reports["working"].cards) if "working" in issued.reports else 0
    lines = [_count(total, "card") if total or not pages else "",
             f"{_count(pages, 'page')} of working" if pages else "",
             f"{unchanged} unchanged" if unchanged else "",
             f"{_count(len(skipped), 'row')} without a card", f"{len(refused)} refused"]  # fmt: skip
    click.secho(", ".join(filter(None, lines)), bold=True)
    if not issued.files and issued.without:
        return CANNOT
    return NOT_ALL if refused or issued.without else DONE


def _count(number: int, word: str) -> str:
    """A number of things.

    >>> _count(1, "card"), _count(33, "card")
    ('1 card', '33 cards')
    """
    return f"{number} {word}{'s' * (number != 1)}"


def _list(label: str, rows: Sequence[tuple[str, str, str]]) -> None:
    for tag, operation, reason in rows[:SHOWN]:
        click.echo(f"{label}: {' '.join(filter(None, (tag, operation)))}: {reason}")
    if len(rows) > SHOWN:
        click.echo(f"{label}: {len(rows) - SHOWN} more, all in the summary")


def _tokens(part: str, report: Any, own: bool) -> None:
    """Tokens nobody knows, always; known ones without a place, for the user's own template."""
    if report.unknown_tokens:
        click.secho(f"unknown in the template of {part}: {', '.join(report.unknown_tokens)}", fg="yellow")
    if own and report.unused_tokens:
        click.echo(f"not used by the template of {part}: {', '.join(report.unused_tokens)}")


@contextmanager
def _bars() -> Iterator[Any]:
    """A progress bar for each part that has one, on a terminal; elsewhere nothing."""
    if not sys.stderr.isatty():
        yield None
        return
    with ExitStack() as stack:

        def start(name: str) -> Any:
            bar = stack.enter_context(click.progressbar(length=1, label=name, file=sys.stderr))

            def tell(done: int, of: int) -> None:
                bar.length = of
                bar.update(done - bar.pos)

            return tell

        yield start
