"""What is wrong or worth a warning, as facts; the words are put together at the edge (`addin.cells.words`)."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

STOP = "stop"
CAUTION = "caution"
NOTE = "note"
"""Nothing is wrong; how something was read is said."""


@dataclass(frozen=True)
class Finding:
    """One fact about one row: what is wrong, where, and the numbers that belong to it (SI).

    `code` names the sentence, `quantity` the argument or column it is about, `facts` the numbers and names that the
    sentence needs. `row` is the position in the columns that were given (0 for a single calculation).
    """

    code: str
    quantity: str = ""
    facts: Mapping[str, Any] = field(default_factory=dict)
    level: str = STOP
    row: int = 0


class InputError(ValueError):
    """A single calculation cannot be done; carries the finding that says why."""

    def __init__(self, finding: Finding) -> None:
        super().__init__(f"{finding.code} {finding.quantity} {dict(finding.facts)}".strip())
        self.finding = finding


def stop(code: str, quantity: str = "", **facts: Any) -> InputError:
    """The exception for one stop, ready to raise.

    >>> raise stop("thread_unknown", "thread", text="M7.3")
    Traceback (most recent call last):
    calc.findings.InputError: thread_unknown thread {'text': 'M7.3'}
    """
    return InputError(Finding(code, quantity, facts))
