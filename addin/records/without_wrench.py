"""A plan made anew because a wrench is out of service: only the joints on it that are not done change."""

from collections import Counter
from collections.abc import Mapping, Sequence

import msgspec

from addin.cells.words import line
from addin.plan.card_number import parts
from addin.plan.file import Plan
from addin.plan.record import PlanHead, TotalsEntry
from addin.plan.record_joint import OTHER, PLANNED, STOPPED, FindingEntry, JointEntry
from addin.records.known_cards import Key, key_of
from addin.records.progress import Report
from addin.workbooks.package import WorkbookError
from calc.findings import STOP, Finding
from calc.review.as_tightened import AGREES, OPEN
from calc.units import system

_OF_THE_DAY = ("row", "date", "crew", "shift", "sequence", "work_order", "print_it", "carried", "area_of_plant")


LISTED = 20
"""Most cards that a note names."""


class Without:
    """Takes the joints of a new plan, made without some wrenches, and gives each as it now stands.

    A joint that was not on them stays as it was planned, with its card. One that was is planned anew where nothing of
    it is recorded, stays where it is done, and is stopped for the engineer where it is begun or to be reviewed.
    `decisions` are lines for the engineer; `named` cards that hold and name such a wrench as alternate.
    """

    def __init__(self, old: Plan, head: PlanHead, wrenches: Sequence[str], report: Report | None) -> None:
        if old.head.stages != head.stages:
            raise WorkbookError(f"{old.name}: was planned with other passes; plan with the same scheme")
        self.old, self.wrenches = old, {name.casefold() for name in wrenches}
        gone = [each for each in old.head.wrenches if each.name.casefold() in self.wrenches]
        self.head = msgspec.structs.replace(
            head, wrenches=(*head.wrenches, *gone), orders={**old.head.orders, **head.orders}
        )
        self._before = {key_of(joint.joint, joint.operation): joint for joint in old.joints}
        self._status: Mapping[Key, str] = (
            {key_of(row.joint.joint, row.joint.operation): row.status for row in report.rows} if report else {}
        )
        self._counts: Counter[str] = Counter()
        self.decisions: list[str] = []
        self.named: list[str] = []

    def entry(self, new: JointEntry) -> JointEntry:
        """A joint as it now stands."""
        made = self._entry(new)
        self._counts[made.status] += 1
        self._counts[f"{made.status} {made.method}"] += 1
        if made.planned and any(tool.wrench.casefold() in self.wrenches for tool in made.alternates):
            self.named.append(f"{made.joint} {made.operation}")
        return made

    def notes(self) -> list[str]:
        """What the engineer has to decide, and the cards that hold and name such a wrench as alternate."""
        said = [f"for the engineer: {text}" for text in self.decisions]
        if self.named:
            more = f" and {len(self.named) - LISTED} more" if len(self.named) > LISTED else ""
            names = ", ".join(self.named[:LISTED]) + more
            said.append(f"cards that hold, with a wrench no longer to be used as alternate, cross it out: {names}")
        return said

    def totals(self) -> TotalsEntry:
        """Counts of the rows as they now stand."""
        count = self._counts
        return msgspec.structs.replace(
            self.head.totals, planned=count[PLANNED], hydraulic=count[f"{PLANNED} hydraulic"],
            hand=count[f"{PLANNED} hand"], other_method=count[OTHER], stopped=count[STOPPED],
        )  # fmt: skip

    def _entry(self, new: JointEntry) -> JointEntry:
        before = self._before.get(key_of(new.joint, new.operation))
        if before is None or not before.planned:
            return new
        used = [tool.wrench for tool in before.tools if tool.wrench.casefold() in self.wrenches]
        status = self._status.get(key_of(new.joint, new.operation), OPEN)
        if not used:
            return self._kept(before, new) if self._same(before, new) else new
        if status == AGREES:
            return self._kept(before, new)
        if status == OPEN:
            return new
        self.decisions.append(f"{new.joint} {new.operation}: {status} with {used[0]}, no longer to be used")
        return self._stopped(new, used[0], status)

    def _same(self, before: JointEntry, new: JointEntry) -> bool:
        """Whether the list and the book ask for the same card, but for the wrench as alternate."""
        if not new.planned:
            return False
        was, now = parts(before, self.old.head), parts(new, self.head)
        return all(was.get(name) == now.get(name) for name in {**was, **now} if name != "alternates")

    def _kept(self, before: JointEntry, new: JointEntry) -> JointEntry:
        return msgspec.structs.replace(before, **{name: getattr(new, name) for name in _OF_THE_DAY})

    def _stopped(self, new: JointEntry, wrench: str, status: str) -> JointEntry:
        finding = Finding("begun_with_wrench", "wrench", {"wrench": wrench, "text": status}, STOP)
        said = FindingEntry(
            level=STOP, code=finding.code, text=line(finding, system("SI")), place=f"row {new.row}", quantity="wrench",
            facts={"wrench": wrench, "text": status},
        )  # fmt: skip
        blank = JointEntry(row=new.row, joint=new.joint, operation=new.operation, method=new.method, status=STOPPED)
        kept = ("equipment", "line", "size", "rating", "gasket", "remarks", "thread", "grade", "studs", *_OF_THE_DAY)
        return msgspec.structs.replace(blank, **{name: getattr(new, name) for name in kept}, findings=(said,))
