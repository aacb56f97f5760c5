"""The command `record`: as-tightened values against the plan, progress, and the hand-over workbook."""

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from addin.console import DONE, NOT_ALL, styled

SHOWN = 30
"""Most joints whose reasons are printed; the hand-over has all."""


@click.command()
@click.argument("plan_path", metavar="PLAN.json", type=click.Path(dir_okay=False, path_type=Path))
@click.argument("records", metavar="RECORDS...", nargs=-1, required=True,
                type=click.Path(dir_okay=False, path_type=Path))  # fmt: skip
@click.option("--out", metavar="DIR", required=True, type=click.Path(file_okay=False, path_type=Path),
              help="Folder for the hand-over.")  # fmt: skip
@click.option("--list", "list_file", metavar="LIST", type=click.Path(dir_okay=False, path_type=Path),
              help="The joint list as it is now: cards that it would change are superseded.")  # fmt: skip
@click.option("--wrenches", "book_files", metavar="BOOK", multiple=True,
              type=click.Path(dir_okay=False, path_type=Path),
              help="The wrench book as it is now, for what the plan has not; may be repeated.")  # fmt: skip
@click.option("--answers", "answers_file", metavar="ANSWERS", type=click.Path(dir_okay=False, path_type=Path),
              help="Sheet of answers of that list, where it was planned with one.")  # fmt: skip
@click.option("--paper", type=click.Choice(["A4", "Letter"]), default="A4", show_default=True, help="Paper.")
@click.option("--overwrite", is_flag=True, help="Replace what an earlier run wrote there; never a file of yours.")
def record(
    plan_path: Path, records: tuple[Path, ...], out: Path, list_file: Path | None, book_files: tuple[Path, ...],
    answers_file: Path | None, paper: str, overwrite: bool,
) -> None:  # fmt: skip
    """Hold as-tightened values against a plan: what agrees, what is open, what is to be reviewed, and the hand-over.

    Values are typed by exception, beside the joint list or on the record sheet among the templates.
    """
    from addin.plan.file import read_plan
    from addin.records.cards_now import cards_now
    from addin.records.handover import write_handover
    from addin.records.progress import review
    from addin.records.record_rows import Records, read_records
    from addin.records.tools_of_plan import book_of
    from addin.workbooks.file_set import finish_sets
    from addin.workbooks.outputs import HANDOVER, Outputs

    for path in (plan_path, *records):
        finish_sets(path.parent)
    plan = read_plan(plan_path, older=True)
    found = Records()
    for path in records:
        read_records(path, found, plan.head)
    now, book = cards_now(plan, list_file, book_files, answers_file)
    report = review(plan, found, book_of(plan, book), now)
    inputs = [path for path in (plan_path, *records, list_file, *book_files, answers_file) if path]
    with Outputs(out, inputs, overwrite=overwrite, by="record") as outputs:
        target = outputs.place(f"{plan_path.stem.removesuffix('-plan')}-hand-over.xlsx", HANDOVER)
        write_handover(report, target, paper=paper)
    _say(report)
    for line in (*([plan.older] if plan.older else []), *outputs.kept()):
        click.echo(f"note: {line}")
    click.echo(str(outputs.path(target)))
    click.echo(styled(_summary(report), bold=True))
    sys.exit(DONE if report.clean else NOT_ALL)


def _say(report: Any) -> None:
    """Refused rows, reasons, and progress."""
    from calc.review.as_tightened import REVIEW

    for item in report.refused:
        click.echo(f"{styled('NOT READ', fg='red')} {item.text}")
    rows = [row for row in report.rows if row.status == REVIEW]
    for row in rows[:SHOWN]:
        for reason in row.reasons:
            name = f"{row.joint.joint} {row.joint.operation}"
            click.echo(f"{styled('REVIEW', fg='yellow')} {name}: {reason}")
    if len(rows) > SHOWN:
        click.echo(f"and {len(rows) - SHOWN} more joints to review, all in the hand-over")
    for note in report.notes:
        click.echo(f"note: {note}")
    _table("area", report.by(lambda row: row.area))
    _table("wrench", report.by(lambda row: row.wrench))


def _table(title: str, groups: dict[str, dict[str, int]]) -> None:
    from addin.records.progress import LEFT
    from calc.review.as_tightened import AGREES, REVIEW

    wide = max((len(name) for name in groups), default=0)
    for name, counts in groups.items():
        left = sum(counts[status] for status in LEFT)
        said = f"{left} left, {counts[REVIEW]} to review, {counts[AGREES]} agree, of {sum(counts.values())}"
        click.echo(f"{title} {name.ljust(wide)}  {said}")


def _summary(report: Any) -> str:
    """One line of counts that add up to the rows of the list."""
    counts = report.counts()
    parts: Sequence[str] = [f"{count} {status}" for status, count in counts.items() if count]
    return f"{len(report.rows)} rows: {', '.join(parts)}" + (
        f"; {len(report.refused)} rows of the records not read" if report.refused else ""
    )
