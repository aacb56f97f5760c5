"""What a QA person asks of a hand-over first: how much is complete, how far off, which cards, which batches, by day."""

import datetime
import math
from collections.abc import Iterator
from dataclasses import dataclass

from addin.plan.release import NOTHING_VALID, Releases
from addin.records.done_work import days_of
from addin.records.progress import NOT_JUDGED, RecordedRow, Report
from addin.records.record_fields import BY_NAME
from addin.records.record_rows import RecordEntry
from calc.review.as_tightened import AGREES, Used, every_stud
from calc.review.deviation import Deviation, deviation


def complete(report: Report) -> tuple[float, float]:
    """Shares of the rows that agree with the plan: by row, and by their studs. Rows by another method do not count."""
    rows = [row for row in report.rows if row.status != NOT_JUDGED or row.joint.breakout]
    done = [row for row in rows if row.status == AGREES]
    studs = sum(row.joint.studs or 0 for row in rows)
    by_stud = sum(row.joint.studs or 0 for row in done) / studs if studs else math.nan
    return (len(done) / len(rows) if rows else math.nan), by_stud


def deviations(report: Report) -> list[tuple[str, float, Deviation]]:
    """Statistics of the final torque against the planned one: how it was pulled, its tolerance [%], the figures."""
    shares: dict[tuple[str, float], list[float]] = {}
    for kind, method in (("by hydraulic wrench", "hydraulic"), ("by hand", "hand")):
        for part in report.parts:
            shares.setdefault((kind, part.plan.head.settings.tolerance_percent), []).extend(
                used.torque / row.full - 1
                for row in part.rows
                if row.joint.method == method
                for used in final(row)
                if not math.isnan(used.torque) and row.full > 0
            )
    found = ((kind, percent, deviation(each, percent / 100)) for (kind, percent), each in shares.items())
    return [(kind, percent, said) for kind, percent, said in found if said]


def final(row: RecordedRow) -> list[Used]:
    """What was used in the last recorded pass at the final torque, each of its wrenches; nothing before every stud
    of the joint had it.
    """
    full = {stage.number: stage.studs for stage in row.steps if stage.percent == 100}
    used = [item for item in row.verdict.used if item.number in full] if row.verdict else []
    if not every_stud([full[item.number] for item in used], [stage.studs for stage in row.steps if stage.percent]):
        return []
    return [item for item in used if item.number == used[-1].number]


def boxes(report: Report) -> Iterator[tuple[RecordedRow, str, str, str]]:
    """Everything that stands in boxes of the cards: row, pass ("" for the joint), name of the box, what is there."""
    for row in report.rows:
        for entry in row.entries:
            said: list[tuple[str, str, str]] = [("", name, text) for name, text in entry.boxes.items()]
            said += [("", "tool_number", entry.tool_number)] if entry.tool_number else []
            said += [("", name, text) for name, text in entry.found.items()]
            said += [
                (f"pass {number}", name, text) for number, values in entry.own.items() for name, text in values.boxes
            ]
            pumps = [("", entry.values.pump), *((f"pass {n}", values.pump) for n, values in entry.own.items())]
            said += [(number, "pump", pump) for number, pump in pumps if pump]
            for number, name, text in said:
                yield row, number, box_name(name), text


def box_name(field: str) -> str:
    """A field as the cards call its box."""
    return BY_NAME[field].box or field.replace("_", " ")


def points(report: Report) -> Iterator[tuple[RecordedRow, str, str, str]]:
    """Witness and hold points of the plan, with what the record says of them."""
    for row in report.rows:
        for name, said in (("witness", row.joint.witness), ("hold", row.joint.hold_point)):
            found = [entry.boxes.get(name, "") for entry in row.entries]
            found += [dict(values.boxes).get(name, "") for entry in row.entries for values in entry.own.values()]
            there = ", ".join(dict.fromkeys(text for text in found if text))
            if said or there:
                yield row, name, said or "not asked by the plan", there


def gaps(report: Report) -> Iterator[tuple[RecordedRow, str, str]]:
    """Flange gaps: row, before or after which pass, and what was measured."""
    for row in report.rows:
        for entry in row.entries:
            before, after = entry.boxes.get("gap_before", ""), entry.boxes.get("gap", "")
            if before:
                yield row, "before the first pass", before
            for number, values in entry.own.items():
                if text := dict(values.boxes).get("gap", ""):
                    yield row, f"after pass {number}", text
            if after:
                yield row, "at the end", after


def batches(report: Report) -> list[tuple[str, str, list[str]]]:
    """Lubricants with their batches, and the joints they are on; a batch that is not stated is said."""
    found: dict[tuple[str, str], list[str]] = {}
    for row in report.rows:
        for entry in row.entries:
            product = entry.lubricant or (row.done_on.lubricant if entry.lubricant_same else "") or ""
            if product or entry.batch:
                key = product or "not stated", entry.batch or "batch not stated"
                found.setdefault(key, []).append(f"{row.joint.joint} {row.joint.operation}")
    return [(product, batch, list(dict.fromkeys(names))) for (product, batch), names in sorted(found.items())]


@dataclass(frozen=True)
class CardLine:
    """A card in the register: its number, joint, issue, what replaced it and since when, and what came back."""

    card: str
    row: RecordedRow
    issue: int
    state: str
    returned: str


def cards(report: Report) -> list[CardLine]:
    """Every card of the plan and the ones before it: issued or waiting for a release, replaced, returned."""
    return [line for part in report.parts for line in _cards(part)]


def _cards(report: Report) -> list[CardLine]:
    """The cards of one list: its own plan and releases speak of them."""
    found = []
    for row in report.rows:
        back: dict[str, list[str]] = {}
        for entry in row.entries:
            back.setdefault(entry.card, []).append(_back(entry))
        for each in row.joint.earlier:
            state = f"void since {each.until}: replaced by {row.joint.card or 'no card'}"
            if each.card not in row.void and report.releases and report.releases.of(each.card) is None:
                state = f"never released; replaced on {each.until}"
            found.append(CardLine(each.card, row, each.joint.issue, state, _returned(back, each.card)))
        if row.joint.card:
            issued = _issued(report.releases, row)
            state = issued if row.on is None else f"not needed: the joint was done on {row.on.card}"
            if row.card_now != row.joint.card:
                state = f"{issued}; now {row.card_now}" if row.card_now else f"{issued}; no longer planned"
            found.append(CardLine(row.joint.card, row, row.joint.issue, state, _returned(back, row.joint.card)))
        known = {row.joint.card, *(each.card for each in row.joint.earlier)}
        for card in back:
            if card and card not in known:
                found.append(CardLine(card, row, 0, "not of this plan", _returned(back, card)))
    return found


def _issued(releases: Releases | None, row: RecordedRow) -> str:
    """What a card of the plan is: issued, by whom released, or waiting, and whether another holds until then."""
    by = releases.of(row.joint.card) if releases else ""
    if by is None:
        return f"not released: {NOTHING_VALID}" if row.void else "not released: nobody works from it"
    return f"issued, released by {by}" if by else "issued"


def _back(entry: RecordEntry) -> str:
    days = [values.day for values in (entry.values, *entry.own.values()) if not math.isnan(values.day)]
    day = datetime.date.fromordinal(int(max(days))).isoformat() if days else "day not stated"
    return f"{day}, {entry.by or 'name not stated'}"


def _returned(back: dict[str, list[str]], card: str) -> str:
    return "; ".join(dict.fromkeys(back.get(card, ()))) or "not returned"


def by_day(report: Report) -> list[tuple[datetime.date, int, int, int]]:
    """For each day of work: joints that were completed on it, their studs, and joints completed up to its end."""
    last: dict[int, list[RecordedRow]] = {}
    for row in report.rows:
        days = [item.day for item in row.passes if not math.isnan(item.day)]
        days += days_of(row.entries)
        if row.status == AGREES and days:
            last.setdefault(int(max(days)), []).append(row)
    total, found = 0, []
    for day in sorted(last):
        total += len(last[day])
        studs = sum(row.joint.studs or 0 for row in last[day])
        found.append((datetime.date.fromordinal(day), len(last[day]), studs, total))
    return found
