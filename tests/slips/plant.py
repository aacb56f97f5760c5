"""Slips of the hand in a sound certificate: each kind is one thing that people do when they copy a table."""

from collections.abc import Callable
from dataclasses import dataclass
from random import Random

from sound import LBF_FT, Sound


@dataclass
class Copied:
    """What stands in the user's workbook: the columns and their units as they were typed."""

    pressure: list[float]
    torque: list[float]
    pressure_unit: str
    torque_unit: str


def copied(s: Sound) -> Copied:
    """The certificate without a slip."""
    return Copied(list(s.pressure), list(s.torque), s.pressure_unit, s.torque_unit)


def _row_shift(r: Random, s: Sound, c: Copied) -> None:
    """The torque column one row up or down, the ends trimmed."""
    if r.random() < 0.5:
        c.pressure, c.torque = c.pressure[:-1], c.torque[1:]
    else:
        c.pressure, c.torque = c.pressure[1:], c.torque[:-1]


def _row_shift_from(r: Random, s: Sound, c: Copied) -> None:
    """From some row on the torques stand one row too high: one was left out, the last pressure goes without."""
    at = r.randrange(1, len(c.torque) - 1)
    del c.torque[at]
    del c.pressure[-1]


def _doubled_step(r: Random, s: Sound, c: Copied) -> None:
    """A pressure was left out, so that the torques below stand against a pressure too high."""
    at = r.randrange(1, len(c.pressure) - 1)
    del c.pressure[at]
    del c.torque[-1]


def _swap(text: str, r: Random) -> str | None:
    at = [i for i in range(len(text) - 1) if text[i].isdigit() and text[i + 1].isdigit() and text[i] != text[i + 1]]
    if not at:
        return None
    i = r.choice(at)
    return text[:i] + text[i + 1] + text[i] + text[i + 2 :]


def _digit(change: Callable[[str, Random], str | None], where: str) -> Callable[[Random, Sound, Copied], None]:
    def slip(r: Random, s: Sound, c: Copied) -> None:
        column = c.torque if where != "pressure" else c.pressure
        rows = {"end": [0, len(column) - 1]}.get(where, list(range(len(column))))
        for _ in range(50):
            i = r.choice(rows)
            text = change(f"{column[i]:g}" if column[i] < 1e6 else str(column[i]), r)
            if text and float(text) > 0 and float(text) != column[i]:
                column[i] = float(text)
                return

    return slip


def _wrong_key(text: str, r: Random) -> str | None:
    """A key beside the one meant."""
    at = r.choice([i for i, mark in enumerate(text) if mark.isdigit()])
    beside = {"0": "9", "1": "2", "9": "80"}.get(text[at]) or str(int(text[at]) - 1) + str(int(text[at]) + 1)
    return text[:at] + r.choice(beside) + text[at + 1 :]


def _dropped(text: str, r: Random) -> str | None:
    at = r.randrange(len(text))
    return text[:at] + text[at + 1 :] if len(text) > 1 and text[at].isdigit() else None


def _doubled(text: str, r: Random) -> str | None:
    at = r.randrange(len(text))
    return text[:at] + text[at] + text[at:] if text[at].isdigit() else None


def _torque_unit(r: Random, s: Sound, c: Copied) -> None:
    """The column beside it was copied: the same torque in another unit."""
    c.torque_unit = {"ft-lb": "N·m", "N·m": r.choice(["ft-lb", "ft-lb", "kgf·m"]), "kgf·m": "N·m"}[c.torque_unit]


def _pressure_unit(r: Random, s: Sound, c: Copied) -> None:
    c.pressure_unit = {"psi": "bar", "bar": r.choice(["psi", "MPa"]), "MPa": "bar"}[c.pressure_unit]


def _left_over(r: Random, s: Sound, c: Copied) -> None:
    """A shorter table was pasted over a longer one of a bigger or smaller wrench: its last rows stayed below."""
    keep = r.randrange(max(3, len(c.torque) // 2), len(c.torque))
    factor = r.choice([r.uniform(0.55, 0.93), r.uniform(1.08, 1.8)])
    c.torque = c.torque[:keep] + [float(round(t * factor)) for t in c.torque[keep:]]


def _bad_end(r: Random, s: Sound, c: Copied) -> None:
    """First or last torque misread by 4 to 20 %."""
    i = r.choice([0, -1])
    c.torque[i] = float(round(c.torque[i] * (1 + r.choice([-1, 1]) * r.uniform(0.04, 0.2))))


def _up_and_down(r: Random, s: Sound, c: Copied) -> None:
    """Some rows from the run with falling pressure, where the wrench gives more."""
    hysteresis = r.uniform(0.03, 0.08)
    rows = sorted(r.sample(range(len(c.torque)), r.randrange(1, len(c.torque) // 2 + 1)))
    for i in rows:
        c.torque[i] = float(round(c.torque[i] * (1 + hysteresis * (1.2 - c.pressure[i] / c.pressure[-1]))))


def _zero_error(r: Random, s: Sound, c: Copied) -> None:
    """The gauge did not stand at zero: every pressure is off by the same amount."""
    off = r.choice([-1, 1]) * r.uniform(0.03, 0.12) * c.pressure[-1]
    c.pressure = [round(p + off, 1) for p in c.pressure]
    while c.pressure[0] <= 0:
        del c.pressure[0], c.torque[0]


def _other_wrench(r: Random, s: Sound, c: Copied) -> None:
    """The certificate of a bigger or smaller wrench."""
    factor = r.choice([r.uniform(0.45, 0.8), r.uniform(1.25, 2.0)])
    c.torque = [float(round(t * factor)) for t in c.torque]


def _exchanged(r: Random, s: Sound, c: Copied) -> None:
    """Two torques stand in each other's row."""
    i = r.randrange(len(c.torque) - 1)
    c.torque[i], c.torque[i + 1] = c.torque[i + 1], c.torque[i]


def _copied_down(r: Random, s: Sound, c: Copied) -> None:
    """One torque twice, what followed it one row lower."""
    i = r.randrange(len(c.torque) - 1)
    c.torque = c.torque[: i + 1] + c.torque[i:-1]


SLIPS: dict[str, tuple[int, Callable[[Random, Sound, Copied], None]]] = {
    "torques one row up or down, ends trimmed": (12, _row_shift),
    "one torque left out, the rest moved up": (8, _row_shift_from),
    "one pressure left out: doubled step": (8, _doubled_step),
    "two digits of a torque swapped": (10, _digit(_swap, "torque")),
    "two digits of an end torque swapped": (7, _digit(_swap, "end")),
    "wrong key in a torque": (9, _digit(_wrong_key, "torque")),
    "wrong key in a pressure": (5, _digit(_wrong_key, "pressure")),
    "dropped digit": (6, _digit(_dropped, "torque")),
    "doubled digit": (3, _digit(_doubled, "torque")),
    "wrong unit of torque": (9, _torque_unit),
    "wrong unit of pressure": (4, _pressure_unit),
    "rows left over from a longer table": (8, _left_over),
    "first or last torque misread": (7, _bad_end),
    "rising and falling runs mixed": (6, _up_and_down),
    "gauge not at zero": (4, _zero_error),
    "certificate of another wrench": (4, _other_wrench),
    "two torques exchanged": (3, _exchanged),
    "a torque copied down": (3, _copied_down),
}
"""Kind -> how often it is planted, and the slip."""


def plant(seed: int, s: Sound) -> tuple[str, Copied]:
    """One slip in one certificate."""
    r = Random(seed * 7919 + 17)
    name = r.choices(list(SLIPS), [weight for weight, _ in SLIPS.values()])[0]
    c = copied(s)
    SLIPS[name][1](r, s, c)
    return name, c


def worst(s: Sound, c: Copied) -> float:
    """How far the torque would be off at worst, over the torques that the copied table sells, as a share."""
    torque = {"N·m": 1.0, "ft-lb": LBF_FT, "kgf·m": 9.80665}
    pressure = {"psi": 6894.757293168, "bar": 1e5, "MPa": 1e6}
    to_torque = torque[c.torque_unit] / torque[s.torque_unit]
    to_pressure = pressure[c.pressure_unit] / pressure[s.pressure_unit]
    pairs = list(zip(c.pressure, c.torque, strict=True))
    most = 0.0
    for (p1, t1), (p2, t2) in zip(pairs, pairs[1:], strict=False):
        for share in (0, 0.25, 0.5, 0.75, 1):
            wanted = (t1 + (t2 - t1) * share) * to_torque
            given = s.true((p1 + (p2 - p1) * share) * to_pressure)
            most = max(most, abs(given / wanted - 1))
    return most
