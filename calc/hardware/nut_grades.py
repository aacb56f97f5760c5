"""Nuts by specification and grade: what a text names, and which nuts are usual on which studs."""

import re
from dataclasses import dataclass
from functools import cache

from calc.findings import stop
from calc.tables import load

_A194 = re.compile(
    r"(?P<spec>(?:ASTM|ASME)?\s*S?A\s*-?\s*194M?)?\s*[-/,]?\s*(?:GR(?:ADE)?\.?)?\s*"
    r"(?P<grade>2HM|2H|7ML|7M|7L|8MA|8M|8TA|8T|8CA|8C|8A|16|[1-8])",
    re.IGNORECASE,
)
_ISO = re.compile(
    r"(?P<spec>(?:(?:DIN\s*)?EN\s*)?ISO\s*898-2)?\s*[-,]?\s*(?P<word>(?:PROPERTY\s*)?CL(?:ASS)?\.?)?\s*(?P<class>5|6|8|10|12)",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Pairing:
    """The usual nuts of a stud grade, the proof stress of the weakest of them [Pa], and the source with its basis."""

    nuts: tuple[str, ...]
    proof: float
    source: str


def nut_name(text: str, stud: str = "") -> str:
    """The nut grade that a text names; a bare number is a class beside a stud of ISO 898-1, a grade beside the others.

    Raises InputError `nut_unknown`, and `nut_of_standards` for a bare number of both standards beside no known stud.

    >>> nut_name("ASTM A194 Gr. 2H"), nut_name("2HM"), nut_name("8", "ISO 898-1 8.8"), nut_name("class 10")
    ('A194 2H', 'A194 2HM', 'ISO 898-2 8', 'ISO 898-2 10')
    """
    clean = " ".join(str(text).split())
    clean = re.sub(
        r"^(?:heavy\s+)?(?:hex\s+)?nuts?\s*[:,]?\s*|\s*(?:heavy\s+)?(?:hex\s+)?nuts?$", "", clean, flags=re.IGNORECASE
    )
    astm, iso = _A194.fullmatch(clean), _ISO.fullmatch(clean)
    if astm and iso and not (astm["spec"] or iso["spec"] or iso["word"]):
        if not stud:
            known = f"A194 {astm['grade']}", f"ISO 898-2 {iso['class']}"
            raise stop("nut_of_standards", "nut_grade", text=clean, known=known)
        astm, iso = (None, iso) if stud.startswith("ISO 898-1") else (astm, None)
    if astm and (astm["spec"] or not iso):
        grade = astm["grade"].upper()
        return f"A194 {grade.removesuffix('A') if grade.startswith('8') else grade}"
    if iso:
        return f"ISO 898-2 {iso['class']}"
    raise stop("nut_unknown", "nut_grade", text=clean)


@cache
def proof_stress(nut: str) -> float:
    """Proof stress of a nut grade [Pa], NaN where it is not in the table.

    >>> round(proof_stress("A194 2H") / 6894757.293168361, 6)
    175.0
    """
    return next((float(row["proof"]) for row in load("nut_proof").rows if row["nut"] == nut), float("nan"))


@cache
def pairing(stud: str) -> Pairing | None:
    """The usual nuts of a stud grade as `materials.grades` writes it, in any class of it; None where none is listed.

    >>> pairing("A193M B7").nuts, pairing("A320 L43").nuts, pairing("A193 B5")
    (('A194 2H',), ('A194 4', 'A194 7'), None)
    """
    plain = stud.split(" class ")[0].replace("A193M", "A193").replace("A320M", "A320")
    rows = [row for row in load("nut_pairings").rows if row["stud"] == plain]
    if not rows:
        return None
    source = f"{rows[0]['source']}, {rows[0]['basis']}"
    return Pairing(tuple(str(row["nut"]) for row in rows), min(float(row["proof"]) for row in rows), source)
