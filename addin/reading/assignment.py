"""One assignment of fields to all columns."""

from collections.abc import Sequence

import numpy as np

from addin.reading.fields import BY_NAME
from addin.reading.heads import NO_FIELD, SHOWN_ONLY
from addin.reading.one_each import one_each
from addin.reading.seen import SeenColumn

SLOTS = {"torque": 3, "load": 2, "stress": 2, "wrench": 1}


def assign(columns: Sequence[SeenColumn]) -> dict[int, str]:
    """One field for each column, so that the sum of all is the most."""
    names = [name for name in BY_NAME for _ in range(SLOTS.get(name, 1))] + sorted(SHOWN_ONLY)
    if not columns:
        return {}
    gain = np.full((len(columns), len(names) + len(columns)), 0.0)
    for i, column in enumerate(columns):
        for j, name in enumerate(names):
            gain[i, j] = column.score.get(name, -5.0)
        gain[i, len(names) :] = -5.0
        gain[i, len(names) + i] = NO_FIELD
    return {i: names[j] for i, j in enumerate(one_each(gain)) if j < len(names)}
