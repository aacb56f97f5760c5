"""Numbers of two plan files of any version: `python tests/compare_plans.py OLD-plan.json NEW-plan.json`.

Prints every number that a crew sets or a card shows and that differs in its first twelve digits, and the joints that
only one of them plans.
"""

import math
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from plain_plan import plain_whole  # noqa: E402

from addin.plan.file import read_plan  # noqa: E402

SHOWN = ("status", "preload", "torque", "setpoint", "torque_at_setpoint", "wrenches", "alternates", "passes", "order",
         "across_flats", "limits", "range", "duration", "breakout", "difference_percent")  # fmt: skip


def numbers(value: Any, place: str = "") -> dict[str, Any]:
    """Every number of a value by its place, and the status."""
    if isinstance(value, dict):
        return {key: found for name, each in value.items() for key, found in numbers(each, f"{place}.{name}").items()}
    if isinstance(value, list):
        return {key: found for n, each in enumerate(value) for key, found in numbers(each, f"{place}[{n}]").items()}
    return {place: value} if isinstance(value, (int, float)) or place.endswith(("status", "unit")) else {}


def same(was: Any, now: Any) -> bool:
    """Whether two entries are equal, numbers in their first twelve digits."""
    if isinstance(was, (int, float)) and isinstance(now, (int, float)):
        return math.isclose(was, now, rel_tol=1e-12)
    return bool(was == now)


def compare(old: Path, new: Path) -> tuple[int, list[str]]:
    """How many numbers were compared, and a line for each that differs."""
    plans = [
        {(joint["joint"], joint["operation"]): joint for joint in plain_whole(read_plan(path, older=True))["joints"]}
        for path in (old, new)
    ]
    said, count = [], 0
    for key in sorted({*plans[0], *plans[1]}):
        if key not in plans[0] or key not in plans[1]:
            said.append(f"{key}: in one of them only")
            continue
        was, now = (numbers({name: plan[key].get(name) for name in SHOWN}) for plan in plans)
        count += len(was.keys() | now.keys())
        said += [
            f"{' '.join(key)} {place}: {was.get(place)} -> {now.get(place)}"
            for place in sorted(was.keys() | now.keys()) if not same(was.get(place), now.get(place))
        ]  # fmt: skip
    return count, said


if __name__ == "__main__":
    total, lines = compare(Path(sys.argv[1]), Path(sys.argv[2]))
    print("\n".join([*lines, f"{total} numbers compared, {len(lines)} differ"]))
    sys.exit(bool(lines))
