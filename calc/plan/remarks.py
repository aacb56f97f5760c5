"""What the remarks of a row and the comments of its cells say against it: work under pressure, and another product,
torque, stress, grade, stud or wrench than the one planned.

Remarks are the user's words: they are compared and never taken. The patterns are judgement, no source; the factors of
units are by definition.
"""

import re
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from calc.findings import CAUTION, Finding
from calc.plan.joints import Floats, Joints, Lubricant
from calc.plan.resolve import Findings
from calc.quantities import INCH, LBF_FT, PSI

SAME = 0.03
"""Torque or stress within this share of the row's own is the same one, rounded."""
NEAR = 0.12
"""The same for a stress where the row states no area: root and tensile area differ by so much."""
LEAST_STRESS = 10_000 * PSI
"""What is less is a pressure rather than the stress of a stud."""

_NOT = r"\b(?:no|not|never|without|isn't|don't)\b[^.;]{0,25}$"
_NOT_AFTER = r"\s*(?:is |are )?(?:not|never|prohibited|forbidden)\b"
_AHEAD = r"\b(?:back|before|after|goes|going|come|comes|coming|brought|until)\b[^.;]{0,15}$"
_WORK = r"(?:bolt(?:ing|ed)?|(?:re-?)?tighten(?:ed|ing)?|(?:re-?)?torqu(?:e|ed|ing))"
_LOADED = r"(?:under (?:live |full |line )?pressure|(?:while|with)[^.;]{0,15}pressuri[sz]ed|in service|in operation)"
_STOPS = re.compile(
    r"\bhot[- ]?bolt(?:ing|ed)?\b|\blive[- ]?bolt(?:ing|ed)?\b|\bon[- ]?stream\b"
    rf"|\bon-?line {_WORK}\b|\bin-?service {_WORK}\b|\b{_WORK}\b[^.;]{{0,20}}\b{_LOADED}\b",
    re.IGNORECASE,
)
_SIGNS = re.compile(
    r"\blive\b(?!\s+steam)|\bleaking\b|\bunder (?:\w+ )?pressure\b|\bone (?:stud|bolt|by one)(?: at a time)?\b"
    r"|\b(?:stud by stud|bolt by bolt|single[- ](?:stud|bolt)\b)|\bon-?line\s+leak\b|\bleak (?:repair|sealing)\b"
    r"|\bpressuri[sz]ed line\b|\bline (?:is |stays |remains |still |kept )*pressuri[sz]ed\b"
    r"|\b(?:stays?|remains?|kept|while|still|line|unit|plant) (?:is )?in (?:service|operation)\b"
    r"|\b(?:bleib(?:t|en)|weiterhin|noch) in betrieb\b|(?<!nicht )(?<!nicht mehr )(?<!nie )\bunter druck\b"
    r"|\breste(?:nt)? en (?:service|marche)\b"
    r"|\b(?:queda|sigue|permanece|contin[uú]a|fica) e[mn] (?:servicio|operaci[oó]n|marcha|servi[cç]o|opera[cç][aã]o)\b"
    r"|(?<!sin )(?<!no )\bbajo presi[oó]n\b|\b(?:rimane|resta) in (?:servizio|esercizio|marcia)\b"
    r"|\bblijft in (?:bedrijf|dienst)\b"
    r"|\b(?:forbliver|forblir|förblir|er fortsatt) i drift\b|\bpod (?:ciśnieniem|tlakem)\b",
    re.IGNORECASE,
)

_NUMBER = r"(?<![\w.,/])(\d{1,3}(?:,\d{3})+|\d+(?:\.\d+)?)\s*"
_TORQUE = tuple(
    (re.compile(_NUMBER + unit + r"(?![\w/])", re.IGNORECASE), factor)
    for unit, factor in (
        (r"(?:ft[\s.·-]*lb?s?f?|lbs?f?[\s.·-]*ft|foot[\s-]*pounds?)", LBF_FT),
        (r"(?:in[\s.·-]*lbs?f?|lbs?f?[\s.·-]*in)", LBF_FT / 12),
        (r"kN[\s.·-]*m", 1000.0),
        (r"N[\s.·-]*m", 1.0),
        (r"kg[fm]?[\s.·-]*m", 9.80665),
    )
)
_STRESS = tuple(
    (re.compile(_NUMBER + unit + r"(?!\w)", re.IGNORECASE), factor)
    for unit, factor in ((r"ksi", 1000 * PSI), (r"psi", PSI), (r"(?:MPa|N/mm[2²])", 1e6))
)
_NO_STRESS = re.compile(r"\bpressure\b|\btest(?:ed)?\b|\byield\b|\bpump\b|\bgauge\b|\bhydro", re.IGNORECASE)
_GRADE = re.compile(r"(?<![\w.])(B7M?|B16|B8M?|L7M?|L43|8\.8|10\.9|12\.9)(?![\w.]*\d)(?!M\b)", re.IGNORECASE)
_STUDS = (
    r"(?:studs?|bolts?|(?:steh|schrauben)?bolzen|schrauben?|goujons?|tirants?|boulons?|esp[aá]rragos?|pernos?|tornillos?|estojos?"
    r"|parafusos?|tiranti|prigionieri|bulloni|bouten|draadeinden|bolter?|bultar?|pultit|szpil\w+|[sś]rub[ay]?|svorn[ií]k\w*|saplama)"
)
_OF_STUDS = re.compile(rf"\b{_STUDS}\b|\bbolting\b|\bgrade\b|\bfitted\b|\bA193M?\b|\breplaced\b", re.IGNORECASE)
_INCH_STUD = re.compile(
    rf"(?<![\w./])(?:(\d)[\s-]+)?(\d{{1,2}}/\d{{1,2}})(?:\s*(?:in\b\.?|\"|″))?(?:-\d+)?(?:\s*UNC?)?\s+{_STUDS}\b"
    rf"|(?<![\w./])(\d)\s*(?:in\b\.?|\"|″)\s+{_STUDS}\b",
    re.IGNORECASE,
)
_CHANGED = (
    r"(?:reduc\w*|lower\w*|increas\w*|rais\w*|less|more|minus|plus|verringer\w*|reduzier\w*|erh(?:ö|oe)h\w*|weniger|mehr|r[eé]dui\w*"
    r"|augment\w*|moins|disminu\w*|aument\w*|menos|ridu\w*|meno|verlag\w*|verhog\w*|minder|redus\w*|sänk\w*|zmniejsz\w*|zwi[eę]ksz\w*)"
)
_SHARE = re.compile(
    rf"\b{_CHANGED}\b[^.;%]{{0,25}}\b\d{{1,2}}(?:[.,]\d)?\s?%|\b\d{{1,2}}(?:[.,]\d)?\s?%\s+{_CHANGED}\b"
    r"|\b(?:torque|(?:dreh)?moment\w*|couple|par|coppia|aperto|torsi[oó]n)\s*[-+–]\s?\d{1,2}\s?%",
    re.IGNORECASE,
)
"""A share by which somebody wants the torque changed: "um 10 % verringern"."""
_TOGETHER = re.compile(
    r"\b(2|3|4|two|three|four)\s+(?:\w+\.?\s+){0,2}wrenches\b|\bwrenches\s+together\s*:?\s*(2|3|4|two|three|four)\b",
    re.IGNORECASE,
)
_COUNTS = {"two": 2, "three": 3, "four": 4}
_METRIC_STUD = re.compile(r"(?<![\w-])M(\d{2,3})(?:\s*x\s*\d(?:\.\d+)?)?(?![\w-])")


_FREE = re.compile(
    r"\bfree of pressure\b[^.;\d]{0,30}?(?:\bby\b|:)\s*"
    r"(?P<name>[^\W\d_][^,;:\d]{1,40}?),?\s+(?P<day>\d{4}-\d\d-\d\d)\b",
    re.IGNORECASE,
)
"""A line in the remarks by which a person states it: "line will be free of pressure: A. Weir, 2026-03-14"."""
_HOT = re.compile(r"\bhot[\s-]*(?:re-?\s?)?(?:torqu|tighten)\w*", re.IGNORECASE)


def under_pressure(joints: Joints, rows: NDArray[np.bool_], found: Findings) -> None:
    """Stop the rows whose remarks want work on a line in service, or on hot studs.

    Where single words only may mean that, the row waits until a person has written by name and date that the line will
    be free of pressure.
    """
    for row in np.flatnonzero(rows & _remarked(joints)).tolist():
        text, where = _said(joints, row)
        phrase, stops = in_service(_FREE.sub("", text))
        stated = _FREE.search(text)
        if stops:
            found.add(Finding("work_in_service", "remarks", {"text": phrase, "where": where}, row=row))
        elif phrase and stated:
            facts = {"text": phrase, "where": where, "by": f"{stated['name']}, {stated['day']}"}
            found.add(Finding("free_of_pressure_stated", "remarks", facts, CAUTION, row))
        elif phrase:
            found.add(Finding("may_be_in_service", "remarks", {"text": phrase, "where": where}, row=row))
        hot = _HOT.search(text)
        told = joints.operation[row] == "retighten" or not np.isnan(joints.stud_temperature[row])
        if hot and not told and not re.search(_NOT, text[: hot.start()], re.IGNORECASE):
            found.add(Finding("hot_torque", "remarks", {"text": hot[0], "where": where}, row=row))


HOT_STUDS = 323.15
"""Studs above this need yield and friction at their temperature: 50 °C, in [K]. Judgement, no source."""


def hot_studs(joints: Joints, rows: NDArray[np.bool_], found: Findings) -> None:
    """Stop hot studs whose yield and friction are not stated for their temperature, each with its source."""
    for row in np.flatnonzero(rows & (joints.stud_temperature > HOT_STUDS + 1e-6)).tolist():
        friction = (joints.nut_factor[row], joints.thread_friction[row])
        lacks = [name for name, there in (
            ("yield_strength", not np.isnan(joints.yield_strength[row])), ("yield_source", joints.yield_source[row]),
            ("nut_factor", not all(np.isnan(friction))), ("friction_source", joints.friction_source[row]),
        ) if not there]  # fmt: skip
        facts: dict[str, object] = {"value": float(joints.stud_temperature[row])}
        if lacks:
            found.add(Finding("hot_studs", "stud_temperature", facts | {"needs": tuple(lacks)}, row=row))
        else:
            facts |= {"sources": (joints.yield_source[row], joints.friction_source[row])}
            found.add(Finding("hot_studs_stated", "stud_temperature", facts, CAUTION, row))


@lru_cache(maxsize=4096)
def in_service(text: str) -> tuple[str, bool]:
    """The words that speak of a line in service, and whether they stop the row.

    >>> in_service("hot bolting, unit stays in use"), in_service("no hot bolting"), in_service("live line")
    (('hot bolting', True), ('', False), ('live', False))
    """
    sign = ""
    for match in _STOPS.finditer(text):
        before = text[: match.start()]
        if re.search(_NOT, before, re.IGNORECASE) or re.search(r"\bnot\b", match[0], re.IGNORECASE):
            continue
        if re.match(_NOT_AFTER, text[match.end() :], re.IGNORECASE):
            continue
        if "stream" in match[0].lower() and re.search(_AHEAD, before, re.IGNORECASE):
            sign = match[0]
            continue
        return match[0], True
    for match in _SIGNS.finditer(text):
        if not re.search(_NOT, text[: match.start()], re.IGNORECASE):
            sign = sign or match[0]
    return sign, False


def compare(
    joints: Joints, rows: NDArray[np.bool_], lubricants: Sequence[Lubricant], nut_factor: Floats, torque: Floats,
    stress: Floats, area_stated: NDArray[np.bool_], diameter: Floats, wrenches: Sequence[str],
    pulling: Sequence[Sequence[str]], at_once: NDArray[np.int64], found: Findings,
) -> None:  # fmt: skip
    """Cautions where remarks name something else than the row has: torque [N·m], `stress` on its own area
    where one is stated, else on the tensile area [Pa], stud diameter [m], `pulling` the wrenches of each row, `at_once`
    how many of them pull together.
    """
    products = _products(tuple(lubricant.product for lubricant in lubricants))
    factors = {lubricant.product.casefold(): lubricant.nut_factor for lubricant in lubricants}
    names = {name: re.compile(rf"(?<![\w-]){re.escape(name)}(?![\w-])", re.IGNORECASE) for name in wrenches}
    for row in np.flatnonzero(rows & _remarked(joints)).tolist():
        text, where = _said(joints, row)

        def say(code: str, quantity: str, row: int = row, where: str = where, **facts: object) -> None:
            found.add(Finding(code, quantity, {**facts, "where": where}, CAUTION, row))

        own = joints.lubricant[row]
        for product in dict.fromkeys(match[0] for pattern in products for match in pattern.finditer(text)):
            if product.casefold() == own.casefold() or (not own and factors.get(product.casefold()) == nut_factor[row]):
                continue
            say("remark_product", "lubricant", text=product, own=own or "no product")
        for value in _amounts(_TORQUE, text):
            if abs(value / torque[row] - 1) > SAME:
                say("remark_torque", "torque", other=value, value=float(torque[row]))
        if share := _SHARE.search(text):
            say("remark_share", "torque", text=share[0], value=float(torque[row]))
        for value in () if _NO_STRESS.search(text) else _amounts(_STRESS, text):
            if value > LEAST_STRESS and abs(value / stress[row] - 1) > (SAME if area_stated[row] else NEAR):
                say("remark_stress", "stress", other=value, value=float(stress[row]))
        if joints.grade[row] and (grade := _other_grade(text, joints.grade[row])):
            say("remark_grade", "grade", text=grade, own=joints.grade[row])
        for words, size in _studs(text):
            if abs(size - diameter[row]) > 2e-4:
                say("remark_thread", "thread", text=words, own=joints.thread[row])
        if pulling[row] and (many := _TOGETHER.search(text)) and not re.search(_NOT, text[: many.start()], re.I):
            word = (many[1] or many[2]).casefold()
            if int(_COUNTS.get(word, word)) != at_once[row]:
                say("remark_wrenches", "at_once", text=f"'{many[0]}'", own=int(at_once[row]))
        if pulling[row]:
            mine = {name.casefold() for name in pulling[row]}
            named = [name for name, pattern in names.items() if pattern.search(text)]
            if named and not mine & {name.casefold() for name in named}:
                say("remark_wrench", "wrench", names=tuple(named), own=tuple(pulling[row]))


def _remarked(joints: Joints) -> NDArray[np.bool_]:
    return np.array([a != "" or b != "" for a, b in zip(joints.remarks, joints.comments, strict=True)], dtype=bool)


def _said(joints: Joints, row: int) -> tuple[str, str]:
    """What stands in the remarks and comments of a row, and what that is called."""
    if not joints.comments[row]:
        return joints.remarks[row], "the remarks"
    if not joints.remarks[row]:
        return joints.comments[row], "comments of cells in the row"
    return f"{joints.remarks[row]}; {joints.comments[row]}", "remarks or comments of the row"


@lru_cache(maxsize=16)
def _products(names: tuple[str, ...]) -> tuple[re.Pattern[str], ...]:
    """Patterns of names like those of the products: L-41 stands for every L with two digits."""
    shapes = []
    for name in names:
        if re.search(r"\d", name):
            shape = re.sub(r"\d+", lambda match: rf"\d{{{len(match[0])}}}", re.escape(name))
        elif len(name) > 4:
            shape = re.escape(name)
        else:
            continue
        shapes.append(rf"(?<![\w-]){shape}(?![\w-])")
    return tuple(re.compile(shape, re.IGNORECASE) for shape in dict.fromkeys(shapes))


def _amounts(patterns: Sequence[tuple[re.Pattern[str], float]], text: str) -> Iterator[float]:
    for pattern, factor in patterns:
        for match in pattern.finditer(text):
            yield float(match[1].replace(",", "")) * factor


def _other_grade(text: str, own: str) -> str:
    """A grade of the remarks that is not the row's, "" without one."""
    if not _OF_STUDS.search(text):
        return ""
    mine = {match[1].upper() for match in _GRADE.finditer(own)}
    said = [match[1].upper() for match in _GRADE.finditer(text)]
    return "" if not mine or not said or mine & set(said) else said[0]


def _studs(text: str) -> Iterator[tuple[str, float]]:
    """Sizes of studs in the remarks, with their nominal diameter. [m]"""
    for match in _INCH_STUD.finditer(text):
        size = Fraction(match[1] or 0) + Fraction(match[2]) if match[2] else Fraction(match[3])
        if size <= 4:
            yield match[0], float(size) * INCH
    if _OF_STUDS.search(text):
        for match in _METRIC_STUD.finditer(text):
            yield match[0], float(match[1]) / 1000
