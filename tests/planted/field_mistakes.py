"""What people get wrong in one row of a joint list: flange, grade, friction, gasket, names, dates, remarks."""

import re
from collections.abc import Callable
from typing import Any

from case import MISTAKES, ROW, Case, Words, field, swap

FRICTION: Words = [["nut factor", "friction", "lubricant", "L-"]]
GRADE: Words = [["grade", "B7", "B16", "B8", "8.8", "10.9", "specification", "yield", "ceiling"]]
REMARK: Words = [["remark", "comment", "note"]]
FLANGE: Words = [["flange", "class", "NPS", "size", "studs", "length", "B16.5"]]
LENGTH: Words = [["length"]]
EQUIPMENT: Words = [["equipment", "tag"]]
HAND: Words = [["hand", "torque", "yield"]]
GASKET: Words = [["gasket", "area", "yield", "stress"]]


def _of(table: dict[Any, Any]) -> Callable[[Case, Any], Any]:
    return lambda case, value: table.get(value)


def _another(name: str) -> Callable[[Case, Any], Any]:
    return lambda case, value: case.other(name)


CLASSES = {"150": "300", "300": "600", "600": "900", "900": "600", "1500": "900"}
field("flange: another size", "size", _another("size"), FLANGE, "row", "rating")
field("flange: another class", "rating", _of(CLASSES), FLANGE, "row", "size")
field("flange: stud length of another row", "length", _another("length"), LENGTH, "row", "size rating")
field("flange: stud length in mm", "length", lambda case, v: round(v * 25.4), LENGTH, "row")

field("grade: of another row", "grade", _another("grade"), GRADE, "list")
field("grade: B7M for B7", "grade", _of({"A193 B7": "A193 B7M", "A193 B7M": "A193 B7"}), GRADE, "list")
field("grade: B8 class 2 for B7", "grade", _of({"A193 B7": "A193 B8 class 2"}), GRADE, "list")
METRIC = {"A193 B7": "A193M B7", "A193 B16": "A193M B16", "A193M B7": "A193 B7"}
field("grade: specification of the other unit system", "grade", _of(METRIC), GRADE, "row")
field("grade: 10.9 for 8.8", "grade", _of({"ISO 898-1 8.8": "ISO 898-1 10.9"}), GRADE, "list")
field(
    "area: root and tensile changed over", "area",
    lambda case, v: "tensile" if v != "tensile" else "root B1.1" if case.inch else "root ISO",
    [["area", "root", "tensile"]], "list",
)  # fmt: skip


def _product(case: Case, value: str) -> str:
    return case.rng.choice([name for name in case.plant.products if name != value])


def _last_digit(case: Case, value: float) -> float:
    text = f"{value:.2f}"
    return float(text[:-1] + case.rng.choice(ROW[text[-1]]))


field("lubricant: of another row or the neighbouring product", "lubricant", _product, FRICTION, "list")
field("lubricant: left empty", "lubricant", lambda case, v: "", FRICTION, "row")
field("lubricant: not in the book", "lubricant", lambda case, v: v[:-1] + str((int(v[-1]) + 5) % 10), FRICTION, "book")
field("nut factor: two digits changed over", "nut_factor", lambda case, v: swap(case.rng, v), FRICTION, "list")
field("nut factor: key beside it", "nut_factor", _last_digit, FRICTION, "list")
field("nut factor: dry instead of lubricated", "nut_factor", lambda case, v: 0.2, FRICTION, "list")
field(
    "nut factor: decimal point slipped", "nut_factor", lambda case, v: v * case.rng.choice([10, 0.1]), FRICTION, "row"
)
field("nut factor: a friction coefficient in its place", "nut_factor", lambda case, v: 0.1, FRICTION, "list")
field("friction: digits changed over", "thread_friction", _of({0.12: 0.21, 0.13: 0.31, 0.14: 0.41}), FRICTION, "row")
field("friction: under the nut, key beside it", "nut_friction", _last_digit, FRICTION, "list")
field("friction: per cent", "thread_friction", lambda case, v: v * 100, FRICTION, "row")

field("gasket stress: digits changed over", "gasket_stress", lambda case, v: 51000, GASKET, "row")
field("gasket area: mm² in a column of in²", "gasket_area", lambda case, v: round(v * 645.16), GASKET, "row")
field("gasket area: of another row", "gasket_area", _another("gasket_area"), GASKET, "list")


def _other_tag(case: Case, value: str) -> str:
    return re.sub(r"^[A-Z]-\d+", str(case.other("equipment")), value) + "A"


def _large_by_hand(case: Case, value: str) -> str | None:
    large = case.inch in ("1-3/8", "1-1/2", "1-5/8", "1-3/4", "1-7/8", "2") or (case.row.get("torque") or 0) > 1000
    return "hand" if value == "hydraulic" and large else None


def _month_first(case: Case, value: Any) -> Any:
    return value.replace(month=value.day, day=value.month) if value.day < 13 and value.day != value.month else None


def _largest(case: Case, value: float) -> float | None:
    return max(row["torque"] for row in case.plant.rows) if case.row["method"] == "hand" else None


field("equipment: not the one of the tag", "equipment", _another("equipment"), EQUIPMENT, "row", "joint")
field("tag: of another item", "joint", _other_tag, EQUIPMENT, "row", "equipment")
field("tag: twice", "joint", _another("joint"), [["twice", "stands", "same", "again"]], "list")
field("method: by hand for a large stud", "method", _large_by_hand, [["hand"]], "row")
CERTIFICATE: Words = [["certificate", "date", "valid"]]
field("date: a year late", "date", lambda case, v: v.replace(year=2027, month=12), CERTIFICATE, "book")
field("date: day and month changed over", "date", _month_first, [["date"]], "list")
field(
    "hand row: a zero too many", "torque", lambda case, v: v * 10 if case.row["method"] == "hand" else None, HAND, "row"
)
field("hand row: torque of a hydraulic row", "torque", _largest, HAND, "row")


def remark(name: str, text: Callable[[Case], str | None]) -> None:
    """A remark that says something else than the row does: the row was not brought up to date."""
    field(f"remark: {name}", "remarks", lambda case, value: text(case), REMARK, "row")


def _another_product(case: Case) -> str | None:
    if not case.has("lubricant"):
        return None
    other = _product(case, case.row["lubricant"])
    if case.target != "torque":
        case.row["_right"] = case.plant.products[other] / case.plant.products[case.row["lubricant"]]
    return f"use {other} on this joint"


def _another_torque(case: Case) -> str:
    metric = case.plant.style.book != "US"
    value = case.rng.choice([310, 480, 725, 1100, 1640, 2250])
    case.row["_torque"] = value * (1.0 if metric else 1.3558179483314004)
    return f"{value} {'Nm' if metric else 'ft-lb'} per engineer, {case.rng.choice(['3 Aug', 'see mail'])}"


def _another_stress(case: Case) -> str | None:
    if case.target != "stress":
        return None
    said = [
        ("stress reduced to 35 ksi, gasket maker", 35e3),
        ("tighten to 30000 psi only", 30e3),
        ("240 MPa max.", 34809),
    ]
    text, psi = case.rng.choice(said)
    case.row["_right"] = psi / (case.row["stress"] * {"psi": 1, "ksi": 1000, "MPa": 145.0377}[case.unit])
    return text if abs(case.row["_right"] - 1) > 0.02 else None


def _pick(*texts: str) -> Callable[[Case], str]:
    return lambda case: case.rng.choice(texts)


def _in_service(case: Case) -> str:
    case.row["_right"] = 0.0  # no setting is right
    return _pick("hot bolting, line stays on-stream", "to be tightened under pressure", "live bolting, one by one")(
        case
    )


remark("another product", _another_product)
remark("another torque", _another_torque)
remark("another stress", _another_stress)
remark("another grade", _pick("studs changed to B8M cl. 2", "now B16 studs", "fitted with 10.9"))
remark("other studs", _pick("flange bored to 1 1/2 studs in 2024", "studs are M52 since last outage"))
remark("line stays in service", _in_service)

__all__ = ["FRICTION", "MISTAKES"]
