"""A column as it is read: its field, its unit, and where its cells stand. What is asked about it is told elsewhere."""

from dataclasses import dataclass

from addin.cells.column_letters import letters
from calc.findings import Finding


@dataclass(frozen=True)
class Column:
    """How one column is read: place of its cells in a row (from 0), heading, field, unit as shown, how it was matched.

    `doubt`: why its numbers cannot be used as they stand. `source`: place of the column in the sheet where its cells
    were taken out of another column ("20 x M36"), else None.
    """

    at: int
    heading: str
    field: str | None
    unit: str | None
    matched: str = ""
    doubt: Finding | None = None
    source: int | None = None

    @property
    def place(self) -> int:
        """Place of the column in the sheet, from 0."""
        return self.at if self.source is None else self.source


def letter(at: int) -> str:
    """Letters of a column by its place from 0.

    >>> letter(0), letter(27)
    ('A', 'AB')
    """
    return letters(at + 1)
