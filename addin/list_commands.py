"""The commands for lists and books: each reads what is typed, does one task, prints what came of it."""

import datetime
import json
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import click
from click.core import ParameterSource
from click.shell_completion import CompletionItem

from addin.console import DONE, NOT_ALL, CannotRun, is_quiet, phases
from addin.plan.list_settings import SETTINGS, ListSetting, ListSettings

PARTS = ("cards", "break-out", "retightening", "wrenches", "kit", "summary", "cautions", "working", "record")
A_FILE = click.Path(dir_okay=False, path_type=Path)
A_FOLDER = click.Path(file_okay=False, path_type=Path)
OVERWRITE = click.option(
    "--overwrite", is_flag=True, help="Replace what an earlier run wrote there; never a file of yours."
)


class _Stated(click.ParamType):
    """A setting as it is typed."""

    def __init__(self, setting: ListSetting) -> None:
        self.setting, self.name = setting, setting.shown

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The value, within the limits of the setting."""
        try:
            typed = (int if self.setting.whole else float)(value) if self.setting.numeric else value
        except ValueError:
            self.fail(f"'{value}' is not a {'whole ' if self.setting.whole else ''}number", param, ctx)
        try:
            self.setting.meant(typed)
        except ValueError as error:
            self.fail(str(error), param, ctx)
        return typed

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        """Known words that begin so."""
        begun = incomplete.casefold()
        return [CompletionItem(word) for word in self.setting.known if word.casefold().startswith(begun)]


def _settings(command: Callable[..., Any]) -> Callable[..., Any]:
    """An option for each setting of a list."""
    for setting in reversed(SETTINGS):
        if setting.option is None:
            continue
        told = ["{:g} to {:g}".format(*setting.limits)] if setting.numeric else []
        told += [f"else {setting.default:{'g' if setting.numeric else ''}}"] if setting.default is not None else []
        help = f"{setting.help} [{'; '.join(told)}]" if told else setting.help
        kind = click.Choice(setting.choices) if setting.choices else _Stated(setting)
        command = click.option(
            setting.option, setting.name, metavar=setting.shown or None, type=kind, help=help
        )(command)  # fmt: skip
    return command


def _column(context: click.Context, parameter: click.Parameter, value: str | None) -> str | None:
    if value is not None and not (value.isascii() and value.isalpha() and len(value) <= 3):
        raise click.BadParameter(f"'{value}' is not a column like AB")
    return value


def on_a_terminal() -> bool:
    """Whether somebody sits there who can answer."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def _answered(sheet: Path) -> int:
    """Ask the open lines of a sheet of answers one by one; how many were answered."""
    from addin.reading.typed_answers import SHOWN, SKIP, AskedLine, answer_by_line

    if not click.confirm(f"Answer them here, one by one? Else in {sheet}", default=False):
        return 0

    def typed(text: str) -> str:
        return str(click.prompt(text, default="", show_default=False)).strip()

    def ask(line: AskedLine) -> str:
        click.echo(f"\n{line.about}: {line.why}")
        for number, choice in enumerate(line.choices[:SHOWN], 1):
            click.echo(f"  {number}  {choice}")
        kept = f"Enter keeps '{line.filled}', " if line.filled else ""
        text = typed(f"number or text ({kept}{SKIP} skips)")
        chosen = text.isdecimal() and 0 < int(text) <= len(line.choices[:SHOWN])
        return line.choices[int(text) - 1] if chosen else text

    return answer_by_line(sheet, ask, lambda: typed("Your name (Enter: save nothing)"))


@click.command()
@click.argument("list_files", metavar="LIST...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--wrenches", "books", metavar="BOOK", required=True, multiple=True, type=A_FILE,
              help="Workbook of wrenches, gauges and lubricants; may be repeated.")  # fmt: skip
@click.option("--out", metavar="DIR", required=True, type=A_FOLDER,
              help="Folder for the planned copy and the plan; for several lists a folder in it for each.")  # fmt: skip
@click.option("--told", hidden=True, type=A_FILE)
@click.option("--sheet", metavar="NAME", help="Sheet of the list, where several look like one.")
@click.option("--answers", "answers_file", metavar="ANSWERS", type=click.Path(path_type=Path),
              help="Sheet of answers or its folder; else LIST-questions.xlsx in the folder of --out.")  # fmt: skip
@click.option("--since", "old_plan", metavar="OLD-plan.json", type=A_FILE,
              help="Say what has changed since that plan; with --pack, write only the cards to issue.")  # fmt: skip
@_settings
@click.option("--interaction", is_flag=True,
              help="Write what each stud keeps, for the engineer: seconds for a joint with its sizes.")  # fmt: skip
@click.option("--results-at", metavar="COLUMN", callback=_column,
              help="First of the empty columns for the results, e.g. AB; else to the right of all.")  # fmt: skip
@click.option("--extend", is_flag=True, help="Let filter, table and print area of the list reach over the results.")
@click.option(
    "--notes", is_flag=True, help="Put a sheet of counts, settings, reading and all findings behind the list."
)
@click.option("--overview", is_flag=True,
              help="A page of charts and counts, LIST-overview.xlsx; through LibreOffice a PDF too.")  # fmt: skip
@click.option("--recalculate", is_flag=True,
              help="LibreOffice calculates a copy of the list; a formula that then differs stops its row.")  # fmt: skip
@click.option("--carry", multiple=True, metavar="HEADING",
              help="A column that your own form prints with {{list: HEADING}}; may be repeated.")  # fmt: skip
@click.option("--without", multiple=True, metavar="WRENCH",
              help="A wrench not to be used; with --since only its joints that are not done change.")  # fmt: skip
@click.option("--records", multiple=True, metavar="RECORDS", type=A_FILE,
              help="With --since and --without: what is done of that plan; may be repeated.")  # fmt: skip
@click.option("--record-columns", is_flag=True,
              help="Put empty columns for as-tightened values behind the results; they are the crew's.")  # fmt: skip
@click.option("--accept", is_flag=True,
              help="Take proposals as they stand: the plan is a draft, no card shows a figure to set.")  # fmt: skip
@click.option("--pack", is_flag=True, help="Write the joint cards too.")
@OVERWRITE
def plan(list_files: tuple[Path, ...], books: tuple[Path, ...], out: Path, told: Path | None, **given: Any) -> None:
    """Plan a joint list: a planned copy of the workbook, the plan as JSON, and with --pack the joint cards.

    Several lists, or a folder of them, are planned at the same time, each into a folder of its own.
    """
    if len(list_files) > 1 or list_files[0].is_dir():
        sys.exit(_several(list_files, books, out, given))
    from addin import reports
    from addin.tasks import OpenQuestionsError, plan_list

    (list_file,) = list_files
    settings = ListSettings(**{each.name: given.pop(each.name) for each in SETTINGS if each.name in given})
    try:
        with phases() as shown:
            done = plan_list(list_file, books, out, settings, phases=shown, **given)
    except OpenQuestionsError as error:
        for text in (*error.questions, *([error.unsigned] if error.unsigned else [])):
            click.echo(text, err=True)
        if not (on_a_terminal() and _answered(error.sheet)):
            raise
        with phases() as shown:
            done = plan_list(list_file, books, out, settings, phases=shown, **given)
    if told:
        from addin.several_lists import tell

        tell(done.plan_file, done.totals, told)
    sys.exit(reports.plan(done))


def _several(given_files: tuple[Path, ...], books: tuple[Path, ...], out: Path, given: Mapping[str, Any]) -> int:
    """Plan several lists with the options of this command; the exit code is the worst of theirs."""
    from addin import reports
    from addin.several_lists import lists_in, plan_each

    for name, option in (("old_plan", "--since"), ("records", "--records")):
        if given[name]:
            raise CannotRun(f"{option} goes with one list: plan them one by one")
    if given["answers_file"] is not None and not given["answers_file"].is_dir():
        raise CannotRun("--answers names the sheet of one list: for several lists it names the folder of their sheets")
    with phases() as shown:
        typed = _as_typed(click.get_current_context())
        done = plan_each(lists_in(given_files, books, out), typed, shown("planning"), books=books)
    return reports.several(done)


def _as_typed(context: click.Context) -> list[str]:
    """The options that were typed, apart from those that say which file or folder."""
    words = ["--quiet"] if is_quiet() else []
    for option in context.command.params:
        name = option.name or ""
        typed = context.get_parameter_source(name) is ParameterSource.COMMANDLINE and name not in ("out", "told")
        if not isinstance(option, click.Option) or not typed or name not in context.params:
            continue
        value, first = context.params[name], option.opts[0]
        values = value if option.multiple else (value,)
        words += [first] if option.is_flag else [f"{first}={each}" for each in values]
    return words


def _fields(context: click.Context, parameter: click.Parameter, value: bool) -> None:
    if value:
        from addin.reading.reading_report import fields

        click.echo("\n".join(fields()))
        context.exit()


@click.command()
@click.argument("list_file", metavar="LIST", type=A_FILE)
@click.option("--fields", is_flag=True, is_eager=True, expose_value=False, callback=_fields,
              help="Only list what a column of a joint list may hold.")  # fmt: skip
@click.option("--sheet", metavar="NAME", help="Sheet of the list, where several look like one.")
@click.option("--answers", "answers_file", metavar="ANSWERS", type=A_FILE,
              help="Sheet of answers to look at the list with.")  # fmt: skip
@click.option("--out", metavar="ANSWERS", type=A_FILE,
              help="Write the sheet of answers; one that is there keeps its answers.")  # fmt: skip
@click.option("--wrenches", "book_file", metavar="BOOK", type=A_FILE,
              help="Workbook of wrenches: its names are evidence for what a column is.")  # fmt: skip
@click.option("--json", "as_data", is_flag=True, help="Print what was understood as JSON, for scripts.")
def columns(list_file: Path, as_data: bool, **given: Any) -> None:
    """Show how each column of a joint list is understood, what is left out and what is open."""
    from addin import reports
    from addin.reading.reading_report import as_json
    from addin.tasks import read_list

    with phases() as shown:
        done = read_list(list_file, phases=shown, **given)
    if as_data:
        click.echo(json.dumps(as_json([done.joint_list.understood]), ensure_ascii=False, indent=1))
        sys.exit(NOT_ALL if done.joint_list.questions else DONE)
    sys.exit(reports.understood(done))


def _templates(context: click.Context, parameter: click.Parameter, given: tuple[str, ...]) -> dict[str, Path]:
    """FILE, or PRINTED=FILE where it is not for the joint cards."""
    found: dict[str, Path] = {}
    for text in given:
        part, mark, file = text.partition("=")
        if not mark or part not in PARTS or part == "record":
            part, file = "cards", text
        if part in found:
            raise click.BadParameter(f"two templates for {part}")
        if not Path(file).is_file():
            raise click.BadParameter(f"{file}: there is no such file")
        found[part] = Path(file)
    return found


@click.command()
@click.argument("plan_file", metavar="PLAN.json", type=A_FILE)
@click.option("--out", metavar="DIR", required=True, type=A_FOLDER, help="Folder for the pack.")
@click.option("--only", "only", multiple=True, type=click.Choice(PARTS),
              help="Only this part; may be repeated. The working is written only where it is named here.")  # fmt: skip
@click.option("--joint", "joints", multiple=True, metavar="TAG",
              help="Only this joint, in any case; * and ? stand for signs; may be repeated.")  # fmt: skip
@click.option("--crew", multiple=True, metavar="CREW", help="Only joints of this crew; may be repeated.")
@click.option("--area", multiple=True, metavar="AREA", help="Only joints of this area; may be repeated.")
@click.option("--date", multiple=True, metavar="YYYY-MM-DD", help="Only joints of this day; may be repeated.")
@click.option("--wrench", multiple=True, metavar="WRENCH", help="Only joints of this wrench; may be repeated.")
@click.option("--by", multiple=True, type=click.Choice(["crew", "area", "date", "wrench"]),
              help="A folder for each, with cards, wrench sheets, kit list and cautions; crews by day.")  # fmt: skip
@click.option("--template", "templates", multiple=True, metavar="[PRINTED=]FILE", callback=_templates,
              help="Your own template of the joint cards, or of the part named before the sign =.")  # fmt: skip
@click.option("--paper", type=click.Choice(["A4", "Letter"]), help="Paper, in place of the template's own.")
@click.option("--units", type=click.Choice(["both"]), help="Torques and preload in US units and SI.")
@click.option("--words", metavar="TABLE", type=A_FILE,
              help="A second language on the cards: a workbook like templates/words.xlsx.")  # fmt: skip
@click.option("--words-beside", is_flag=True, help="The second language beside the English, not instead.")
@click.option("--one-file-per-joint", is_flag=True, help="A workbook for each card.")
@click.option("--since", "old_plan", metavar="OLD-plan.json", type=A_FILE,
              help="Only the cards that changed since that plan, and the list of cards to withdraw.")  # fmt: skip
@click.option("--pdf", is_flag=True, help="PDFs too, through LibreOffice.")
@OVERWRITE
def pack(
    plan_file: Path, out: Path, only: tuple[str, ...], joints: tuple[str, ...], templates: dict[str, Path],
    paper: str | None, units: str | None, one_file_per_joint: bool, crew: tuple[str, ...], area: tuple[str, ...],
    date: tuple[str, ...], wrench: tuple[str, ...], by: tuple[str, ...], words: Path | None,
    words_beside: bool, **given: Any,
) -> None:  # fmt: skip
    """Print a plan: cards, wrench sheets, kit list, summary and cautions, each in a workbook of its own.

    On request, --only working: a page behind each card with the working of its numbers, step by step.
    """
    from addin import reports
    from addin.cards.issue import WantedParts
    from addin.cards.language import Words
    from addin.cards.selection import Selection
    from addin.tasks import write_pack

    selection = Selection(joints, crew, area, date, wrench, by)
    table = Words(words, beside=words_beside) if words else None
    wanted = WantedParts(only, selection, templates, paper, units == "both", one_file_per_joint, words=table)
    with phases() as shown:
        done = write_pack(plan_file, out, wanted, phases=shown, **given)
    sys.exit(reports.pack(done))


@click.command()
@click.argument("form", metavar="FILE", type=A_FILE)
@click.option("--wrenches", "books", metavar="BOOK", required=True, multiple=True, type=A_FILE,
              help="Workbook of wrenches, gauges and lubricants; may be repeated.")  # fmt: skip
@click.option("--out", metavar="DIR", required=True, type=A_FOLDER, help="Folder for the card and its plan.")
@click.option("--beside", metavar="PLAN.json", type=A_FILE,
              help="The plan of the list: the same joint and operation in it are named.")  # fmt: skip
@OVERWRITE
def card(form: Path, books: tuple[Path, ...], out: Path, **given: Any) -> None:
    """The card of one joint that stands in no list, from a filled copy of `templates/one joint.xlsx`.

    It is a draft without a figure until a name and a date of release are typed in the form.
    """
    from addin import reports
    from addin.tasks import write_card

    with phases() as shown:
        done = write_card(form, books, out, phases=shown, **given)
    sys.exit(reports.plan(done, reports.RELEASE))


def _pairs(context: click.Context, parameter: click.Parameter, given: tuple[str, ...]) -> dict[str, str]:
    for text in given:
        if not all(part.strip() for part in text.partition("=")):
            raise click.BadParameter(f"'{text}' is not HEADING=FIELD")
    return {heading.strip(): field.strip() for heading, _, field in (text.partition("=") for text in given)}


@click.command()
@click.argument("plan_file", metavar="PLAN.json", type=A_FILE)
@click.argument("records", metavar="RECORDS...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--out", metavar="DIR", required=True, type=A_FOLDER, help="Folder for the hand-over.")
@click.option("--list", "list_file", metavar="LIST", type=A_FILE,
              help="The joint list as it is now: what it changed is looked at, states go beside its rows.")  # fmt: skip
@click.option("--wrenches", "books", metavar="BOOK", multiple=True, type=A_FILE,
              help="The wrench book as it is now, for what the plan has not; may be repeated.")  # fmt: skip
@click.option("--answers", "answers_file", metavar="ANSWERS", type=A_FILE,
              help="Sheet of answers of that list, where it was planned with one.")  # fmt: skip
@click.option("--beside", multiple=True, metavar="PLAN.json", type=A_FILE,
              help="The plan of another list of the job: its rows are left to it; may be repeated.")  # fmt: skip
@click.option("--column", "own", multiple=True, metavar="HEADING=FIELD", callback=_pairs,
              help="A column of your own that is read, as 'Date done=date' or 'Status=done: complete'.")  # fmt: skip
@click.option("--project", metavar="TEXT", help="Named on the hand-over.")
@click.option("--site", metavar="TEXT", help="Named on the hand-over.")
@click.option("--contractor", metavar="TEXT", help="Named on the hand-over.")
@click.option("--pdf", is_flag=True, help="The hand-over as a PDF too, through LibreOffice.")
@click.option("--csv", is_flag=True, help="Its table of joints as text too.")
@click.option("--paper", type=click.Choice(["A4", "Letter"]), default="A4", show_default=True, help="Paper.")
@OVERWRITE
def record(
    plan_file: Path, records: tuple[Path, ...], out: Path, project: str | None, site: str | None,
    contractor: str | None, **given: Any,
) -> None:  # fmt: skip
    """Compare as-tightened values with a plan: what agrees, what is open, what is to be reviewed, and the hand-over.

    RECORDS are record sheets of the pack, workbooks with the same columns, text files of scanned keys, or folders.
    """
    from addin import reports
    from addin.tasks import take_records

    named = {"Project": project, "Site": site, "Contractor": contractor}
    about = {name: text for name, text in named.items() if text}
    with phases() as shown:
        done = take_records(plan_file, records, out, about=about, phases=shown, **given)
    sys.exit(reports.records(done))


def _day(context: click.Context, parameter: click.Parameter, value: str | None) -> float | None:
    if value is None:
        return None
    try:
        return float(datetime.date.fromisoformat(value).toordinal())
    except ValueError:
        raise click.BadParameter(f"'{value}' is not a date like 2026-03-14") from None


@click.command()
@click.argument("books", metavar="BOOK...", nargs=-1, required=True, type=A_FILE)
@click.option("--out", metavar="COPY", required=True, type=click.Path(path_type=Path),
              help="The checked copy; for several books a folder.")  # fmt: skip
@click.option("--from", "first", metavar="YYYY-MM-DD", callback=_day, help="First day of the jobs; else today.")
@click.option("--until", "last", metavar="YYYY-MM-DD", callback=_day, help="Last day of the jobs.")
@OVERWRITE
def book(books: tuple[Path, ...], out: Path, first: float | None, last: float | None, overwrite: bool) -> None:
    """Check wrench books: a copy of each with every finding beside its row, certificates, curves, drift and links."""
    from addin import reports
    from addin.tasks import check_books
    from addin.wrenches.checked_copy import Days

    if last is not None and (first is None or last < first):
        raise CannotRun("--until needs a first day, --from, that is not after it")
    days = Days.today() if first is None else Days(first, first if last is None else last)
    sys.exit(reports.books(check_books(books, out, days, overwrite=overwrite), days))


def _rows(context: click.Context, parameter: click.Parameter, text: str | None) -> tuple[int, ...]:
    """Rows as a spreadsheet counts them: numbers and ranges."""
    found: list[int] = []
    for part in (text or "").split(",") if text else ():
        ends = part.strip().split("-")
        if not all(end.isascii() and end.isdecimal() and len(end) < 8 for end in ends) or len(ends) > 2:
            raise click.BadParameter(f"'{part[:30]}' is no row, like 8, and no range of rows, like 8-12")
        first, last = int(ends[0]), int(ends[-1])
        if not 1 <= first <= last or last > 1_048_576:
            raise click.BadParameter(f"'{part[:30]}' names no rows of a sheet")
        found += range(first, last + 1)
    return tuple(dict.fromkeys(found))


@click.command()
@click.argument("folder", metavar="FOLDER", type=click.Path(path_type=Path))
@click.option("--new", "begun", is_flag=True, help="Begin one: write job.xlsx with the lists and books lying there.")
@click.option("--show", is_flag=True, help="Open job.xlsx afterwards; where there is none, it is begun.")
@click.option(
    "--rows",
    metavar="ROWS",
    callback=_rows,
    help="Only print the cards of these rows of a list, e.g. 8-12,15, from its last issue; FOLDER names the list.",
)
def job(folder: Path, begun: bool, show: bool, rows: tuple[int, ...]) -> None:
    """Do what is due in the folder of a job: plan lists that changed, print what is released, take records back.

    Everything is stated once in its workbook, job.xlsx; what was done and what waits stands there too. In place of the
    folder a list in it will do.
    """
    from addin import reports
    from addin.hosts import desktop as entry
    from addin.job.book import NAME
    from addin.job.new import begin
    from addin.job.rows import job_folder, print_rows
    from addin.job.run import run_job

    if rows:
        if not folder.is_file():
            raise CannotRun("--rows needs a list in the place of the folder")
        sys.exit(reports.job(print_rows(folder, rows)))
    folder = job_folder(folder)
    new = begun or (show and not (folder / NAME).exists())
    try:
        code = reports.job_begun(*begin(folder)) if new else reports.job(run_job(folder))
    finally:
        if show and (folder / NAME).exists():
            entry.show(folder / NAME)
    sys.exit(code)
