"""What has changed between two plans: which joints, by what, and which cards are to be issued and withdrawn.

A card is known by its revision, which holds everything that it says. A joint needs a new card where its revision has
changed, and only there; a moved row, or a new wrench that it does not use, changes nothing.
"""

import hashlib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from addin.cells.words import figure
from addin.plan.file import read_plan
from addin.plan.tools import Json

_APART = ("row", "card", "findings", "joint", "operation", "interaction")
"""What a joint's entry holds besides what its card says."""
_BOOK = (("wrenches", "wrench"), ("gauges", "gauge"))
_NAMES = {"area_of_plant": "area of the plant", "at_once": "wrenches at once", "studs": "stud count",
          "setpoint": "pressure to set", "nut_series": "nut series", "stud_1": "position of stud 1"}  # fmt: skip

NEW, GONE, CHANGED = "new", "gone", "changed"


class Since:
    """Compares the joints of a new plan, one by one, with an old plan.

    >>> joint = {"joint": "E-1", "operation": "break", "status": "planned", "card": "A", "studs": 8, "row": 3}
    >>> since = Since({"joints": [joint]}, "old.json")
    >>> since.add({**joint, "card": "B", "studs": 12, "row": 9})
    >>> found = since.result({})
    >>> found["issue"][0]["changes"], found["withdraw"][0]["card"]
    ([{'what': 'stud count', 'was': '8', 'is': '12'}], 'A')
    """

    def __init__(self, old: Json, name: str, sha256: str = "") -> None:
        self.old = {key: value for key, value in old.items() if key != "joints"}
        self.name, self.sha256 = name, sha256
        self._before: dict[tuple[str, str, int], Json] = dict(_keyed(old["joints"]))
        self._seen: dict[tuple[str, str], int] = {}
        self._pairs: list[tuple[Json | None, Json | None]] = []

    @classmethod
    def of(cls, path: Path) -> "Since":
        """Compare with the plan of a file. Raises WorkbookError as `read_plan` does."""
        return cls(read_plan(path), path.name, hashlib.sha256(path.read_bytes()).hexdigest())

    def add(self, joint: Json) -> None:
        """Take the next joint of the new plan."""
        pair = (str(joint["joint"]).casefold(), str(joint["operation"]))
        number = self._seen[pair] = self._seen.get(pair, -1) + 1
        before = self._before.pop((*pair, number), None)
        if before is not None and before["card"] == joint["card"] and before["status"] == joint["status"]:
            if not (changes := _changes(before, joint)):
                return  # the whole entries need not be kept
            self._pairs.append(({**before, "changes": changes}, _short(joint)))
            return
        changes = _changes(before, joint) if before is not None else []
        self._pairs.append((None if before is None else {**before, "changes": changes}, _short(joint)))

    def result(self, head: Json) -> Json:
        """What has changed, as it stands in the new plan: settings, wrench book, joints, cards to issue and withdraw.

        `head` is the new plan without its joints.
        """
        settings = _differences(self.old.get("settings") or {}, head.get("settings") or {})
        settings += _differences({"date": self.old.get("date")}, {"date": head.get("date")})
        book = [change for part, kind in _BOOK for change in _book(self.old.get(part), head.get(part), kind)]
        book += _book(self.old.get("lubricants"), head.get("lubricants"), "lubricant", "product")
        touched = {change["what"] for change in book}
        joints, issue, withdraw = [], [], []
        for before, after in [*self._pairs, *((before, None) for before in self._before.values())]:
            entry = _entry(before, after, settings, touched)
            joints.append(entry)
            if after is not None and after["card"] and (before is None or after["card"] != before["card"]):
                issue.append({**entry, "card": after["card"], "replaces": before["card"] if before else None})
            if before is not None and before["card"] and (after is None or after["card"] != before["card"]):
                withdraw.append({**entry, "card": before["card"], "reason": _reason(after)})
        return {
            "plan": self.name,
            "sha256": self.sha256,
            "program": self.old.get("program"),
            "settings": settings,
            "book": book,
            "joints": joints,
            "issue": issue,
            "withdraw": withdraw,
        }


def _keyed(joints: list[Json]) -> Iterator[tuple[tuple[str, str, int], Json]]:
    """Joints by tag and operation; a pair that stands several times is counted."""
    seen: dict[tuple[str, str], int] = {}
    for joint in joints:
        pair = (str(joint["joint"]).casefold(), str(joint["operation"]))
        seen[pair] = seen.get(pair, -1) + 1
        yield (*pair, seen[pair]), joint


def _short(joint: Json) -> Json:
    """What is still needed of a joint once it has been compared."""
    tools = [wrench[kind] for wrench in joint.get("wrenches") or [] for _, kind in _BOOK if wrench.get(kind)]
    kept = {name: joint[name] for name in ("joint", "operation", "status", "card", "row")}
    return {**kept, "tools": tools}


def _entry(before: Json | None, after: Json | None, settings: list[Json], touched: set[str]) -> Json:
    joint = after or before or {}
    changes = list(before.get("changes", [])) if before is not None and after is not None else []
    if after is not None and before is not None and after["card"] != before["card"] and after["card"]:
        names = [f"{kind} {name}" for name in dict.fromkeys(after["tools"]) for _, kind in _BOOK]
        changes += [{"what": name, "was": None, "is": None} for name in names if name in touched]
        if settings:
            changes.append({"what": "settings", "was": None, "is": None})
        if not changes:
            changes.append({"what": "how the plan is made (another version of the program)", "was": None, "is": None})
    kind = NEW if before is None else GONE if after is None else CHANGED
    return {"joint": joint["joint"], "operation": joint["operation"], "row": joint.get("row"), "kind": kind,
            "changes": changes}  # fmt: skip


def _reason(after: Json | None) -> str:
    if after is None:
        return "the joint is no longer in the list"
    return "replaced by a new card" if after["card"] else f"the joint is now {after['status']}"


def _changes(before: Json, after: Json) -> list[Json]:
    """What differs between two entries of one joint, the stated things one by one, the long ones by name."""
    changes = []
    names = dict.fromkeys([*before, *after])
    for name in names:
        was, now = before.get(name), after.get(name)
        if name in _APART or was == now or (not was and not now):
            continue
        if name == "target" and isinstance(was, Mapping) and isinstance(now, Mapping):
            changes += _differences({"target": was.get("basis")}, {"target": now.get("basis")})
            changes += _differences(was.get("friction") or {}, now.get("friction") or {})
            continue
        changes.append({"what": _NAMES.get(name, name.replace("_", " ")), "was": _shown(was), "is": _shown(now)})
    return changes


def _differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[Json]:
    names = dict.fromkeys([*before, *after])
    return [
        {
            "what": _NAMES.get(name, name.replace("_", " ")),
            "was": _shown(before.get(name)),
            "is": _shown(after.get(name)),
        }
        for name in names
        if before.get(name) != after.get(name)
    ]


def _shown(value: Any) -> str | None:
    """A value in a few words, None for one that is too long to say."""
    if value is None or value == "":
        return "not stated"
    if isinstance(value, Mapping):
        return f"{figure(value['value'])} {value['unit']}" if set(value) == {"value", "unit"} else None
    if isinstance(value, list):
        return None
    return figure(value) if isinstance(value, float) else str(value)


def _book(before: list[Json] | None, after: list[Json] | None, kind: str, key: str = "name") -> list[Json]:
    """What differs in one part of the wrench book, an entry for each wrench, gauge or product."""
    was, now = ({entry[key]: entry for entry in part or []} for part in (before, after))
    found = []
    for name in dict.fromkeys([*was, *now]):
        if was.get(name) == now.get(name):
            continue
        kind_of = NEW if name not in was else GONE if name not in now else CHANGED
        changes = _differences(was[name], now[name]) if kind_of == CHANGED else []
        found.append({"what": f"{kind} {name}", "kind": kind_of, "changes": changes})
    return found


def lines(found: Json) -> list[str]:
    """What has changed, a line for each thing, for a person: summary first, then book, cards to issue, to withdraw."""
    counts = {kind: sum(entry["kind"] == kind for entry in found["joints"]) for kind in (NEW, GONE, CHANGED)}
    said = [
        f"since {found['plan']}: joints {counts[NEW]} new, {counts[GONE]} gone, {counts[CHANGED]} changed; "
        f"cards {len(found['issue'])} to issue, {len(found['withdraw'])} to withdraw"
    ]
    said += [f"settings: {_change(change)}" for change in found["settings"]]
    for entry in found["book"]:
        said.append(f"{entry['what']}: {_all(entry['changes']) or entry['kind']}")
    for entry in found["issue"]:
        replaces = f" (replaces {entry['replaces']})" if entry["replaces"] else ""
        why = _all(entry["changes"]) or ("new in the list" if entry["kind"] == NEW else "now planned")
        said.append(f"issue {entry['joint']} {entry['operation']}: card {entry['card']}{replaces}: {why}")
    for entry in found["withdraw"]:
        said.append(f"withdraw {entry['joint']} {entry['operation']}: card {entry['card']}: {entry['reason']}")
    return said


def _all(changes: list[Json], most: int = 5) -> str:
    more = f"; and {len(changes) - most} more" if len(changes) > most else ""
    return "; ".join(_change(change) for change in changes[:most]) + more


def _change(change: Json) -> str:
    if change["was"] is None or change["is"] is None:
        return f"{change['what']} changed"
    return f"{change['what']} {change['was']} -> {change['is']}"
