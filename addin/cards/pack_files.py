"""The parts of a pack as files of one set of outputs."""

from collections.abc import Callable, Iterable
from pathlib import Path

from addin.cards.issue import Issued, WantedParts, issue, target_of
from addin.cards.sheets import Progress
from addin.plan.file import Plan
from addin.workbooks.outputs import PRINTED, Outputs


def write_parts(
    plan: Plan, stem: str, outputs: Outputs, wanted: WantedParts, of: str,
    progress: Callable[[str], Progress] | None = None,
) -> Issued:  # fmt: skip
    """Write the parts wanted as part of a set of outputs; `of` is the hash of their plan.

    Parts that could not be written, and those of another plan that are not written anew where the whole of a part is,
    do not stay beside the new ones: the set keeps them elsewhere.
    """
    targets = {part: target_of(part, stem, outputs.folder) for part in wanted.parts}
    for target in targets.values():
        if not wanted.one_file_per_joint and not wanted.selection.by:
            outputs.place(target.name, PRINTED)
            if wanted.printer is not None:
                outputs.place(target.with_suffix(".pdf").name, PRINTED)
    outputs.of = of
    issued = issue(plan, stem, outputs.new, wanted, progress)
    partial = wanted.since is not None or wanted.selection.partial or bool(wanted.selection.by)
    for part, target in targets.items():
        for name in stale(outputs, [target]):
            if not partial or part not in issued.reports or name.endswith(".pdf"):
                outputs.put_away(name, "is of another plan and was not written again")
    return issued


def stale(outputs: Outputs, targets: Iterable[Path]) -> list[str]:
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
