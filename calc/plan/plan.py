"""Joints in, plans out: resolve names, check ranges, calculate, choose wrenches, warn. One path for one row or many."""

from collections.abc import Mapping, Sequence

import numpy as np

from calc.hardware import friction, threads
from calc.plan import breakout, cautions, hand, like_joints, limits, remarks, resolve, studs, time, unstated
from calc.plan.joints import METHODS, OTHER, PLANNED, STOPPED, Joints, Lubricant, PlanSettings
from calc.plan.plans import Plans
from calc.plan.pulling import choose, uncertainties
from calc.preload import torque
from calc.procedure import passes
from calc.quantities import settle
from calc.wrench.choice import Gauge, Wrench

NO_TOOLS = hand.HandTools()


def plan_joints(
    joints: Joints,
    wrenches: Sequence[Wrench],
    gauges: Mapping[str, Gauge],
    lubricants: Sequence[Lubricant],
    settings: PlanSettings,
    tools: hand.HandTools = NO_TOOLS,
) -> Plans:
    """Plan a whole list: preload, torque, wrench, setpoint and passes of every row, and what stopped the others.

    `tools` are the hand torque wrenches and multipliers, where they are listed.

    Raises InputError only for what concerns the list as a whole (an unknown scheme); everything else is a finding.
    """
    stages = passes.scheme(settings.scheme)
    found = resolve.Findings(joints)
    for fault in joints.faults:
        found.add(fault)
    resolve.keys(joints, found)
    breaking = resolve.breaking(joints, found)
    mine = np.array([m in METHODS[:2] for m in joints.method], dtype=bool) & ~breaking
    hydraulic = np.array([m == METHODS[0] for m in joints.method], dtype=bool) & mine
    remarks.under_pressure(joints, mine | breaking, found)
    remarks.hot_studs(joints, mine | breaking, found)
    resolve.ranges(joints, mine, found)
    opening = breakout.stated(joints, breaking, settings, found)

    threaded = resolve.given(joints.thread, "thread", mine | breakout.unsized(joints, opening), found)
    threaded |= opening & np.array([text != "" for text in joints.thread], dtype=bool)
    thread_list = found.resolve([(t,) for t in joints.thread], threaded, threads.parse)
    thread = threads.column(thread_list)
    thread = threads.column(thread_list, studs.shanks(joints, np.asarray(thread.diameter), mine | opening, found))
    flats = resolve.across_flats(joints, thread_list, mine | opening, hydraulic | opening, found)
    strengths = resolve.strengths(joints, thread_list, mine | opening, found)
    yield_strength, yield_source = resolve.yields(joints, strengths, mine | opening, found)
    nut_grade = studs.nuts(joints, thread_list, strengths, mine, found)
    studs.reduced(thread, mine | opening, found)
    k, mu_t, mu_b, kind, source = resolve.friction_of(joints, mine, lubricants, found)
    bearing = np.asarray(friction.bearing_diameter(thread, flats))
    resolve.nut_face(joints, thread_list, mine, mu_t, bearing, found)

    basis, preload, final, area, raised = resolve.target_of(
        joints, thread, yield_strength, k, mu_t, mu_b, bearing, mine, found, settings
    )
    needs = mine & np.isnan(k) & np.isnan(mu_t)
    found.each(needs & np.array([b not in ("", "torque") for b in basis]), "friction_needed", "nut_factor")
    blind = needs & np.array([b == "torque" for b in basis])
    reaches = unstated.judge(resolve.raised_target(final, raised), thread, yield_strength, blind, found)
    with np.errstate(invalid="ignore"):
        twisting = np.where(np.isnan(mu_t), friction.coefficient_from_nut_factor(k, thread, bearing), mu_t)
        highest = resolve.raised_target(preload, raised, joints.units)
        stress = settle(torque.combined_stress(highest, thread, twisting))
        over = mine & (stress > settings.yield_fraction * yield_strength)
    found.each(over, "yield_exceeded", "combined_stress", reached=stress, yield_strength=yield_strength,
               fraction=settings.yield_fraction)  # fmt: skip
    resolve.range_of("torque", final, mine & ~found.stopped, found)
    judged = limits.judge(joints, thread, preload, highest, yield_strength, twisting, mine, found, settings)

    at_once = resolve.at_once(joints, mine, settings, found)
    orders = resolve.orders(joints, stages, mine, at_once, found, settings)
    resolve.raised_pass(raised, stages, mine, found, settings)
    pulling, count, pressure, there = choose(
        joints, flats, final, at_once, hydraulic & ~found.stopped, wrenches, gauges, stages, settings, found, raised
    )
    full = next(i for i, stage in enumerate(stages) if stage.pattern == passes.CIRCULAR)
    bounds = limits.bounds_of(
        judged, thread, preload, highest, yield_strength, twisting, k, lubricants, mine, found, settings,
        uncertainties(pulling), limits.gauge_errors(pulling, pressure[:, :, full]),
    )  # fmt: skip
    goes = passes.pulled(stages, joints.operation, joints.studs)
    for settings_of in (count, pressure, there):
        settings_of[~np.broadcast_to(goes[:, np.newaxis, :], settings_of.shape)] = np.nan
    breakouts = breakout.breakouts(
        joints, opening, thread, flats, yield_strength, wrenches, gauges, lubricants, settings, found
    )
    mine_and_well = mine & ~found.stopped
    well = mine_and_well | (opening & ~found.stopped)
    like_joints.compare(joints, mine, thread, basis, k, preload, found)
    with np.errstate(invalid="ignore", divide="ignore"):
        on_area = np.where(np.isnan(joints.stress), preload / area, joints.stress)
        on_area = np.where(np.isnan(on_area), preload / np.asarray(threads.tensile_area(thread)), on_area)
    named = [[candidate.wrench.name for candidate in row] for row in pulling]
    remarks.compare(
        joints, mine_and_well, lubricants, k, final, on_area, ~np.isnan(area), np.asarray(thread.diameter),
        [wrench.name for wrench in wrenches], named, at_once, found,
    )  # fmt: skip
    status = tuple(STOPPED if found.stopped[i] else PLANNED if well[i] else OTHER for i in range(len(joints)))
    blank = np.where(mine_and_well, 1.0, np.nan)
    plans = Plans(
        status=status,
        method=joints.method,
        thread=thread,
        designation=tuple("" if t is None else t.designation for t in thread_list),
        grade=tuple(g if s is None else s.grade for s, g in zip(strengths, joints.grade, strict=True)),
        nut_grade=nut_grade,
        across_flats=flats * blank,
        area=area * blank,
        yield_strength=yield_strength * blank,
        yield_source=yield_source,
        nut_factor=k * blank,
        thread_friction=mu_t * blank,
        nut_friction=mu_b * blank,
        friction_kind=kind,
        reaches_yield_at=reaches,
        friction_source=source,
        preload=preload * blank,
        torque=final * blank,
        raised=raised,
        combined_stress=stress * blank,
        target=basis,
        studs=joints.studs,
        at_once=at_once,
        order=orders,
        stages=stages,
        pass_torque=np.where(goes, passes.stage_torque(final * blank, stages, raised), np.nan),
        pulling=pulling,
        count=count,
        pressure=pressure,
        torque_there=there,
        settings=settings,
        bounds=bounds,
        breakouts=breakouts,
        times=time.times(joints, thread, preload * blank, pulling, at_once, stages),
        findings=tuple(found.found),
    )
    return cautions.warn(plans, joints, wrenches, tools)
