"""Cells that hold two or three facts of a joint ("20 x M36", "DN200 PN40", "A193 B7 / A194 2H") taken apart."""

import re
from collections.abc import Iterable
from functools import lru_cache

from calc.hardware.materials import same_steel

_FRACTION = r"\d{1,2}\s*/\s*(?:2|4|8|16|32)(?!\d)"
_MARK = r"(?:\"|''|″|”|\s?in\.?(?![a-z])|\s?inch)?"
_INCH = rf"(?:\d\s*(?:\"|″)?\s*[-. ]?\s*{_FRACTION}|{_FRACTION}|\d(?:\.\d+)?)\s*{_MARK}"
_TPI = r"(?:\s*-\s*(?:8|9|10|11|12|13|14|16|18|20|24|7|6|4\.5|4 1/2(?=\s*UN)|4|5)(?!\d)\s*)?(?:\s*-?\s*(?:8\s*)?UN[CFRJ]?C?)?(?:-?[23]A)?"
_METRIC = r"M\s?\d{1,3}(?:\s*[x×*]\s*[1-6](?:[.,]\d{1,2})?(?![\d/]))?"
THREAD = rf"(?:{_METRIC}|{_INCH}{_TPI})"
_LENGTH = r"\d{1,4}(?:[.,]\d+)?(?:\s*[-. ]?\s*\d{1,2}/\d{1,2})?\s*(?:mm|\"|″|”|in\.?|L(?:g)?|lg\.?|long)?"
_OFF = r"(?:\s*(?:off|nos?\.?|pcs?\.?|ea\.?|each|st(?:[kü]|ü?ck)?\.?|stuck|pc|pz\.?|pzas?\.?|p[cç]s\.?|uds?\.?|un?\.?|ad(?:et)?\.?|szt\.?|ks|db|kpl|studs?|bolts?)\s*(?:x|×|of|/|-|à|á|a)?\s*|\s*[x×@]\s*|\s?\)\s+|\s+[/–-]\s+|\s+(?=M\s?\d))"

_COUNT_THREAD = re.compile(
    rf"(?P<studs>\d{{1,3}}){_OFF}(?P<thread>{THREAD})(?:\s*(?:[x×]|-|lg|/)\s*(?P<length>{_LENGTH}))?", re.IGNORECASE
)
_COUNT_DASH = re.compile(
    rf"(?P<studs>[4-9]|[1-9]\d{{1,2}})\s*-\s*(?P<thread>(?:[1-4]\s?[- ]\s?)?{_FRACTION}\s*{_MARK}{_TPI}|M\s?\d{{2,3}}(?:\s*[x×]\s*[1-6](?:[.,]\d+)?)?)"
    rf"(?:\s*(?:[x×]|lg)\s*(?P<length>{_LENGTH}))?",
    re.IGNORECASE,
)
"""A count and a thread with a dash between them: no stud has a diameter above 4 in with a fraction."""
_THREAD_COUNT = re.compile(
    rf"(?P<thread>{THREAD})\s*[x×/(,]\s*(?P<studs>\d{{1,3}})\s*(?:off|nos?\.?|pcs?\.?|ea\.?)\)?", re.IGNORECASE
)
_THREAD_LENGTH = re.compile(rf"(?P<thread>{THREAD})\s*(?:[x×]|lg)\s*(?P<length>{_LENGTH})", re.IGNORECASE)
_THREAD_PITCH_LENGTH = re.compile(
    r"(?P<thread>M\s?\d{1,3}\s*[x×*]\s*[1-6](?:[.,]\d{1,2})?)\s*[x×*]\s*(?P<length>\d{2,4})(?:\s*mm)?", re.IGNORECASE
)
_GRADE = r"(?:(?:ASTM\s*)?S?A\s?-?\s?(?:193|320)|B\d+[A-Z]?|L7M?|[4-6]\.[68]|8\.8|9\.8|10\.9|12\.9|A[245]-\d\d|C[134]-\d\d|X?\d\d(?:Cr|Ni|Mn)[A-Z][\w-]*)\b.*?"
_THREAD_LENGTH_GRADE = re.compile(
    r"(?:(?P<studs>\d{1,3})\s*(?:[x×]|off|no\.?)\s*)?(?P<thread>M\s?\d{1,3}(?:\s*[x×*]\s*(?:0[.,]\d{1,2}|[1-6](?:[.,]\d{1,2})?))?)\s*[x×*-]\s*(?P<length>\d{2,4})(?:\s*mm)?[\s,;/–-]+"
    rf"(?:(?:Gr?|Kl|FK|cl)\.?\s*)?(?P<grade>{_GRADE})(?:\s*HV)?",
    re.IGNORECASE,
)
"""A pitch is 0.5 to 6 mm, a length has two digits or more."""
_THREAD_GRADE = re.compile(
    rf"(?P<thread>{THREAD})[\s,]+(?P<grade>(?:A193|A320|B\d+\w*|L7\w?|4\.6|5\.6|8\.8|10\.9|12\.9|A[24]-\d+)\b.*)",
    re.IGNORECASE,
)
_CLASSES = r"(?:150|300|400|600|900|1500|2500|2000|3000|5000|10000|15000|\d{1,2}\s?[kM])"
_SIZE_CLASS = re.compile(
    rf"(?P<size>(?:NPS|DN|NB|NW)?\s*\d+(?:\.\d+)?(?:[- ]\d+/\d+)?\s*(?:\"|″|”|in\.?|inch|mm|NB)?(?:\s*ID)?)(?:\s+Sch\.?\s*\w+)?\s*[-/xX,@ ]\s*"
    rf"(?P<rating>(?:(?:CL|CLASS|ANSI|#|S/|s[eé]rie)\s*\.?\s*)?{_CLASSES}\s*(?:#|lbs?\.?)?|(?:PN|ND)\s?\d+|(?:Table|Tbl?\.?|T/?)\s?[DEFHJ]|API\s?\d{{1,2}}M)"
    r"(?:[\s/,-]+(?:(?:WN|SO|BL|RF|RTJ|FF|RJ|LJ|SW)\w*|Form\s?[A-H]\d?|Typ\s?\d\d))*",
    re.IGNORECASE,
)
_DN_AND_PN = re.compile(
    r"(?P<size>(?:DN|NW)\s?\d{2,4})\s*/\s*(?P<rating>6|10|16|25|40|63|64|100|160|250|320|400)", re.IGNORECASE
)
"""A nominal diameter that is named as one, and a nominal pressure: "DN 200/40"."""
_STEEL = r"\d\dCr[A-Z]\w*(?:-\d+)*|C[Kk]?\d\dE?|1\.\d{4}|A[245](?:[- ]?\d0)?|660[AB]?"
_STUD_GRADE = (
    r"(?P<grade>(?:(?:ASTM\s*)?(?:A(?:STM)?\s?-?\s?(?:193|320|437|453)|SA-?\s?(?:193|320))|B7M?|B16|B8[MTC]?|L7M?|L43|[456]\.[68]|8\.8"
    rf"|10\.9|12\.9|{_STEEL})[\w\s.-]*?)"
)
_NUT_GRADE = (
    r"(?P<nut>(?:(?:ASTM\s*)?S?A\s?-?\s?194\s*[- ]?)?(?:(?:Gr(?:ade)?|Kl|Cl)\.?\s*)?(?:2HM?|[4578]|10|12|16|[78]MA?|8[MTC]A?|7[LM]"
    rf"|{_STEEL}))"
)
_GRADES = re.compile(
    rf"{_STUD_GRADE}\s*[/&+|]\s*(?P<nut>(?!\s|(?:Zn|zinc|zinek|PTFE|HDG|hd|galv|Xylan|fzv|tZn|Cd|cad|black|blk|Ni|Mo)\b).+)",
    re.IGNORECASE,
)
_GRADES_BY_COMMA = re.compile(
    rf"{_STUD_GRADE}(?:\s*[,;]\s*{_NUT_GRADE}|\s*\(\s*{_NUT_GRADE.replace('<nut>', '<within>')}\s*\)|-(?P<hard>2HM?))",
    re.IGNORECASE,
)
"""A grade of the studs and, behind other marks than a slash, what can be nothing but one of nuts: "B7-2H", "B7 (A194 2H)"."""
_DIAMETERS = re.compile(
    r"(?P<one>\d{2,4}(?:\.\d+)?)\s*(?:mm)?\s*[xX×/]\s*(?P<other>\d{2,4}(?:\.\d+)?)\s*(?:mm)?(?:\s*[xX×]\s*[\d.]+)?"
)

_COUNT_THREAD_LENGTH_GRADE = re.compile(
    rf"(?P<studs>\d{{1,3}}){_OFF}(?P<thread>{THREAD})\s*[x×]\s*(?P<length>{_LENGTH})(?:[\s,;/]+|\s+[–-]\s+)(?P<grade>{_GRADE})",
    re.IGNORECASE,
)
_KIND_BEHIND_COUNT = re.compile(
    r"^(\d{1,3})\s*[x×]?\s*(?:(?:esp|schr|gouj|boul|tir|prig|paraf|torn|est|civ|cıv|bult|bout|pinnb|vaarnap)(?=\.)|goujons?|tirants?|boulons?|vis|tiges?(?:\s+filet[eé]es)?|stehbolzen|stiftschrauben|gewindebolzen|gewindestangen|dehnschrauben"
    r"|schrauben|bolzen|p[eé]rnos?|esp[aá]rragos?|tornillos?|estojos?|prisioneiros?|parafusos?|tiranti|prigionieri|bulloni|viti"
    r"|(?:tap|draad)einden|draadstangen|bouten|(?:pinn|stift)?bultar|pinnebolter|bolter|bolte|stiftskruer|pultit?a?|vaarnapultit?a?|pulttia|vaarnapulttia|c[ıi]vata"
    r"|szpil(?:ek|ki)|[sś]rub[ay]?|svorn[ií]k[uůy]|šroub[uůy]|srob[uy]|saplama|bijon|civata|(?:tie ?rod|stud ?bolt|bolt|stud|screw)s?)\.?"
    r"\s+(?:de\s+|di\s+|da\s+|of\s+)?(?=M\s?\d|\d)",
    re.IGNORECASE,
)
"""What kind of fastener stands between the count and the thread: "16 goujons M48x3"."""
_LENGTH_NAMED = re.compile(
    r"(?<=[\d\"″”])\s*[,;]?\s+(?:(?:L|l)\s*[=:]|(?:lg|lgt|lgth|d[lł]|dl|d[eé]lka|länge|laenge|long(?:ueur)?|larg|compr|lungh?|lengte|pituus"
    r"|boy)\.?\s*[=:]?|L(?=\s*\d{3}))\s*(?=\d{2,4}(?![\d.,]))",
    re.IGNORECASE,
)
"""A length that is named as one behind a thread: "M48x5 L=290", "M48x3 lg 345"; "M36 L43" is a grade."""
_KIND_BEFORE = re.compile(
    r"^(?:stud(?: ?bolt)?|set ?screw|cap ?screw|hex(?:agon)? bolt|bolt|tie ?rod|screw)s?\s+(?=M\s?\d)", re.IGNORECASE
)
_LONG_BEHIND = re.compile(r"\s*[,;]\s*(\d{2,4})\s*(?:mm\s*)?(?:lg|long|l)\.?$", re.IGNORECASE)
"""What kind of fastener stands before a metric thread, and its length behind a comma: "Stud M64 x 6, 340 lg"."""


@lru_cache(maxsize=65536)
def parts(text: str) -> dict[str, str]:
    """The facts that a text holds by field, empty where it holds one fact or none.

    >>> parts('20 x M36'), parts('12 off 7/8" x 5 1/2"')
    ({'studs': '20', 'thread': 'M36'}, {'studs': '12', 'thread': '7/8"', 'length': '5 1/2"'})
    >>> parts("DN200 PN40"), parts("2 1/4-8 UN"), parts("M36x3")
    ({'size': 'DN200', 'rating': 'PN40'}, {}, {})
    >>> parts("Stud M64 x 6, 340 lg"), parts("Setscrew M36 x 120")
    ({'thread': 'M64 x 6', 'length': '340'}, {'thread': 'M36', 'length': '120'})
    >>> parts("16 goujons M48x3 lg 345"), parts("M36 L=220"), parts("M36 L7")
    ({'studs': '16', 'thread': 'M48x3', 'length': '345'}, {'thread': 'M36', 'length': '220'}, {'thread': 'M36', 'grade': 'L7'})
    >>> parts('28x 3/4" x 70 B7')
    {'studs': '28', 'thread': '3/4"', 'length': '70', 'grade': 'B7'}
    >>> parts("1.7225 (42CrMo4)"), parts("1.7709 / 25CrMo4")
    ({}, {'grade': '1.7709', 'nut_grade': '25CrMo4'})
    >>> parts("M36 x 205 10.9 HV")
    {'thread': 'M36', 'length': '205', 'grade': '10.9'}
    """
    clean = " ".join(text.replace("\u00a0", " ").replace("''", '"').split()).replace('1"1/', "1 1/").strip()
    clean = re.sub(r'(\d)"(\d/\d)', r"\1 \2", clean)
    clean = re.sub(r"^(?:N[°ºo]?|Nr|n|Qty|Cant|Anz)\.?\s*(?=\d{1,3}\s*(?:[-–x×]|à|da|de|di|of|\s)\s*M\s?\d)", "", clean)
    clean = re.sub(r"^(?:Qty|Cant)\.?\s*(?=\d{1,3}\s*[-–x×]\s*\d)", "", clean)
    if found := _COUNT_DASH.fullmatch(clean):
        return _of(found)
    clean = re.sub(
        r"(?<=[\d\"])\s+(?:stud|bolt|cap|hex|set|screw|head|hd|tap|dbl end|full thread|all thread|set ?screw|cap ?screw|nuts only|tie ?rod|rod|allen|swing bolt|eye ?bolt|stud ?bolt|waisted stud|anchor|nut)s?(?:\s+(?:screw|bolt|head|hd))?s?\.?$",
        "",
        clean,
        flags=re.IGNORECASE,
    )
    clean = _KIND_BEFORE.sub("", _KIND_BEHIND_COUNT.sub(r"\1 x ", clean))
    clean = re.sub(r"^\(([4-9]|\d{2,3})\)\s*(?=[Mm]?\s?\d)", r"\1 x ", clean)
    clean = _LENGTH_NAMED.sub(" x ", _in_order(clean))
    clean = _LONG_BEHIND.sub(r" x \1", clean)
    if len(clean) > 60 or re.fullmatch(THREAD, clean, re.IGNORECASE):
        return {}
    found = _COUNT_THREAD.fullmatch(clean) or _COUNT_THREAD_LENGTH_GRADE.fullmatch(clean)
    if found and _may_be_count(found):
        return _of(found)
    if found := _THREAD_PITCH_LENGTH.fullmatch(clean):
        return _of(found)
    if found := _THREAD_LENGTH_GRADE.fullmatch(clean):
        return _of(found)
    if (found := _THREAD_LENGTH.fullmatch(clean)) and (short := _too_short(found)) is not None:
        return short
    found = _THREAD_COUNT.fullmatch(clean) or found or _THREAD_GRADE.fullmatch(clean)
    if found:
        return _of(found)
    found = _SIZE_CLASS.fullmatch(clean) or _DN_AND_PN.fullmatch(clean)
    if found:
        return _of(found)
    if found := _GRADES.fullmatch(clean):
        return _grades(found["grade"], found["nut"])
    if found := _GRADES_BY_COMMA.fullmatch(clean):
        return _grades(found["grade"], found["nut"] or found["within"] or found["hard"])
    return {}


def _grades(grade: str, nut: str) -> dict[str, str]:
    """A grade of the studs and one of the nuts; {} for one steel by its number and its name."""
    return {} if same_steel(grade, nut) else {"grade": grade.strip(), "nut_grade": nut.strip()}


_STANDARD = re.compile(
    r"(?<=\S)\s+(?:DIN|ISO|UNI|EN)(?:\s(?:EN|ISO))*\s?\d{3,5}(?:-\d(?![.\d]))?(?=\s|$)|^(?:DIN|ISO|UNI|EN)(?:\s(?:EN|ISO))*\s?\d{3,5}\s+(?=M\s?\d)"
)
_JOINED = re.compile(
    r"^(\d{1,3})(?:\s+(?:da|de|di|of|à|a)\s+|\s*/\s*(?=M))(?=M\s?\d|\d{1,2}/\d|\d \d/\d)", re.IGNORECASE
)
_UNIT_OF_COUNT = r"(?:off|nos?|pcs?|ea|each|st(?:k|[uü]ck)?|pz|pzas?|p[cç]s|uds?|szt|ks|kpl|adet|ad|db)"
_COUNT_BEHIND = re.compile(
    rf"(?P<rest>(?:M\s?\d{{1,3}}|\d[^(]*?(?:\"|″|/\d{{1,2}})).*?)\s*[-–,;/x×]?\s*\(?(?P<n>\d{{1,3}})\s*{_UNIT_OF_COUNT}\.?\)?",
    re.IGNORECASE,
)
_COUNT_IN_BRACKETS = re.compile(
    r"(?P<rest>M\s?(?P<size>\d{1,3}).*?)\s*\((?:(?P<n>\d{1,3})|(?P<times>\d{1,3})\s*[x×])\)", re.IGNORECASE
)
_BY_SLASH = re.compile(r"(M\s?(\d{1,3})(?:\s*[x×]\s*[1-6](?:[.,]\d+)?)?)\s*/\s*(\d{2,3})(?:\s*mm)?", re.IGNORECASE)


def _in_order(text: str) -> str:
    """Count, thread and length in the one order, where what is what is beyond doubt; any other text as it is."""
    text = _JOINED.sub(r"\1 x ", text)
    if re.search(r"M\s?\d", text):
        text = re.sub(r"(?<=\d)\s*\*\s*(?=\d)", " x ", _STANDARD.sub("", text))
    found = _COUNT_BEHIND.fullmatch(text)
    if found and int(found["n"]) >= _FEWEST and re.fullmatch(rf"{THREAD}(?:\s*[x×].*)?", found["rest"], re.IGNORECASE):
        return f"{found['n']} x {found['rest']}"
    found = _COUNT_IN_BRACKETS.fullmatch(text)
    if (
        found
        and (found["n"] != found["size"] or "x" in found["rest"])
        and (found["times"] or 2 * _FEWEST <= int(found["n"]) <= _NO_FLATS * int(found["size"]))
    ):
        return f"{found['times'] or found['n']} x {found['rest']}"
    found = _BY_SLASH.fullmatch(text)
    return f"{found[1]} x {found[3]}" if found and int(found[3]) >= 1.5 * int(found[2]) else text


_FEWEST = 4
"""Fewer studs has no joint. A pitch in brackets ("M64 (4)") is 6 mm at the most, so a count there is 8 or more."""
_NO_FLATS = 1.4
"""A number in brackets up to this times the size is no width across flats ("M36 (55)") and no length ("M20 (80)")."""


def _too_short(found: re.Match[str]) -> dict[str, str] | None:
    """What "M24 x 12" is: no stud is shorter than it is thick, so a count, or not clear; None for a length."""
    size = re.match(r"M\s?(\d{1,3})", found["thread"], re.IGNORECASE)
    if size is None or not found["length"].isdigit() or int(found["length"]) > 1.25 * int(size[1]):
        return None
    count = int(found["length"])
    return (
        {"studs": found["length"], "thread": found["thread"].strip()}
        if _FEWEST <= count <= int(size[1]) and count % 2 == 0
        else {}
    )


def _of(found: re.Match[str]) -> dict[str, str]:
    """What a pattern found; nothing where the length is one that no stud has: it may be a pitch ("8 x M24-2"), a count
    ("M33 x 2 x 24") or a grade ("M16x8.8").
    """
    parts = found.groupdict()
    size = re.match(r"M\s?(\d{1,3})", parts.get("thread") or "", re.IGNORECASE)
    length = re.fullmatch(r"(\d+(?:[.,]\d+)?)\s*(?:mm|L(?:g)?|lg\.?|long)?", parts.get("length") or "", re.IGNORECASE)
    if size and length and float(length[1].replace(",", ".")) <= int(size[1]):
        return {}
    return {name: text.strip(" ,") for name, text in found.groupdict().items() if text}


def _may_be_count(found: re.Match[str]) -> bool:
    """Whether the first number counts studs: 4 or more, before something that is a thread by itself."""
    thread = found["thread"]
    own = thread[:1] in "mM" or "/" in thread or '"' in thread or "″" in thread or "in" in thread.lower()
    worded = re.search(r"off|no|pc|ea|st|[x×@)]", found.group()[len(found["studs"]) :][:6], re.IGNORECASE)
    behind = found.group()[len(found["studs"]) :]
    if int(found["studs"]) >= 8 and re.fullmatch(r"\s+[-–]\s+[1-3]", behind):
        return True  # "16 - 1": so many studs of a whole inch; with the blanks it is no range of sizes
    numbered = ")" in behind[:3]  # "2) M30" may be the second of a few
    return (
        int(found["studs"]) >= 2
        and (own or bool(worded))
        and not (int(found["studs"]) < 4 and (numbered or not worded))
    )


_BRACKET_BEHIND = re.compile(r"\(?(\d{1,3})\s?\)\s*[\dM]", re.IGNORECASE)


def numbers_its_rows(texts: Iterable[str]) -> bool:
    """Whether the numbers with a bracket behind them number the rows of a column: those of studs are even, 4 or more.

    >>> numbers_its_rows(["4) M30", "5) M24"]), numbers_its_rows(["16) 1 x 5-1/4", "(20) M30", "M36"])
    (True, False)
    """
    counts = [int(found[1]) for text in texts if (found := _BRACKET_BEHIND.match(text.strip()))]
    return any(count % 2 or count < _FEWEST for count in counts)


def numbered(text: str) -> bool:
    """Whether a text begins with a number that has a bracket behind it."""
    return _BRACKET_BEHIND.match(text.strip()) is not None


_WITH_NUTS = re.compile(r"(\d{1,3})\s*/\s*(\d{1,3})")


def studs_and_nuts(text: str) -> int | None:
    """The number of studs where it stands with that of their nuts, two each: "20/40"; no fraction of an inch is that.

    >>> studs_and_nuts("20/40"), studs_and_nuts("7/8"), studs_and_nuts("2/4")
    (20, None, None)
    """
    found = _WITH_NUTS.fullmatch(text.strip())
    return int(found[1]) if found and int(found[1]) >= 4 and int(found[2]) == 2 * int(found[1]) else None


@lru_cache(maxsize=4096)
def two_diameters(text: str) -> tuple[float, float] | None:
    """The two diameters of a gasket in one cell, smaller first: "219 / 270", "1120 x 1088"."""
    found = _DIAMETERS.fullmatch(" ".join(text.split()))
    if not found:
        return None
    one, other = sorted((float(found["one"]), float(found["other"])))
    return (one, other) if one < other < 2.5 * one else None
