"""The commands. Their exit codes stand in `addin.console`."""

import csv
import datetime
import gc
import json
import math
import sys
from collections.abc import Sequence
from contextlib import ExitStack, contextmanager
from decimal import Decimal
from pathlib import Path
from typing import Any

import click

from addin.commands.book import book as book_command
from addin.commands.pack import pack as pack_command
from addin.commands.pack import say as say_pack
from addin.commands.pack import stale
from addin.commands.pack import write as write_pack
from addin.commands.record import record
from addin.console import CANNOT, DONE, NOT_ALL, CannotRun, Program, redrawn, styled
from addin.hosts import commands
from calc.plan.joints import METHODS, OPERATIONS

CSV_LIMIT = 16 << 20
"""Most that a table may have. [bytes]"""


def _phase(what: str) -> None:
    """On a terminal, what a long run is doing; the next phase takes the line of the last."""
    if sys.stderr.isatty():
        click.echo(redrawn(f"\r\033[K{what}{' ...' if what else ''}"), nl=False, err=True)


@contextmanager
def _no_collecting() -> Any:
    """Many small objects and hardly a cycle: looking for cycles takes a tenth of the time of a long list."""
    gc.disable()
    try:
        yield
    finally:
        gc.enable()


@click.group(cls=Program, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="tautsheet")
def main() -> None:
    """Controlled tightening of bolted pressure joints: plan a joint list, print its cards, call one function."""


def _iso_day(context: click.Context, parameter: click.Parameter, value: str | None) -> float:
    if value is None:
        return math.nan
    try:
        return float(datetime.date.fromisoformat(value).toordinal())
    except ValueError:
        raise click.BadParameter(f"'{value}' is not a date like 2026-03-14") from None


def _breakout_factor(context: click.Context, parameter: click.Parameter, value: float | None) -> float:
    from calc.quantities import QUANTITIES

    if value is None:
        return math.nan
    q = QUANTITIES["breakout_factor"]
    if not q.low <= value <= q.high:
        raise click.BadParameter(f"{value:g} is not between {q.low:g} and {q.high:g}")
    return value


def _column(context: click.Context, parameter: click.Parameter, value: str | None) -> str | None:
    if value is not None and not (value.isascii() and value.isalpha() and len(value) <= 3):
        raise click.BadParameter(f"'{value}' is not a column like AB")
    return value


@main.command()
@click.argument("list_file", metavar="LIST", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--wrenches", "book_files", metavar="BOOK", required=True, multiple=True,
              type=click.Path(dir_okay=False, path_type=Path),
              help="Workbook of wrenches, gauges and lubricants; may be repeated.")  # fmt: skip
@click.option("--out", metavar="DIR", required=True, type=click.Path(file_okay=False, path_type=Path),
              help="Folder for the planned copy and the plan.")  # fmt: skip
@click.option("--sheet", metavar="NAME", help="Sheet of the list, where several look like one.")
@click.option("--answers", "answers_file", metavar="ANSWERS", type=click.Path(path_type=Path),
              help="Sheet of answers or its folder; else LIST-questions.xlsx in the folder of --out.")  # fmt: skip
@click.option("--operation", type=click.Choice(OPERATIONS), help="Operation of every row that does not say.")
@click.option("--method", type=click.Choice(METHODS), help="Method of every row that does not say.")
@click.option("--since", "old_plan", metavar="OLD-plan.json", type=click.Path(dir_okay=False, path_type=Path),
              help="Say what has changed since that plan; with --pack, write only the cards to issue.")  # fmt: skip
@click.option("--date", metavar="YYYY-MM-DD", callback=_iso_day, help="Job date of rows without one.")
@click.option("--scheme", default="PCC-1 legacy", show_default=True, metavar="NAME",
              help="Published scheme of passes, or own percentages like 25/50/75/100.")  # fmt: skip
@click.option("--at-once", default=1, show_default=True, type=click.IntRange(1, 4), metavar="N",
              help="Wrenches at once (1, 2 or 4) in rows that do not say.")  # fmt: skip
@click.option("--breakout-factor", type=float, metavar="X", callback=_breakout_factor,
              help="Torque to expect at break-out over the torque stated, for break rows that do not say.")  # fmt: skip
@click.option("--scatter", default="", metavar="METHOD",
              help="Published scatter, e.g. 'torque, lubricated', where a lubricant has no low and high.")  # fmt: skip
@click.option("--interaction", is_flag=True,
              help="Write what each stud keeps, for the engineer: seconds for a joint with its sizes.")  # fmt: skip
@click.option("--rounding", default="nearest", show_default=True, type=click.Choice(["nearest", "down", "up"]),
              help="Which mark of the gauge is set.")  # fmt: skip
@click.option("--tolerance", default=3.0, show_default=True, type=click.FloatRange(0.1, 20), metavar="PERCENT",
              help="How far the torque at full torque may differ by the gauge's marks.")  # fmt: skip
@click.option("--yield-percent", default=90.0, show_default=True, type=click.FloatRange(20, 100), metavar="PERCENT",
              help="Share of the minimum yield that stress with torsion may reach.")  # fmt: skip
@click.option("--reserve", default=10.0, show_default=True, type=click.FloatRange(0, 80), metavar="PERCENT",
              help="Share of a wrench's torque kept for break-out where the wrench is chosen here.")  # fmt: skip
@click.option("--results-at", metavar="COLUMN", callback=_column,
              help="First of the empty columns for the results, e.g. AB; else to the right of all.")  # fmt: skip
@click.option("--pack", is_flag=True, help="Write the joint cards too.")
@click.option("--overwrite", is_flag=True, help="Replace what an earlier run wrote there; never a file of yours.")
def plan(
    list_file: Path, book_files: tuple[Path, ...], out: Path, sheet: str | None, answers_file: Path | None,
    operation: str | None, method: str | None, old_plan: Path | None, date: float, scheme: str, at_once: int,
    breakout_factor: float, scatter: str, interaction: bool, rounding: str, tolerance: float, yield_percent: float,
    reserve: float, results_at: str | None, pack: bool, overwrite: bool,
) -> None:  # fmt: skip
    """Plan a joint list: a planned copy of the workbook, the plan as JSON, and with --pack the joint cards."""
    import msgspec

    from addin.cards.engineer_sheet import write_engineer_book
    from addin.cards.issue import CARD_PARTS, PARTS, Wanted, target_of
    from addin.plan.causes import Causes
    from addin.plan.file import read_plan, summary, write_plan
    from addin.plan.result_columns import Results, check_rows, write_planned
    from addin.plan.since import Since, lines
    from addin.plan.typed import differing_cells
    from addin.plan.writer import PlanWriter
    from addin.reading.answer_sheet import read_answers, settings_of
    from addin.reading.joint_list import read_joint_list
    from addin.workbooks.file_set import finish_sets, sha256
    from addin.workbooks.outputs import ENGINEER, PLAN, PLANNED, PRINTED, Outputs
    from addin.workbooks.plain_file import Scratch
    from addin.wrenches.hand_tools import hand_reach
    from addin.wrenches.wrench_book import read_wrench_book
    from calc.plan.joints import Settings
    from calc.plan.plan import plan_joints
    from calc.units import system

    with _no_collecting(), ExitStack() as work:
        _phase("reading")
        if old_plan:
            finish_sets(old_plan.parent)
        book = read_wrench_book(book_files, system("US"))
        stem, ending = list_file.stem.removesuffix("-planned"), list_file.suffix
        answers_file = _answers_file(answers_file, out, stem)
        answers = read_answers(answers_file) if answers_file else None
        stated = {"operation": operation, "method": method}
        joint_list = read_joint_list(
            list_file, sheet, answers=answers, known=names_in(book), stated={k: v for k, v in stated.items() if v}
        )
        _ask(joint_list, list_file, answers, answers_file, out)
        check_rows(joint_list)
        inputs = [path for path in (list_file, *book_files, answers_file, old_plan) if path]
        outputs = work.enter_context(Outputs(out, inputs, overwrite=overwrite, by="plan"))
        planned_file = outputs.place(f"{stem}-planned{ending}", PLANNED, renews=list_file)
        plan_file = outputs.place(f"{stem}-plan.json", PLAN)
        engineer_file = outputs.place(f"{stem}-engineer.xlsx", ENGINEER) if interaction else None
        for part in CARD_PARTS if pack else ():
            outputs.place(target_of(part, stem, out).name, PRINTED)
        whole: dict[str, Any] = {"scheme": scheme, "at_once": at_once, "date": date}
        given = {name: value for name, value in whole.items() if name != "scheme" and _given(name)}
        whole |= settings_of(joint_list.given, given, answers_file.name if answers_file else "")
        whole |= {"rounding": rounding, "tolerance": tolerance / 100, "yield_fraction": yield_percent / 100}
        whole |= {"reserve": reserve / 100, "breakout_factor": breakout_factor, "scatter_method": scatter}
        settings = Settings(**whole)
        _phase("planning")
        plans = plan_joints(
            joint_list.rows.joints, book.wrenches, book.gauges, book.lubricants, settings, hand_reach(book.equipment)
        )
        writer = PlanWriter(joint_list, book, plans, interaction=interaction)
        head = writer.head
        since = Since.of(old_plan, head) if old_plan else None
        results, causes = Results(head), Causes()
        entries = work.enter_context(Scratch())  # 2 kB a joint: a long list would fill the memory
        for entry, written in writer.written():
            results.add(entry)
            entries.write(written + b"\n")
            causes.add(entry)
            if since is not None:
                since.add(entry)
        if since is not None:
            head = msgspec.structs.replace(head, since=since.result())
        _phase("writing")
        report = write_planned(joint_list, results, planned_file, at=results_at)
        edited = outputs.changed(planned_file.name)
        typed = differing_cells(edited, planned_file, joint_list.sheet) if edited else ""
        write_plan(head, entries.lines(), plan_file)
        content = read_plan(plan_file)
        sheets = write_engineer_book(content, engineer_file) if engineer_file else 0
        issued = None
        if pack:
            wanted = Wanted(CARD_PARTS, since=content.head.since)
            issued = write_pack(content, stem, outputs, wanted, sha256(plan_file))
        outputs.of = sha256(plan_file)
        old = stale(outputs, [target_of(part, stem, out) for part in PARTS])
    _phase("")
    for text in (*book.lines(system("US")), *(f"note: {note.text}" for note in joint_list.said)):
        click.echo(text)
    for level, text in causes.lines():
        click.echo(f"{styled(level.upper(), fg='red' if level == 'stop' else 'yellow')} {text}")
    earlier = [f"{name}: is of an earlier plan and was not written anew" for name in old]
    for warning in (
        *([since.old.older] if since and since.old.older else []),
        *report.warnings,
        *outputs.kept(),
        *([f"{planned_file.name}: the copy that is kept differs from the new one in {typed}"] if typed else []),
        *earlier,
    ):
        click.echo(f"note: {outputs.said(warning)}")
    click.echo(f"{outputs.path(planned_file)}\n{outputs.path(plan_file)}")
    if engineer_file:
        nothing = "no joint states all that interaction needs"
        click.echo(f"{outputs.path(engineer_file)} (sheets: {sheets})" if sheets else nothing)
    refused = issued is not None and say_pack(issued, outputs, wanted) != DONE
    if head.since is not None:
        click.echo("\n".join(lines(head.since)))
    totals = head.totals
    click.echo(styled(summary(totals), bold=True))
    sys.exit(NOT_ALL if totals.stopped or refused else DONE)


def _given(name: str) -> bool:
    """Whether an option stands on the command line."""
    source = click.get_current_context().get_parameter_source(name)
    return source is not click.core.ParameterSource.DEFAULT


def _answers_file(given: Path | None, folder: Path, stem: str) -> Path | None:
    """The sheet of answers of a list: the one named, or the one among the results of an earlier run."""
    name = f"{stem}-questions.xlsx"
    if given is None:
        return folder / name if (folder / name).is_file() else None
    if given.is_dir():
        if not (given / name).is_file():
            raise CannotRun(f"{given}: holds no {name}")
        return given / name
    return given


def _ask(joint_list: Any, list_file: Path, answers: Any, answers_file: Path | None, out: Path) -> None:
    """Nothing is planned as long as something is open that all rows need: the sheet of answers is written instead."""
    from addin.reading.answer_sheet import write_answers
    from addin.workbooks.outputs import ANSWERS, Outputs

    open_ = [question for question in joint_list.questions if question.blocks]
    if not open_:
        return
    stem = list_file.stem.removesuffix("-planned")
    there = out / f"{stem}-questions.xlsx"
    inputs = [list_file, *([answers_file] if answers_file else [])]
    with Outputs(out, inputs, by="plan", overwrite=True) as outputs:
        place = outputs.place(there.name, ANSWERS, renews=there if there.exists() else None)
        tags = joint_list.rows.texts.get("joint", [])
        write_answers(place, joint_list.understood, list_file.name, before=answers, tags=tags)
        _leave_as_it_is(there, place)
    for text in outputs.kept():
        click.echo(f"note: {text}", err=True)
    for question in open_:
        click.echo(question.text, err=True)
    if answers is not None and answers.unsigned:
        click.echo(f"{answers.file}: is not signed: type who looked at it and the date in B3 and D3", err=True)
    raise CannotRun(
        f"{list_file.name}: nothing is planned, open questions: {len(open_)}. Answer the yellow cells of"
        f" {there}, sign it, close it, and plan again"
    )


def _leave_as_it_is(there: Path, new: Path) -> None:
    """A sheet of answers that would be written with what it holds already is not written."""
    from addin.reading.answer_sheet import same_answers

    if there.is_file() and same_answers(there, new):
        new.unlink()


def names_in(book: Any) -> dict[str, set[str]]:
    """Names of wrenches and lubricants of a book, by field."""
    return {"wrench": {each.name for each in book.wrenches}, "lubricant": {each.product for each in book.lubricants}}


def _names_of(book_file: Path | None) -> dict[str, set[str]]:
    """Names of the wrench book by the field that they speak for; nothing without a book."""
    if book_file is None:
        return {}
    from addin.wrenches.wrench_book import read_wrench_book
    from calc.units import system

    return names_in(read_wrench_book(book_file, system("US")))


@main.command()
@click.argument("list_file", metavar="LIST", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--sheet", metavar="NAME", help="Sheet of the list, where several look like one.")
@click.option("--answers", "answers_file", metavar="ANSWERS", type=click.Path(dir_okay=False, path_type=Path),
              help="Sheet of answers to look at the list with.")  # fmt: skip
@click.option("--out", metavar="ANSWERS", type=click.Path(dir_okay=False, path_type=Path),
              help="Write the sheet of answers; one that is there keeps its answers.")  # fmt: skip
@click.option("--wrenches", "book_file", metavar="BOOK", type=click.Path(dir_okay=False, path_type=Path),
              help="Workbook of wrenches: its names are evidence for what a column is.")  # fmt: skip
@click.option("--json", "as_data", is_flag=True, help="Print what was understood as JSON, for scripts.")
def columns(
    list_file: Path, sheet: str | None, answers_file: Path | None, out: Path | None, book_file: Path | None,
    as_data: bool,
) -> None:  # fmt: skip
    """Show how each column of a joint list is understood, what is left out and what is open."""
    from addin.reading.answer_sheet import read_answers, write_answers
    from addin.reading.joint_list import read_joint_list
    from addin.reading.reading_report import as_json, report
    from addin.workbooks.outputs import ANSWERS, Outputs

    before = out if out and not answers_file and out.exists() else answers_file
    answers = read_answers(before) if before else None
    joint_list = read_joint_list(list_file, sheet, answers=answers, known=_names_of(book_file))
    kept = []
    if out:
        inputs = [list_file, *([before] if before else [])]
        with Outputs(out.parent, inputs, by="columns", make=False) as outputs:
            place = outputs.place(out.name, ANSWERS, renews=out if before == out else None)
            tags = joint_list.rows.texts.get("joint", [])
            write_answers(place, joint_list.understood, list_file.name, before=answers, tags=tags)
            _leave_as_it_is(out, place)
        kept = outputs.kept()
    if as_data:
        click.echo(json.dumps(as_json([joint_list.understood]), ensure_ascii=False, indent=1))
        sys.exit(NOT_ALL if joint_list.questions else DONE)
    click.echo("\n".join(report(joint_list)))
    for text in kept:
        click.echo(f"note: {text}")
    if out:
        click.echo(str(out))
    sys.exit(NOT_ALL if joint_list.questions else DONE)


@main.command(context_settings={"ignore_unknown_options": True})
@click.argument("name")
@click.argument("arguments", nargs=-1, type=click.UNPROCESSED)
def call(name: str, arguments: tuple[str, ...]) -> None:
    """Call one worksheet function: a plain number is a number, a table is the path of a CSV, "" leaves one out."""
    from addin.cells.texts import is_stop
    from addin.functions.gate import answer
    from addin.functions.registry import BY_NAME

    function = BY_NAME.get(name)
    if function is None:
        raise CannotRun(f"no function {name}; there are {', '.join(BY_NAME)}")
    if len(arguments) > len(function.args):
        raise CannotRun(f"{name} takes at most {len(function.args)} arguments, got {len(arguments)}")
    kinds = [arg.kind for arg in function.args]
    if name == "working" and arguments and arguments[0] in BY_NAME:
        listed = [arg.kind for arg in BY_NAME[arguments[0]].args]
        kinds = [kinds[0], *listed, *["words"] * (len(kinds) - 1 - len(listed))]
    values = [_value(kind, text) for kind, text in zip(kinds, arguments, strict=False)]
    result = answer(function, values)
    if is_stop(result):
        click.echo(result, err=True)
        sys.exit(CANNOT)
    rows = result if isinstance(result, list) else [[result]]
    for row in rows:
        click.echo("\t".join(_text(cell) for cell in row))


def _value(kind: str, text: str) -> Any:
    if kind in ("table", "block"):
        return _csv(Path(text))
    from addin.cells.numbers import typed_number

    if text == "":
        return None
    number = typed_number(text)
    return text if number is None else number


def _csv(path: Path) -> list[list[Any]]:
    from addin.workbooks.plain_file import read_plain

    content = read_plain(path, CSV_LIMIT)
    try:
        lines = content.decode("utf-8-sig").splitlines()
        rows = [[_value("value", text.strip()) for text in row] for row in csv.reader(lines, _dialect(lines))]
    except UnicodeDecodeError as error:
        raise CannotRun(f"{path.name}: is no text in UTF-8 (byte {error.start + 1}); save it as CSV UTF-8") from None
    except csv.Error as error:
        raise CannotRun(f"{path.name}: cannot be read as a CSV: {error}") from None
    if not rows:
        raise CannotRun(f"{path}: is empty")
    wide = max(len(row) for row in rows)
    return [row + [None] * (wide - len(row)) for row in rows]


def _dialect(lines: Sequence[str]) -> Any:
    try:
        return csv.Sniffer().sniff(lines[0] if lines else "", delimiters=",;\t|")
    except csv.Error:
        return "excel"


def _text(cell: Any) -> str:
    """A cell as text: a number with every digit and no exponent, so that it can be read again."""
    return format(Decimal(f"{cell:.15g}"), "f") if isinstance(cell, float) else str(cell)


for _command in (*commands.ALL, book_command, pack_command, record):
    main.add_command(_command)


if __name__ == "__main__":
    main()
