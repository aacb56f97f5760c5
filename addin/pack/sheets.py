"""The printed pack: a plan in, one workbook with a card on each sheet out."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from addin.pack.card import fault, filling
from addin.pack.card_tokens import VOCABULARY
from addin.pack.sheet_names import sheet_names
from addin.pack.template import Filling, Template, TemplateError

__all__ = ["PackReport", "TemplateError", "write_pack"]


@dataclass
class PackReport:
    """What was written and what was not.

    cards : (joint, operation, card revision, sheet name); skipped : rows that get no card by nature (stopped, other
    method), as (joint, operation, reason); refused : rows that should have had one; unknown_tokens, unused_tokens : of
    the template; notes : lines for the user.
    """

    cards: list[tuple[str, str, str, str]] = field(default_factory=list)
    skipped: list[tuple[str, str, str]] = field(default_factory=list)
    refused: list[tuple[str, str, str]] = field(default_factory=list)
    unknown_tokens: list[str] = field(default_factory=list)
    unused_tokens: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def write_pack(
    plan: Mapping[str, Any],
    template: Path,
    target: Path,
    *,
    joints: Sequence[str] | None = None,
    overwrite: bool = False,
    progress: Callable[[int, int], None] | None = None,
    paper: str | None = None,
) -> PackReport:
    """Write the joint cards of a plan into one workbook, a sheet for each, from a template.

    joints : only these tags, every operation; paper : "A4" or "Letter" in place of the template's own; progress :
    called with cards done and cards in all. The target appears whole or not at all.

    Raises TemplateError, one line, where the template cannot serve, no card is left, or the target is there already.
    """
    book = Template(template, VOCABULARY, paper=paper)
    report = PackReport(unknown_tokens=book.unknown, unused_tokens=book.unused)
    chosen = _choose(plan, joints, report)
    names = sheet_names([(item["joint"], item["operation"]) for item in chosen], book.other_sheets)

    def cards() -> Iterator[tuple[str, Filling]]:
        for number, (item, name) in enumerate(zip(chosen, names, strict=True)):
            if progress is not None:
                progress(number, len(chosen))
            yield name, filling(plan, item)

    written = book.write(target, cards(), overwrite=overwrite)
    if progress is not None:
        progress(len(chosen), len(chosen))
    report.notes += written.notes
    for number, reason in written.refused:
        report.refused.append((chosen[number]["joint"], chosen[number]["operation"], reason))
    for number, name in written.sheets:
        item = chosen[number]
        report.cards.append((item["joint"], item["operation"], item["card"], name))
    return report


def _choose(plan: Mapping[str, Any], joints: Sequence[str] | None, report: PackReport) -> list[Mapping[str, Any]]:
    everything = plan.get("joints")
    if not isinstance(everything, list):
        raise TemplateError("the plan has no list of joints")
    revisions = Counter(item.get("card") for item in everything if item["status"] == "planned")
    if joints is not None:
        missing = [tag for tag in joints if tag not in {item["joint"] for item in everything}]
        report.refused += [(tag, "", "the plan has no joint of this tag") for tag in missing]
        everything = [item for item in everything if item["joint"] in joints]
    chosen = []
    for item in everything:
        key = (str(item.get("joint") or f"row {item.get('row')}"), str(item.get("operation") or ""))
        if item["status"] != "planned":
            report.skipped.append((*key, _why(item)))
        elif not item.get("card"):
            report.refused.append((*key, "the plan gives no card revision"))
        elif revisions[item["card"]] > 1:
            report.refused.append((*key, f"card revision {item['card']} stands on more than one row"))
        elif (reason := fault(item)) is not None:
            report.refused.append((*key, reason))
        else:
            chosen.append(item)
            if item["operation"] == "break" and item.get("passes"):
                report.notes.append(
                    f"{key[0]} {key[1]}: a break card shows no tightening passes; those of the plan are left out"
                )
    return chosen


def _why(item: Mapping[str, Any]) -> str:
    if item["status"] != "stopped":
        return str(item["status"])
    stops = [found["text"] for found in item.get("findings") or [] if found.get("level") == "stop"]
    return "stopped: " + ("; ".join(stops) or "no reason given")
