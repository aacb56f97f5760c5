"""The command `pack`: everything the crew, the store and the planner have on paper."""

import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import click

from addin.console import CANNOT, DONE, NOT_ALL, CannotRun, ProgressStream, styled

PARTS = ("cards", "break-out", "retightening", "wrenches", "kit", "summary", "cautions", "working")
SHEETS_PER_OFFICE = 200
"""Sheets after which a new office process is started; it keeps about 1.5 MB of each sheet it has printed."""

SHOWN = 20
"""Most rows without a card that are listed; the summary lists all."""


def _templates(context: click.Context, parameter: click.Parameter, given: tuple[str, ...]) -> dict[str, Path]:
    """FILE, or PRINTED=FILE where it is not for the joint cards."""
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
@click.option("--template", "templates", multiple=True, metavar="[PRINTED=]FILE", callback=_templates,
              help="Your own template of the joint cards, or of the part named before the sign =.")  # fmt: skip
@click.option("--paper", type=click.Choice(["A4", "Letter"]), help="Paper, in place of the template's own.")
@click.option("--units", type=click.Choice(["both"]), help="Torques and preload in US units and SI.")
@click.option("--one-file-per-joint", is_flag=True, help="A workbook for each card.")
@click.option("--since", "old_path", metavar="OLD-plan.json", type=click.Path(dir_okay=False, path_type=Path),
              help="Only the cards that changed since that plan, and the list of cards to withdraw.")  # fmt: skip
@click.option("--pdf", is_flag=True, help="PDFs too, through LibreOffice.")
@click.option("--overwrite", is_flag=True, help="Replace what an earlier run wrote there; never a file of yours.")
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
    from addin.plan.since import since_plan
    from addin.workbooks.file_set import finish_sets, sha256
    from addin.workbooks.outputs import Outputs

    unprinted = printer = None
    with ExitStack() as stack:
        for path in filter(None, (plan_path, old_path)):
            finish_sets(path.parent)
        content = read_plan(plan_path)
        _check_joints(joints, content, plan_path)
        since = older = None
        if old_path is not None:
            since, older = since_plan(old_path, content)
        try:
            printer = stack.enter_context(_printer()) if pdf else None
        except NoOfficeError as error:
            unprinted = str(error)
        wanted = Wanted(
            only, joints or None, templates, paper, units == "both", one_file_per_joint, since=since,
            printer=printer,
        )  # fmt: skip
        inputs = [path for path in (plan_path, old_path, *templates.values()) if path]
        outputs = stack.enter_context(Outputs(out, inputs, overwrite=overwrite, by="pack"))
        issued = write(content, plan_path.stem.removesuffix("-plan"), outputs, wanted, sha256(plan_path))
    for line in (*([older] if older else []), *outputs.kept()):
        click.echo(f"note: {line}")
    code = say(issued, outputs, wanted)
    if unprinted:
        click.echo(styled(f"no PDFs: {unprinted}", fg="red"))
        code = max(code, NOT_ALL)
    sys.exit(code)


def _check_joints(joints: Sequence[str], content: Any, path: Path) -> None:
    """Refuse tags that the plan has not, with those most like them: nothing is written for a slip of the keys."""
    tags = dict.fromkeys(joint.joint for joint in content.joints)
    missing = [tag for tag in dict.fromkeys(joints) if tag not in tags]
    if missing:
        from difflib import get_close_matches

        like = get_close_matches(missing[0], tags, n=3)
        near = f"; like {missing[0]}: {', '.join(like)}" if like else ""
        raise CannotRun(f"{path.name}: the plan has no joint {', '.join(missing)}{near}")


@contextmanager
def _printer() -> Iterator[Any]:
    """Prints workbooks through an office process, which is started anew before it has grown large."""
    from addin.hosts.libreoffice.office import Office

    with ExitStack() as stack:
        office = stack.enter_context(Office(functions=False))
        printed = 0

        def print_one(source: Path, target: Path) -> None:
            nonlocal office, printed
            if printed >= SHEETS_PER_OFFICE:
                office.close()
                office, printed = stack.enter_context(Office(functions=False)), 0
            book = office.open(source)
            printed += len(book.sheets())
            book.print_pdf(target)
            book.close()

        yield print_one


def write(content: Any, stem: str, outputs: Any, wanted: Any, of: str) -> Any:
    """Write the parts wanted (`issue.Wanted`) as part of a set of outputs; `of` is the hash of their plan.

    Parts that could not be written, and those of another plan that are not written anew where the whole of a part is,
    do not stay beside the new ones: the set keeps them elsewhere.
    """
    from addin.cards.issue import issue, target_of
    from addin.workbooks.outputs import PRINTED

    targets = {part: target_of(part, stem, outputs.folder) for part in wanted.parts}
    for target in targets.values():
        if not wanted.one_file_per_joint:
            outputs.place(target.name, PRINTED)
            if wanted.printer is not None:
                outputs.place(target.with_suffix(".pdf").name, PRINTED)
    outputs.of = of
    with _bars() as bars:
        issued = issue(content, stem, outputs.new, wanted, bars)
    partial = wanted.since is not None or wanted.joints is not None
    for part, target in targets.items():
        for name in stale(outputs, [target]):
            if not partial or part not in issued.reports or name.endswith(".pdf"):
                outputs.put_away(name, "is of another plan and was not written anew")
    return issued


def stale(outputs: Any, targets: Iterable[Path]) -> list[str]:
    """Files of other plans in the folder that are of these parts, and are not written anew."""
    return [name for name in outputs.stale() if any(_of_part(name, target) for target in targets)]


def _of_part(name: str, target: Path) -> bool:
    """Whether a file is of a part: its workbook, its PDFs, its single cards.

    >>> names = ("L-cards 01-50.pdf", "L-cards/P-1.xlsx", "L-cards-2.xlsx")
    >>> [_of_part(name, Path("out/L-cards.xlsx")) for name in names]
    [True, True, False]
    """
    first = name.split("/")[0]
    return (
        first == target.stem
        or first == target.name
        or (first.endswith(".pdf") and first.removesuffix(".pdf").split(" ")[0] == target.stem)
    )


def say(issued: Any, outputs: Any, wanted: Any) -> int:
    """Say what came of a pack, and give the exit code."""
    if wanted.since is not None:
        since = wanted.since
        cards = _count(len(since.issue), "card")
        click.echo(f"since {since.plan}: {cards} to issue, {len(since.withdraw)} to withdraw")
        for entry in since.withdraw:
            click.echo(f"withdraw {entry.card}: {entry.joint} {entry.operation}: {entry.reason}")
    unchanged = sum(reason == "unchanged" for *_, reason in issued.skipped)
    skipped = [each for each in issued.skipped if each[2] != "unchanged"]
    _list("no card", skipped)
    if unchanged:
        click.echo(f"{_count(unchanged, 'card')} unchanged, not written again")
    refused = [*issued.refused, *(each for report in issued.reports.values() for each in report.refused)]
    for tag, operation, reason in refused:
        click.echo(styled(f"refused: {' '.join(filter(None, (tag, operation)))}: {outputs.said(reason)}", fg="red"))
    for line in issued.without:
        click.echo(styled(f"not written: {outputs.said(line)}", fg="red"))
    for note in dict.fromkeys(issued.notes + [note for report in issued.reports.values() for note in report.notes]):
        click.echo(f"note: {note}")
    for part, report in issued.reports.items():
        _tokens(part, report, part in wanted.templates)
    for part, report in issued.reports.items():
        many = f" ({_count(len(report.cards), 'card' if part in PARTS[:3] else 'sheet')})"
        shown = report.files if len(report.files) <= 3 or not wanted.one_file_per_joint else report.files[:1]
        for path in shown:
            click.echo(f"{outputs.path(path)}{many}")
            many = ""
        if len(shown) < len(report.files):
            click.echo(f"  and {len(report.files) - len(shown)} more in {outputs.path(report.files[0]).parent}")
    total = sum(len(report.cards) for part, report in issued.reports.items() if part in PARTS[:3])
    pages = len(issued.reports["working"].cards) if "working" in issued.reports else 0
    lines = [_count(total, "card") if total or not pages else "",
             f"{_count(pages, 'page')} of working" if pages else "",
             f"{unchanged} unchanged" if unchanged else "",
             f"{_count(len(skipped), 'row')} without a card", f"{len(refused)} refused"]  # fmt: skip
    click.echo(styled(", ".join(filter(None, lines)), bold=True))
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
        click.echo(styled(f"unknown in the template of {part}: {', '.join(report.unknown_tokens)}", fg="yellow"))
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
            bar = stack.enter_context(click.progressbar(length=1, label=name, file=ProgressStream()))

            def tell(done: int, of: int) -> None:
                bar.length = of
                bar.update(done - bar.pos)

            return tell

        yield start
