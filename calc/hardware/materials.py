"""Minimum yield strength of stud materials by specification, class and size.

A yield comes from the specification named: A193 and A193M differ, and neither is converted into the other. A row from
memory says so in its `basis`; whoever plans with a yield must name its source.
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

    @property
    def read(self) -> bool:
        """Whether the row was read in a copy, and may be planned with."""
        return self.basis == "read in a copy"


@dataclass(frozen=True)
class _Band:
    over: float
    to: float
    strength: Strength


def _name(grade: str, class_: str) -> str:
    return f"{grade} class {class_}" if class_ else grade


_TABLES = ("materials_astm", "materials_astm_si", "materials_iso898", "materials_astm_more", "materials_en")


@cache
def _grades() -> dict[str, tuple[_Band, ...]]:
    grades: dict[str, list[_Band]] = {}
    for table in _TABLES:
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
    r"(?:(?:ASTM|ASME)?\s*S?A\s*-?\s*(?P<spec>193M?|320M?|354|437M?|453M?|540M?))?\s*[-/]?\s*(?:GR(?:ADE)?\.?)?\s*"
    r"(?P<grade>B7M|B7|B16|B8M|B8T|B8C|B8|B5|B6X|B6|B4[BCD]|B2[134]|B[CD]|L7M|L7|L43|660)"
    r"\s*[-,/]?\s*(?:CL(?:ASS)?\.?\s*)?(?P<class>2B|2C|[12345ABCD]|A/B/C)?",
    re.IGNORECASE,
)
_ISO = re.compile(
    r"(?:ISO\s*898(?:-1)?)?\s*(?:CL(?:ASS)?\.?|PROPERTY CLASS|GR(?:ADE)?\.?)?\s*"
    r"(?P<class>[45]\.[68]|[689]\.8|10\.9|12\.9)",
    re.IGNORECASE,
)
_STAINLESS = re.compile(
    r"(?:(?:EN\s*)?ISO\s*3506(?:-1)?)?\s*(?P<grade>A[24])\s*-?\s*(?:CL(?:ASS)?\.?\s*)?(?P<class>50|70|80)?",
    re.IGNORECASE,
)
_EN = re.compile(
    r"(?P<spec>(?:DIN\s*)?EN\s*10269)?\s*[-,/:]?\s*(?P<grade>25\s*CrMo\s*4|42\s*CrMo\s*4|21\s*CrMoV\s*5[-\s]*7|40\s*CrMoV\s*4[-\s]*6)"
    r"(?:\s*\+?\s*QT)?(?:\s*,?\s*(?P<after>(?:DIN\s*)?EN\s*10269))?",
    re.IGNORECASE,
)
_NUMBERS = {"1.7218": "25CrMo4", "1.7225": "42CrMo4", "1.7709": "21CrMoV5-7", "1.7711": "40CrMoV4-6"}
"""Steel numbers of EN 10027-2 (from memory) of the steels of EN 10269 above."""
_NUMBERED = re.compile(
    r"(?<![\d.])(?:(?:W|WNr|W\.?\s*-?\s*Nr)\.?\s*)?(1\.7(?:218|225|709|711))(?![\d.])", re.IGNORECASE
)
_A449 = re.compile(r"(?:ASTM)?\s*A\s*-?\s*449(?:\s*TYPE\s*1)?", re.IGNORECASE)
_NICKEL = re.compile(
    r"(?P<b637>(?:ASTM\s*)?B\s*-?\s*637)?(?P<api>API\s*6A(?:CRA|718))?\s*(?:UNS\s*|ALLOY\s*|GR(?:ADE)?\.?\s*)?N07718"
    r"\s*[-,/]?\s*(?P<level>120K)?",
    re.IGNORECASE,
)
_SPEC = {"B7": "A193", "B7M": "A193", "B16": "A193", "B8": "A193", "B8M": "A193", "L7": "A320", "L7M": "A320",
         "L43": "A320", "660": "A453", "B5": "A193", "B6": "A193", "B6X": "A193", "B8T": "A193", "B8C": "A193",
         "B4B": "A437", "B4C": "A437", "B4D": "A437"}  # fmt: skip
_MARKED = {"B8M2": "2B", "B8M3": "2C"}
"""Marks that stand for a class of A193 B8M; B8M2 is also written for class 2."""


def _of_other_standards(clean: str, metric: bool, said: str) -> str:
    """The grade of a text in the words of ISO 898-1, ISO 3506-1, EN 10269, A449 or N07718, else ""."""
    if match := _ISO.fullmatch(clean):
        if not metric:
            raise stop("grade_metric_only", "grade", text=clean, standard="ISO 898-1")
        return f"ISO 898-1 {match['class']}"
    if match := _STAINLESS.fullmatch(clean):
        if not metric:
            raise stop("grade_metric_only", "grade", text=clean, standard="ISO 3506-1")
        name = f"ISO 3506-1 {match['grade'].upper()}"
        if not match["class"]:
            known = tuple(f"{name.removeprefix('ISO 3506-1 ')}-{number}" for number in (50, 70, 80))
            raise stop("class_needed", "grade", text=clean, known=known)
        return _name(name, match["class"])
    if match := _EN.fullmatch(clean):
        letters = re.sub(r"\s", "", match["grade"]).lower().replace("-", "")
        name = next(
            known
            for known in grades()
            if known.startswith("EN 10269 ") and known[9:].lower().replace("-", "") == letters
        )
        if not match["spec"] and not match["after"]:
            raise stop("grade_of_standards", "grade", text=said, known=(name,))
        return name
    if _A449.fullmatch(clean):
        return "A449"
    if match := _NICKEL.fullmatch(clean):
        if match["b637"] and not match["level"]:
            return "ASTM B637 N07718"
        if match["level"] and not match["b637"]:
            return "API 6ACRA N07718 120K"
        raise stop("class_needed", "grade", text=clean, known=("ASTM B637 N07718", "API 6ACRA N07718 120K"))
    return ""


def _without_number(clean: str) -> str:
    """A grade with the number of its steel, which is its name, or goes where it says the same ("25CrMo4 (1.7218)").

    >>> _without_number("1.7709"), _without_number("25CrMo4 (1.7218)"), _without_number("42CrMo4 / 1.7218")
    ('21CrMoV5-7', '25CrMo4', '42CrMo4 / 1.7218')
    """
    found = _NUMBERED.findall(clean)
    if len(found) != 1:
        return clean
    name = _NUMBERS[found[0]]
    rest = _NUMBERED.sub(" ", clean).replace("()", " ").replace("( )", " ").strip(" ,;/()")
    rest = " ".join(rest.split())
    if not rest or re.fullmatch(r"(?:DIN\s*)?EN\s*10269", rest, re.IGNORECASE):
        return f"{rest} {name}".strip()
    return rest if name.lower() in re.sub(r"\s", "", rest).lower() else clean


def same_steel(one: str, other: str) -> bool:
    """Whether one text is the number of a steel and the other its name: "1.7225" and "42CrMo4".

    >>> same_steel("1.7225", "42CrMo4"), same_steel("1.7225", "25CrMo4"), same_steel("B7", "B7")
    (True, False, False)
    """
    return any(_NUMBERS.get(a.strip()) == "".join(b.split()) for a, b in ((one, other), (other, one)))


@cache
def grade_name(text: str, metric: bool) -> str:
    """The grade that a text names, as listed in `grades`.

    Without a specification, an inch stud has the one whose table is in inches; a metric stud must say which of two.
    B8M2 is the mark of class 2B and is also written for class 2, so it must be said which.

    Raises InputError: `grade_unknown`, `class_needed`, `specification_needed`, `grade_of_standards`,
    `grade_metric_only`.

    >>> grade_name("ASTM A193 Gr. B8M Cl.2", metric=False), grade_name("10.9", metric=True)
    ('A193 B8M class 2', 'ISO 898-1 10.9')
    """
    said = " ".join(str(text).split())
    clean = _without_number(said)
    if other := _of_other_standards(clean, metric, said):
        return other
    clean = re.sub(r"(?i)\bB8M2(?=\s*[-,/]?\s*cl)|\bB8M3(?=\s*[-,/]?\s*cl)", "B8M", clean)  # mark and class
    bare = re.sub(r"^.*[\s.]", "", clean.upper())
    if bare == "B8M2":
        known = ("A193 B8M class 2", "A193 B8M class 2B")
        raise stop("class_needed", "grade", text=text, known=known)
    if bare in _MARKED:
        clean = f"{clean[:-1]} class {_MARKED[bare]}"
    match = _GRADE.fullmatch(clean)
    if not match:
        raise stop("grade_unknown", "grade", text=text, known=grades())
    grade, class_ = match["grade"].upper(), (match["class"] or "").upper()
    if match["spec"]:
        spec = f"A{match['spec'].upper()}"
    elif grade not in _SPEC:
        raise stop("grade_unknown", "grade", text=text, known=grades())
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
    chosen = [known for known in classes if class_ and (class_ in known.split("/") or class_ == known)]
    if class_ and not chosen:
        raise stop("grade_unknown", "grade", text=text, known=grades())
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
    span = bands[0].over, bands[-1].to
    raise stop("size_outside_grade", "thread", grade=name, diameter=diameter, span=span)
