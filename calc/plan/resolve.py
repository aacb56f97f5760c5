"""What each row of a list means: names to numbers, ranges, target. Faults become findings, the other rows go on."""

import re
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.findings import CAUTION, STOP, Finding, InputError
from calc.hardware import materials, nuts, threads
from calc.plan.joints import METHODS, NUMBER_COLUMNS, OPERATIONS, Floats, Joints, Lubricant, PlanSettings, RowUnits
from calc.preload import target, torque
from calc.procedure import order, passes
from calc.quantities import QUANTITIES, settle

TARGETS = ("stress", "percent", "load", "torque", "target_gasket_stress")
_RANGED = tuple(name for name in NUMBER_COLUMNS if name in QUANTITIES and name not in ("studs", "at_once"))
"""Columns that are checked against the range of their own quantity; counts and yields have checks of their own."""


class Findings:
    """Collects findings of a list and knows which rows are stopped."""

    def __init__(self, joints: Joints) -> None:
        self.found: list[Finding] = []
        self.stopped = np.zeros(len(joints), dtype=bool)

    def add(self, finding: Finding) -> None:
        """Keep a finding; a stop stops its row."""
        self.found.append(finding)
        if finding.level == STOP:
            self.stopped[finding.row] = True

    def each(self, rows: NDArray[np.bool_], code: str, quantity: str, level: str = STOP, **facts: Any) -> None:
        """The same finding for every row of a mask; facts that are columns give each row its own value."""
        for row in np.flatnonzero(rows):
            own = {k: (float(v[row]) if isinstance(v, np.ndarray) else v) for k, v in facts.items()}
            self.add(Finding(code, quantity, own, level, int(row)))

    def resolve(self, keys: Sequence[Any], rows: NDArray[np.bool_], find: Callable[..., Any]) -> list[Any]:
        """`find(*key)` once per distinct key; None, and the finding on each row, where it refuses."""
        known: dict[Any, Any] = {}
        values: list[Any] = [None] * len(keys)
        for row in np.flatnonzero(rows).tolist():
            key = keys[row]
            if key not in known:
                try:
                    known[key] = find(*key)
                except InputError as error:
                    known[key] = error
            if isinstance(known[key], InputError):
                f = known[key].finding
                self.add(Finding(f.code, f.quantity, f.facts, f.level, row))
            else:
                values[row] = known[key]
        return values


ROWS_NAMED = 3
"""Most other rows of the same name that a finding names; the others are counted."""


def keys(joints: Joints, found: Findings) -> None:
    """Joint and operation name a row; a repeated pair stops both rows."""
    faulty = {(f.row, f.quantity) for f in joints.faults}
    seen: dict[tuple[str, str], list[int]] = {}
    for row, (tag, operation, method) in enumerate(zip(joints.joint, joints.operation, joints.method, strict=True)):
        stated = (("joint", tag, ()), ("operation", operation, OPERATIONS), ("method", method, METHODS))
        for name, value, known in stated:
            if (row, name) in faulty:
                continue
            if not value:
                found.add(Finding("missing", name, {"known": known}, row=row))
            elif known and value not in known:
                found.add(Finding("word_unknown", name, {"text": value, "known": known}, row=row))
        if tag:
            seen.setdefault((tag.casefold(), operation), []).append(row)
    for rows in seen.values():
        if len(rows) > 1:
            for row in rows:
                others = tuple(other for other in rows[: ROWS_NAMED + 1] if other != row)[:ROWS_NAMED]
                facts = {"joint": joints.joint[row], "operation": joints.operation[row], "rows": others}
                found.add(Finding("repeated", "joint", facts | {"more": len(rows) - 1 - len(others)}, row=row))


def breaking(joints: Joints, found: Findings) -> NDArray[np.bool_]:
    """Rows that open a joint: nothing is tightened there, and by hand nothing is planned."""
    rows = np.array([operation == "break" for operation in joints.operation], dtype=bool)
    by_hand = np.array([method == METHODS[1] for method in joints.method], dtype=bool)
    found.each(rows & by_hand, "break_out", "operation", CAUTION)
    return rows


NO_STUDS = frozenset(("flange_not_plain", "flange_from_memory", "flange_of_other_standard", "flange_size_unclear",
                      "flange_class_unclear", "pipe_size_unknown", "pressure_class_unknown", "flange_not_in_table",
                      "metric_flange_unknown"))  # fmt: skip
"""Faults of the reading that say why a row has neither thread nor stud count."""


def given(texts: Sequence[str], name: str, rows: NDArray[np.bool_], found: Findings) -> NDArray[np.bool_]:
    """Rows of a column that must be stated; the empty ones are stopped unless the reading has said why."""
    empty = np.array([text == "" for text in texts], dtype=bool) & rows
    faulty = {f.row for f in found.found if f.quantity == name or f.code in NO_STUDS}
    found.each(empty & ~np.isin(np.arange(len(texts)), list(faulty)), "missing", name, known=())
    return rows & ~empty


def range_of(name: str, values: Floats, rows: NDArray[np.bool_], found: Findings) -> None:
    """Stop the rows whose value lies outside the range of its quantity."""
    q = QUANTITIES[name]
    outside = rows & ((values < q.low) | (values > q.high))
    found.each(outside, "out_of_range", name, value=values, low=q.low, high=q.high)


def ranges(joints: Joints, rows: NDArray[np.bool_], found: Findings) -> None:
    """Check every number of the list against its range; the stud count must be there and whole."""
    for name in _RANGED:
        range_of(name, getattr(joints, name), rows, found)
    faulty = {f.row for f in joints.faults if f.quantity == "studs" or f.code in NO_STUDS}
    stated = ~np.isnan(joints.studs)
    found.each(rows & ~stated & ~np.isin(np.arange(len(joints)), list(faulty)), "missing", "studs", known=())
    found.each(rows & stated & (joints.studs % 1 != 0), "not_whole", "studs", value=joints.studs)
    range_of("studs", joints.studs, rows & stated & (joints.studs % 1 == 0), found)


def across_flats(
    joints: Joints, thread_list: list[Any], mine: NDArray[np.bool_], hydraulic: NDArray[np.bool_], found: Findings
) -> Floats:
    """Size of the nut: as stated in the list, else from the series. Hand rows may leave it open."""
    known = np.array([t is not None for t in thread_list]) & mine & np.isnan(joints.across_flats)
    ask = known & (hydraulic | np.array([s != "" for s in joints.nut_series]) | ~threads.column(thread_list).metric)
    keys = [(t, s or None) for t, s in zip(thread_list, joints.nut_series, strict=True)]
    sizes = found.resolve(keys, ask, nuts.across_flats)
    looked_up = np.array([np.nan if size is None else size for size in sizes])
    return np.where(np.isnan(joints.across_flats), looked_up, joints.across_flats)


def nut_face(
    joints: Joints, thread_list: list[Any], mine: NDArray[np.bool_], mu_t: Floats, bearing: Floats, found: Findings
) -> None:
    """Stop the rows whose torque comes from coefficients and whose nut, and with it its bearing face, is left open."""
    open_face = mine & ~found.stopped & ~np.isnan(mu_t) & np.isnan(bearing) & np.isnan(joints.torque)
    for row in np.flatnonzero(open_face & np.array([t is not None for t in thread_list])):
        facts = {"thread": thread_list[row].designation, "known": nuts.SERIES[2:]}
        found.add(Finding("series_needed", "nut_series", facts, row=int(row)))


def _strength(grade: str, diameter: float, metric: bool, told: bool) -> materials.Strength | None:
    """Strengths of a grade; None for a name not known here, or a size it has no band for, where a yield is stated."""
    try:
        return materials.strength(grade, diameter, metric)
    except InputError as error:
        if told:
            return None
        f = error.finding
        if f.code == "size_outside_grade" and str(f.facts["grade"]).startswith("ISO") and diameter > f.facts["span"][1]:
            raise InputError(Finding(f.code, f.quantity, f.facts, CAUTION)) from None
        raise


def strengths(joints: Joints, thread_list: list[Any], mine: NDArray[np.bool_], found: Findings) -> list[Any]:
    """Strengths of the rows that state a grade; None elsewhere."""
    told = ~np.isnan(joints.yield_strength)
    keys = [
        (g, t and t.diameter, t and t.metric, bool(own))
        for g, t, own in zip(joints.grade, thread_list, told, strict=True)
    ]
    stated = np.array([g != "" for g in joints.grade]) & np.array([t is not None for t in thread_list])
    return found.resolve(keys, mine & stated, _strength)


FAR_BELOW = 0.9
"""A stated yield below this share of its specification's is worth a look. Judgement, no source."""


def yields(
    joints: Joints, known: Sequence[materials.Strength | None], mine: NDArray[np.bool_], found: Findings
) -> tuple[Floats, tuple[str, ...]]:
    """Yield of every row's stud, NaN where none is known, and its source.

    A yield the list states is taken, unless it is above that of the specification. A yield from memory judges a row
    and supplies nothing: a share of it is no target.
    """
    range_of("stud_yield", joints.yield_strength, mine, found)
    values, sources = joints.yield_strength.copy(), [""] * len(joints)
    for row, strength in enumerate(known):
        own = values[row]
        if not np.isnan(own):
            sources[row] = joints.yield_source[row] or "joint list"
        if strength is None or not mine[row]:
            continue
        source = f"{strength.source}, {strength.basis}"
        facts = {"listed": own, "value": strength.yield_strength, "grade": strength.grade, "source": source}
        if np.isnan(own):
            values[row], sources[row] = strength.yield_strength, source
            if not strength.read:
                found.add(Finding("yield_from_memory", "yield_strength", facts, CAUTION, row))
        elif own > strength.yield_strength * (1 + 1e-3):
            found.add(Finding("yield_above", "yield_strength", facts, STOP if strength.read else CAUTION, row))
        elif own < FAR_BELOW * strength.yield_strength:
            found.add(Finding("yield_below", "yield_strength", facts, CAUTION, row))
    share = mine & ~np.isnan(joints.percent) & np.isnan(joints.yield_strength) & ~found.stopped
    unread = np.array([s is None or not s.read for s in known]) & np.array([g != "" for g in joints.grade])
    found.each(share & unread, "yield_needed", "yield_strength")
    return values, tuple(sources)


def friction_of(
    joints: Joints, mine: NDArray[np.bool_], lubricants: Sequence[Lubricant], found: Findings
) -> tuple[Floats, Floats, Floats, tuple[str, ...], tuple[str, ...]]:
    """Nut factor or coefficients of every row, their kind and source; one statement only, or the row stops."""
    k, mu_t, mu_b = joints.nut_factor.copy(), joints.thread_friction.copy(), joints.nut_friction.copy()
    half = mine & (np.isnan(mu_t) != np.isnan(mu_b))
    found.each(half, "coefficients_both", "thread_friction")
    found.each(mine & ~half & ~np.isnan(k) & ~np.isnan(mu_t), "friction_twice", "nut_factor")
    stated = ~np.isnan(k) | ~np.isnan(mu_t)
    source = ["joint list" if s else "" for s in stated]
    table: dict[str, list[Lubricant]] = {}
    for product in lubricants:
        table.setdefault(product.product.casefold(), []).append(product)
    for row in np.flatnonzero(mine & np.array([text != "" for text in joints.lubricant])):
        matches = table.get(joints.lubricant[row].casefold(), [])
        if not matches:
            if not stated[row]:
                known = tuple(product.product for product in lubricants)
                level = CAUTION if not np.isnan(joints.torque[row]) else STOP
                found.add(Finding("lubricant_unknown", "lubricant", {"text": joints.lubricant[row], "known": known},
                                  level, int(row)))  # fmt: skip
            continue
        if len(matches) > 1:
            found.add(Finding("lubricant_twice", "lubricant", {"text": joints.lubricant[row]}, row=int(row)))
            continue
        product = matches[0]
        if stated[row]:
            given = (k[row], product.nut_factor) if not np.isnan(k[row]) else (mu_t[row], product.thread_friction)
            if given[0] != given[1]:
                found.add(Finding("friction_disagrees", "nut_factor", {"listed": given[0], "table": given[1],
                          "product": product.product}, row=int(row)))  # fmt: skip
            continue
        k[row], mu_t[row], mu_b[row] = product.nut_factor, product.thread_friction, product.nut_friction
        source[row] = product.source
    kind = tuple(
        "nut factor" if not np.isnan(a) else "coefficients" if not np.isnan(b) else "not stated"
        for a, b in zip(k, mu_t, strict=True)
    )
    return k, mu_t, mu_b, kind, tuple(source)


_CREEP = re.compile(r"\b(?:creep|relax\w*)\b", re.IGNORECASE)
_INTERACTION = re.compile(r"\b(?:interaction|cross[- ]?talk)\b", re.IGNORECASE)
_TORQUE = re.compile(r"\btorque\b", re.IGNORECASE)
_NAME = re.compile(r"[^\W\d_]{2,}")


def uplift_of(joints: Joints, mine: NDArray[np.bool_], found: Findings) -> tuple[Floats, Floats]:
    """Factors on the target of every row and on its pass before the last, 1 where none is stated.

    It is the engineer's: its reason says what it is for and who states it ("creep, N. Example"). For creep it raises
    the target and so everything that is judged; for interaction only the pass before the closing circular one, and
    every ceiling judges that pass. Never both, never on a specified torque unless the reason says so, never when
    retightening, and above 1 only where a limit of the stud and one of the gasket are stated: else the row stops.
    """
    stated = mine & ~np.isnan(joints.uplift)
    faulty = np.isin(np.arange(len(joints)), [f.row for f in joints.faults if f.quantity == "uplift"])
    lone = mine & ~stated & ~faulty & np.array([text != "" for text in joints.uplift_reason])
    for_passes = np.zeros(len(joints), dtype=bool)
    for at in np.flatnonzero(lone):
        found.add(Finding("uplift_missing", "uplift", {"text": joints.uplift_reason[at]}, row=int(at)))
    for at in np.flatnonzero(stated):
        row = int(at)
        text = joints.uplift_reason[row]
        creep, between = bool(_CREEP.search(text)), bool(_INTERACTION.search(text))
        rest = _TORQUE.sub(" ", _INTERACTION.sub(" ", _CREEP.sub(" ", text)))
        rest = re.sub(r"\b(?:for|of|on|and|the|specified|by)\b", " ", rest, flags=re.IGNORECASE)
        own = {"value": float(joints.uplift[row])}
        if creep == between or not _NAME.search(rest):
            found.add(Finding("uplift_reason", "uplift", {**own, "text": text}, row=row))
        elif joints.operation[row] == "retighten":
            found.add(Finding("uplift_retighten", "uplift", own, row=row))
        elif not np.isnan(joints.torque[row]) and not _TORQUE.search(text):
            found.add(Finding("uplift_on_torque", "uplift", own, row=row))
        elif joints.uplift[row] > 1:
            names = ("stud_maximum", "gasket_maximum")
            if needs := tuple(name for name in names if np.isnan(getattr(joints, name)[row])):
                found.add(Finding("uplift_limits", "uplift", {**own, "needs": needs}, row=row))
        for_passes[row] = between
    factor = np.where(np.isnan(joints.uplift), 1.0, joints.uplift)
    return np.where(for_passes, 1.0, factor), np.where(for_passes, factor, 1.0)


def target_of(
    joints: Joints, thread: threads.Thread, yield_strength: Floats, k: Floats, mu_t: Floats, mu_b: Floats,
    bearing: Floats, mine: NDArray[np.bool_], found: Findings, settings: PlanSettings,
) -> tuple[tuple[str, ...], Floats, Floats, Floats, Floats]:  # fmt: skip
    """Which target each row states, its preload and torque, the area the stress stands on, and the factor on its pass
    before the last.
    """
    stated = np.stack([~np.isnan(getattr(joints, name)) for name in TARGETS])
    number = stated.sum(axis=0)
    faulty = {f.row for f in joints.faults if f.quantity in TARGETS}
    found.each(mine & (number == 0) & ~np.isin(np.arange(len(joints)), list(faulty)), "target_missing", "torque")
    for row in np.flatnonzero(mine & (number > 1)):
        names = tuple(name for name, has in zip(TARGETS, stated[:, row], strict=True) if has)
        found.add(Finding("target_several", "torque", {"names": names}, row=int(row)))
    one = mine & (number == 1)
    basis = tuple(TARGETS[int(stated[:, i].argmax())] if one[i] else "" for i in range(len(joints)))
    up, before_last = uplift_of(joints, mine, found)
    raised = {name: raised_target(getattr(joints, name), up) for name in TARGETS}
    on_area = one & (stated[0] | stated[1])
    needs_area = on_area & np.array([a == "" for a in joints.area])
    found.each(needs_area, "area_needed", "area", known=threads.AREAS)
    unnamed = np.array([g == "" for g in joints.grade]) & np.isnan(joints.yield_strength)
    found.each(one & stated[1] & unnamed, "grade_needed", "grade")
    by_gasket = one & stated[4]
    found.each(by_gasket & np.isnan(joints.gasket_area), "missing", "gasket_area", known=())
    area = np.full(len(joints), np.nan)
    columns: dict[str, Any] = {}
    for name in set(joints.area):
        try:
            columns[name] = threads.area(thread, name)
        except InputError:
            columns[name] = None
    for row in np.flatnonzero(on_area & ~needs_area):
        column = columns[joints.area[row]]
        if column is None:
            found.add(Finding("area_unknown", "area", {"text": joints.area[row], "known": threads.AREAS}, row=int(row)))
        else:
            area[row] = column[row]
    with np.errstate(invalid="ignore"):
        unit = np.where(
            np.isnan(mu_t),
            torque.from_nut_factor(1.0, thread, k),
            torque.from_friction(1.0, thread, mu_t, mu_b, bearing_diameter=bearing, form=settings.form),
        )
        preload = np.where(stated[0], target.from_stress(raised["stress"], area), np.nan)
        least = np.where(thread.shank < threads.stress_diameter(thread), threads.smallest_area(thread), np.inf)
        on = np.fmin(area, least)  # a share of yield stands on the smallest section
        preload = np.where(stated[1], target.from_yield(raised["percent"], yield_strength, on), preload)
        preload = np.where(stated[2], raised["load"], preload)
        per_stud = target.from_gasket(raised["target_gasket_stress"], joints.gasket_area, joints.studs)
        preload = np.where(stated[4], per_stud, preload)
        by_factor = torque.preload_from_nut_factor(raised["torque"], thread, k)
        preload = np.where(stated[3], np.where(np.isnan(mu_t), by_factor, raised["torque"] / unit), preload)
        shown = joints.units
        preload = settle(preload, shown.force if shown else 1.0)
        by_factor = torque.from_nut_factor(preload, thread, k)
        by_coefficients = torque.from_friction(
            preload, thread, mu_t, mu_b, bearing_diameter=bearing, form=settings.form
        )
        needed = settle(np.where(np.isnan(mu_t), by_factor, by_coefficients), shown.torque if shown else 1.0)
        final = np.where(stated[3], raised["torque"], needed)
    return basis, preload, final, area, before_last


def raised_target(stated: Floats, uplift: Floats, units: RowUnits | None = None) -> Floats:
    """What a target is with an uplift, a preload in the `units` of its row; one of 1 leaves every bit as it is."""
    raised = settle(stated * uplift, units.force if units else None)
    return np.where(uplift == 1.0, stated, raised)


def orders(
    joints: Joints, stages: Sequence[passes.Stage], mine: NDArray[np.bool_], together: NDArray[np.int64],
    found: Findings, settings: PlanSettings,
) -> tuple[str, ...]:  # fmt: skip
    """The order of every row as `order.given` reads it, "" for the cross order of its stud count.

    A scheme with an order of its own gives it to every row that it makes up; a row that states another one stops, and
    so does one whose studs or wrenches the scheme does not suit. Retightening goes round whatever the scheme.
    """
    own = passes.own_order(stages)
    needed, fewest = max(stage.wrenches for stage in stages), passes.fewest_studs(stages)
    texts = list(joints.order)
    keys: list[tuple[str, int, int] | None] = [None] * len(joints)
    scheme = passes.named(settings.scheme) or settings.scheme
    for row in np.flatnonzero(mine & ~found.stopped).tolist():
        studs, pulling, text = int(joints.studs[row]), int(together[row]), texts[row]
        if own and joints.operation[row] != passes.RETIGHTEN:
            if text and order.named(text) != own and passes.named(text) != scheme:
                found.add(Finding("order_of_scheme", "order", {"text": text, "scheme": scheme, "order": own}, row=row))
                continue
            if own in order.OF_QUARTERS and (studs % 4 or studs < fewest):
                found.add(
                    Finding("scheme_studs", "studs", {"scheme": scheme, "least": fewest, "studs": studs}, row=row)
                )
                continue
            if pulling < needed:
                facts: dict[str, Any] = {"scheme": scheme, "least": needed, "at_once": pulling}
                found.add(Finding("scheme_wrenches", "at_once", facts, row=row))
                continue
            texts[row] = text = own
        keys[row] = (text, studs, pulling)
    found.resolve(keys, np.array([key is not None and key[0] != "" for key in keys], dtype=bool), order.given)
    return tuple(texts)


def raised_pass(
    raised: Floats, stages: Sequence[passes.Stage], mine: NDArray[np.bool_], found: Findings, settings: PlanSettings
) -> None:
    """Stop the rows whose pass before the last is raised for interaction where that pass leaves studs out."""
    if stages[passes.before_last(stages)].first is not None:
        found.each(mine & (raised != 1), "uplift_scheme", "uplift", scheme=settings.scheme)


def at_once(joints: Joints, mine: NDArray[np.bool_], settings: PlanSettings, found: Findings) -> NDArray[np.int64]:
    """Wrenches that pull at once: as the row says, else the setting; the stud count must be shared evenly."""
    wanted = np.where(np.isnan(joints.at_once), settings.at_once, joints.at_once)
    hydraulic = np.array([m == METHODS[0] for m in joints.method], dtype=bool) & mine
    wanted = np.where(hydraulic, wanted, 1)
    known = np.isin(wanted, (1, 2, 4))
    found.each(hydraulic & ~known, "at_once_unknown", "at_once", value=wanted)
    with np.errstate(invalid="ignore"):
        uneven = hydraulic & known & ~found.stopped & (joints.studs % wanted != 0)
    found.each(uneven, "at_once_divides", "at_once", value=wanted, studs=joints.studs)
    return np.where(known, wanted, 1).astype(np.int64)
