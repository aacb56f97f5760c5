"""Minimum yield strength of stud materials by specification, class and size.

A yield comes from the specification named: A193 and A193M differ, and neither is converted into the other.
"""

import re
from dataclasses import dataclass
from functools import cache

from calc.findings import stop
from calc.tables import load


@dataclass(frozen=True)
class Strength:
    """Minimum strengths of one grade in one band of sizes, with the row's source."""

    grade: str
    yield_strength: float
    tensile_strength: float
    source: str
    basis: str


@dataclass(frozen=True)
class _Band:
    over: float
    to: float
    strength: Strength


def _name(grade: str, class_: str) -> str:
    return f"{grade} class {class_}" if class_ else grade


@cache
def _grades() -> dict[str, tuple[_Band, ...]]:
    grades: dict[str, list[_Band]] = {}
    for table in ("materials_astm", "materials_astm_si", "materials_iso898"):
        for row in load(table).rows:
            name = _name(str(row["grade"]), str(row["class"] or ""))
            strength = Strength(name, float(row["yield"]), float(row["tensile"]), str(row["source"]), str(row["basis"]))
            top = float("inf") if row["to"] is None else float(row["to"])
            grades.setdefault(name, []).append(_Band(float(row["over"] or 0.0), top, strength))
    return {name: tuple(sorted(bands, key=lambda band: band.to)) for name, bands in grades.items()}


def grades() -> tuple[str, ...]:
    """Every grade known here, as its specification writes it, with the class where there are several."""
    return tuple(_grades())


@cache
def highest_yield() -> float:
    """The highest minimum yield of any grade known here. [Pa]

    >>> highest_yield() / 1e6
    1100.0
    """
    return max(band.strength.yield_strength for bands in _grades().values() for band in bands)


_GRADE = re.compile(
    r"(?:(?:ASTM|ASME)?\s*S?A\s*-?\s*(?P<spec>193M?|320M?|453M?))?\s*[-/]?\s*(?:GR(?:ADE)?\.?)?\s*"
    r"(?P<grade>B7M|B7|B16|B8M|B8|L7M|L7|L43|660)\s*[-,/]?\s*(?:CL(?:ASS)?\.?\s*)?(?P<class>[12ABCD]|A/B/C)?",
    re.IGNORECASE,
)
_ISO = re.compile(
    r"(?:ISO\s*898(?:-1)?)?\s*(?:CL(?:ASS)?\.?|PROPERTY CLASS|GR(?:ADE)?\.?)?\s*(?P<class>8\.8|9\.8|10\.9|12\.9)",
    re.IGNORECASE,
)
_SPEC = {"B7": "A193", "B7M": "A193", "B16": "A193", "B8": "A193", "B8M": "A193", "L7": "A320", "L7M": "A320",
         "L43": "A320", "660": "A453"}  # fmt: skip


@cache
def grade_name(text: str, metric: bool) -> str:
    """The grade that a text names, as listed in `grades`.

    Without a specification, an inch stud has the one whose table is in inches; a metric stud must say which of two.

    Raises InputError: `grade_unknown`, `class_needed`, `specification_needed`.

    >>> grade_name("ASTM A193 Gr. B8M Cl.2", metric=False), grade_name("10.9", metric=True)
    ('A193 B8M class 2', 'ISO 898-1 10.9')
    """
    clean = " ".join(str(text).split())
    if match := _ISO.fullmatch(clean):
        return f"ISO 898-1 {match['class']}"
    match = _GRADE.fullmatch(clean)
    if not match:
        raise stop("grade_unknown", "grade", text=text, known=grades())
    grade, class_ = match["grade"].upper(), (match["class"] or "").upper()
    if match["spec"]:
        spec = f"A{match['spec'].upper()}"
    else:
        spec = _SPEC[grade]
        if metric and f"{spec}M {grade}" in grades():
            raise stop("specification_needed", "grade", text=text, known=(f"{spec} {grade}", f"{spec}M {grade}"))
    name = f"{spec} {grade}"
    classes = [
        known.removeprefix(name).removeprefix(" class ") for known in grades() if known.split(" class ")[0] == name
    ]
    if not classes:
        raise stop("grade_unknown", "grade", text=text, known=grades())
    if classes == [""]:
        if class_:
            raise stop("grade_unknown", "grade", text=text, known=grades())
        return name
    chosen = [known for known in classes if class_ and class_ in known.split("/") or class_ == known]
    if len(chosen) != 1:
        raise stop("class_needed", "grade", text=text, known=tuple(_name(name, known) for known in classes))
    return _name(name, chosen[0])


@cache
def strength(text: str, diameter: float, metric: bool) -> Strength:
    """Minimum strengths of a grade for a nominal diameter [m].

    Raises InputError: those of `grade_name`, and `size_outside_grade` where the specification has no band.

    >>> round(strength("A193 B7", 0.0381, metric=False).yield_strength / 6894757.293168361, 6)
    105.0
    """
    name = grade_name(text, metric)
    bands = _grades()[name]
    if diameter >= bands[0].over - 1e-9:
        for band in bands:
            if diameter <= band.to + 1e-9:
                if diameter <= band.over - 1e-9:
                    break  # a gap between two bands of the table
                return band.strength
    raise stop("size_outside_grade", "thread", grade=name, diameter=diameter, low=bands[0].over, high=bands[-1].to)
