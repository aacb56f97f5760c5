"""One recorded pass against its plan: setting, torque through the tables of what was used, certificates."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

from calc.findings import Finding
from calc.quantities import settle
from calc.review.as_tightened import DRIFT, NAN, Book, Done, Planned, PlannedPass, Tool, Used, reason, same_number
from calc.wrench.calibration import Curve, above, on_end, torque_at
from calc.wrench.choice import Gauge, Link, Wrench, allowed_pressure, curve_at_nut, same_flats


def review_pass(
    planned: Planned, step: PlannedPass, done: Done, book: Book, used: list[Used], together: Sequence[str] = ()
) -> list[Finding]:
    """Reasons of one pass; what was used is added to `used`. `together`: wrenches that other rows name for it."""
    at = {"passes": (step.number,)}
    found = [reason("day_not_stated", **at)] if math.isnan(done.day) else []
    if not done.by:
        found.append(reason("by_not_stated", **at))
    if planned.hand:
        return found + _by_hand(planned, step, done, book, used)
    names = done.wrenches or (tuple(t.wrench for t in planned.tools) if "wrench" in done.same else ())
    tools = {tool.wrench.casefold(): tool for tool in (*planned.alternates, *planned.tools)}
    pumped = [name for name in names if name.casefold() not in book.by_hand]
    by_plan = _by_other_means(planned, step, pumped, tools)
    if math.isnan(done.pressure) and (not math.isnan(done.torque) or (by_plan and "pressure" in done.same)):
        if not by_plan:
            found.append(reason("other_means", **at, planned=tuple(t.wrench for t in planned.tools)))
        return found + _by_torque(planned, step, done, book, used)
    if not names:
        return found + _without_wrench(step, done, book, used)
    pulling = {tool.wrench.casefold() for tool in planned.tools}
    for name in names:
        wrench = book.wrenches.get(name.casefold())
        if wrench is None:
            found.append(reason("wrench_not_in_book", **at, wrench=name))
            used.append(Used(step.number, name, done.link, done.gauge, done.pressure, NAN, done.day))
            continue
        own = tools.get(name.casefold())
        found += _pulled(planned, step, done, book, wrench, own, used)
        if name.casefold() not in pulling and not _as_printed(used, step.number, own):
            found.append(_instead(planned, step, wrench, used))
    pulled = {name.casefold() for name in (*names, *together)}
    stood_by = [t.wrench for t in planned.tools if t.wrench.casefold() not in pulled]
    if stood_by and len(pulled) < len(planned.tools):
        found.append(reason("wrench_left_out", **at, wrenches=tuple(stood_by)))
    return found


def _without_wrench(step: PlannedPass, done: Done, book: Book, used: list[Used]) -> list[Finding]:
    """A pass that names no wrench: its pressure gives no torque; the gauge can still be looked at."""
    at = {"passes": (step.number,)}
    gauge = book.gauges.get(done.gauge.casefold())
    if math.isnan(done.pressure):
        found = [reason("wrench_not_stated", **at), reason("pressure_missing", **at)]
    else:
        found = [reason("pressure_without_wrench", **at, pressure=done.pressure)]
    found += _gauge(gauge, done.gauge, step.number, done.day, book)
    if not done.gauge:
        found.append(reason("gauge_missing", **at))
    if done.gauge or not math.isnan(done.pressure):
        used.append(Used(step.number, "", done.link, done.gauge, done.pressure, NAN, done.day))
    return found


def _gauge(gauge: Gauge | None, name: str, number: int, day: float, book: Book) -> list[Finding]:
    """What is to be said of a gauge that a record or the plan names."""
    if gauge is None:
        return [reason("gauge_not_in_book", passes=(number,), gauge=name)] if name else []
    found = certificate(gauge.name, gauge.calibrated, gauge.valid_until, "gauge", number, day)
    return found + resting(gauge.name, number, day, book)


def resting(name: str, number: int, day: float, book: Book) -> list[Finding]:
    """A tool that was not to be trusted on its day of use; on a day that is not stated it may have been that day."""
    since, until = book.resting.get(name.casefold(), (math.inf, math.inf))
    if since == until == math.inf or day < since or day > until:
        return []
    return [reason("tool_not_trusted", passes=(number,), tool=name, resting=(since, until))]


def _by_other_means(planned: Planned, step: PlannedPass, names: Sequence[str], tools: Mapping[str, Tool]) -> bool:
    """Whether the plan has a pass done by other means, with the wrenches planned or with the alternates named."""
    own = [tools[name.casefold()] for name in names if name.casefold() in tools] if names else planned.tools
    return bool(own or not names) and all(math.isnan(tool.pressures.get(step.number, NAN)) for tool in own)


def _instead(planned: Planned, step: PlannedPass, wrench: Wrench, used: Sequence[Used]) -> Finding:
    """Another wrench than planned, with the torque that its own table gives."""
    facts = {"passes": (step.number,), "wrench": wrench.name, "planned": tuple(t.wrench for t in planned.tools)}
    last = used[-1]
    if math.isnan(last.torque):
        return reason("other_wrench_no_torque", **facts)
    share = last.torque / step.torque - 1
    return reason("other_wrench", **facts, pressure=last.pressure, torque=last.torque, share=share)


def _as_printed(used: Sequence[Used], number: int, tool: Tool | None) -> bool:
    """Whether a wrench was set as its card has it for that pass."""
    if tool is None or not used or used[-1].number != number or used[-1].wrench != tool.wrench:
        return False
    last = used[-1]
    return last.link == tool.link and same_number(last.pressure, tool.pressures.get(number, NAN))


def _by_hand(planned: Planned, step: PlannedPass, done: Done, book: Book, used: list[Used]) -> list[Finding]:
    found = []
    if not math.isnan(done.pressure):
        found.append(reason("pressure_by_hand", passes=(step.number,), pressure=done.pressure))
    return found + _by_torque(planned, step, done, book, used)


def _by_torque(planned: Planned, step: PlannedPass, done: Done, book: Book, used: list[Used]) -> list[Finding]:
    """A pass whose torque is stated itself: by hand or by other means, and the tool it was done with."""
    at = {"passes": (step.number,)}
    torque = step.torque if math.isnan(done.torque) and "torque" in done.same else done.torque
    if math.isnan(torque):
        return [reason("torque_not_stated", **at)]
    name, found = _hand_tool(planned, step, done, book, torque)
    used.append(Used(step.number, name, "", "", NAN, torque, done.day))
    share = torque / step.torque - 1
    if not above(abs(share), planned.tolerance) or same_number(torque, step.torque):
        return found
    facts = {"torque": torque, "planned": step.torque, "share": share, "tolerance": planned.tolerance}
    return [*found, reason("hand_torque_off", **at, **facts)]


def _hand_tool(planned: Planned, step: PlannedPass, done: Done, book: Book, torque: float) -> tuple[str, list[Finding]]:
    """The hand torque wrench of a pass as stated or as planned, and what is to be said of it."""
    at = {"passes": (step.number,)}
    names = tuple(name for name in done.wrenches if planned.hand or name.casefold() not in book.wrenches)
    if not names and "wrench" in done.same:
        names = tuple(filter(None, (planned.by_hand.get(step.number, ""),)))
    if not names:
        return "", [reason("hand_tool_not_stated", **at)]
    found = []
    for name in names:
        tool = book.by_hand.get(name.casefold())
        if tool is None:
            found.append(reason("hand_tool_not_in_book", **at, wrench=name))
            continue
        found += certificate(tool.name, tool.first, tool.last, "hand torque wrench", step.number, done.day)
        found += resting(tool.name, step.number, done.day, book)
        if len(names) == 1 and not tool.low <= torque <= tool.high:
            found.append(reason("hand_tool_range", **at, wrench=tool.name, torque=torque, low=tool.low, high=tool.high))
    return " and ".join(names), found


def _pulled(
    planned: Planned, step: PlannedPass, done: Done, book: Book, wrench: Wrench, own: Tool | None, used: list[Used]
) -> list[Finding]:
    """One wrench of a pass: its setting, its torque through its own table, its certificate and its gauge's."""
    at = {"passes": (step.number,), "wrench": wrench.name}
    found = certificate(wrench.name, wrench.calibrated, wrench.valid_until, "wrench", step.number, done.day)
    found += resting(wrench.tool, step.number, done.day, book)
    share = book.drifts.get(wrench.name.casefold(), 0.0)
    if not abs(share) <= DRIFT:  # NaN: it has no table now
        found.append(reason("wrench_drift", tool=wrench.name, share=share, limit=DRIFT))
    gauge_name = done.gauge or (own.gauge if own and "gauge" in done.same else "")
    gauge = book.gauges.get(gauge_name.casefold())
    found += _gauge(gauge, gauge_name, step.number, done.day, book)
    if not gauge_name and math.isnan(done.pressure):
        found.append(reason("gauge_not_stated", **at))
    elif not gauge_name:
        found.append(reason("pressure_without_gauge", **at, pressure=done.pressure))
    pressure = done.pressure
    if math.isnan(pressure) and own is not None and "pressure" in done.same:
        pressure = own.pressures.get(step.number, NAN)
    link, why = _link(planned, done, wrench, own)
    found += [reason(item.code, **at, **item.facts) for item in why]
    torque = NAN
    if math.isnan(pressure):
        found.append(reason("pressure_not_stated", **at))
    elif wrench.curve is None and not any(each.curve for each in wrench.links):
        found.append(reason("wrench_unusable", **at, faults=wrench.faults))
    else:
        curve = curve_at_nut(wrench, link) if link is not None else wrench.curve
        found += _possible(wrench, curve, gauge, pressure, at)
        if link is not None and curve is not None:
            torque = float(settle(torque_at(curve, pressure)))
    used.append(Used(step.number, wrench.name, link.name if link else "", gauge_name, pressure, torque, done.day))
    if math.isnan(torque) or link is None:
        return found
    if above(torque, link.torque_limit):
        found.append(reason("torque_above_link", **at, link=link.name, torque=torque, limit=link.torque_limit))
    share = torque / step.torque - 1
    if above(abs(share), planned.tolerance) and not _as_printed(used, step.number, own):
        facts = {"pressure": pressure, "torque": torque, "planned": step.torque, "share": share}
        found.append(reason("torque_off", **at, **facts, tolerance=planned.tolerance))
    return found


def certificate(name: str, calibrated: float, valid_until: float, of: str, number: int, day: float) -> list[Finding]:
    """A certificate that did not cover the day, or whose end is not stated; without a day there is nothing to say."""
    if math.isnan(day) or (not day < calibrated and day <= valid_until):
        return []
    facts = {"tool": name, "date": day, "calibrated": calibrated, "valid_until": valid_until, "of": of}
    return [reason("certificate_not_valid", passes=(number,), **facts)]


def _link(planned: Planned, done: Done, wrench: Wrench, own: Tool | None) -> tuple[Link | None, list[Finding]]:
    """The link that was used: as stated, as planned, or the only one of that wrench for this nut."""
    name = done.link or (own.link if own and "link" in done.same else "")
    if name:
        link = next((each for each in wrench.links if each.name.casefold() == name.casefold()), None)
        if link is None:
            return None, [reason("link_not_in_book", link=name, known=tuple(each.name for each in wrench.links))]
        if not math.isnan(planned.across_flats) and not same_flats(link.across_flats, planned.across_flats):
            return link, [reason("link_size", link=link.name, size=link.across_flats, flats=planned.across_flats)]
        return link, []
    fitting = [each for each in wrench.links if same_flats(each.across_flats, planned.across_flats)]
    if len(fitting) == 1:
        return fitting[0], []
    return None, [reason("link_not_stated", flats=planned.across_flats, count=len(fitting))]


def _possible(
    wrench: Wrench, curve: Curve | None, gauge: Gauge | None, pressure: float, at: Mapping[str, Any]
) -> list[Finding]:
    """A pressure that the table or a rating does not allow to be right."""
    if curve is None:
        return []
    low, high = float(curve.pressure[0]), float(curve.pressure[-1])
    found = []
    at_end = float(on_end(pressure, curve.pressure))
    if not low <= at_end <= high:
        found.append(reason("pressure_not_in_table", **at, pressure=pressure, low=low, high=high))
    allowed = allowed_pressure(wrench, gauge)
    if above(pressure, allowed):
        found.append(reason("pressure_above_rating", **at, pressure=pressure, limit=allowed))
    return found
