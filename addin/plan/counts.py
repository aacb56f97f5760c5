"""Counts of a plan, joint by joint: rows by status, method, wrench and day, and hours of work."""

from collections import Counter

from addin.plan.record_joint import JointEntry

NO_DAY = "no date"
BY_HAND = "by hand"


class PlanCounts:
    """`rows` by what is counted; hours by day and by wrench; `untimed` planned rows whose time is not known."""

    def __init__(self) -> None:
        self.rows: dict[str, Counter[str]] = {name: Counter() for name in ("status", "method", "wrench", "day")}
        self.hours: dict[str, dict[str, float]] = {"wrench": {}, "day": {}}
        self.untimed = 0

    def add(self, joint: JointEntry) -> None:
        """Count one joint. One that several wrenches pull counts with each of them, its time too: each is in use."""
        self.rows["status"][joint.said_status] += 1
        if not joint.planned:
            return
        day = joint.date or NO_DAY
        wrenches = list(dict.fromkeys(tool.wrench for tool in joint.tools)) or [BY_HAND]
        self.rows["method"][joint.method] += 1
        self.rows["day"][day] += 1
        for wrench in wrenches:
            self.rows["wrench"][wrench] += 1
        if not (joint.duration and joint.duration.value):
            self.untimed += 1
            return
        hours = joint.duration.value / 60
        for name, each in (("day", day), *(("wrench", wrench) for wrench in wrenches)):
            self.hours[name][each] = self.hours[name].get(each, 0.0) + hours
