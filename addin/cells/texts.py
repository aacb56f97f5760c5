"""One cell of text: a word that picks something, a thread, the refusal of another function."""

from addin.cells.numbers import Cell, plain_text, refuse_kind
from calc.findings import InputError, stop
from calc.hardware import threads

STOP = "STOP"
_OF_ERRORS = ("#", "Err:")
"""With these the text of an error cell begins."""


def is_stop(value: Cell) -> bool:
    """Whether a cell holds the refusal of another function.

    >>> is_stop("STOP: torque 5200 N·m is above ..."), is_stop("HW-1")
    (True, False)
    """
    return isinstance(value, str) and (value == STOP or value.startswith(f"{STOP}: "))


def read_words(value: Cell, name: str) -> str:
    """A text that picks something; a whole number counts as its digits (a grade typed as 10.9).

    Raises InputError `missing`, `is_truth_value`, `is_date`, `error_cell`.
    """
    if type(value) is str and (text := " ".join(value.split())) and not text.startswith(_OF_ERRORS):
        return text  # as nearly always
    refuse_kind(value, name)
    return plain_text(value)


def read_thread(value: Cell) -> threads.Thread:
    """A thread designation, or an inch size typed as a number.

    Raises InputError `thread_is_date` for a fraction that the spreadsheet turned into a date, and those of `parse`.
    """
    try:
        return threads.parse(read_words(value, "thread"))
    except InputError as error:
        if error.finding.code == "is_date":
            raise stop("thread_is_date", "thread", text=str(value)[:10]) from None
        raise
