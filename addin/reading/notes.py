"""Title, notes and legends of a list: what they state for all rows, what they explain, which column they say governs."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from addin.reading.spellings import unit_of

_NUMBER = r"0?[.,]\d{1,3}"
_PRODUCT = r"[A-Za-z0-9][\w\s./+-]*?"
_LUBE_WORD = r"(?:paste|grease|compound|moly(?:kote)?|anti[- ]?sei[zs]e|lubricant|lube|dope|nickel|copper|MoS2|wax|oil)"
_STOP = r"(?=\s*(?:$|[|;,()]|\.(?:\s|$)|\s+on\s+|\s+for\s+all\b|\s+unless\b|\s+to\s+|\s+and\s+nut|\s+with\b|\s+at\b|\s+\bK\s*=|\s+K=|\s+CoF|\s+µ))"
_LUBES = tuple(re.compile(p, re.IGNORECASE) for p in (
    rf"(?:schmier(?:stoff|mittel|ung|paste)|gewindepaste|lubrifiant|lubrification|graiss\w*|lubricante|lubricaci[oó]n|grasa|lubrificante|lubrificazione|lubrifica[cç][aã]o|grasso|graxa|smeermiddel|smering|smøre?middel|smøring|smörj(?:medel|ning)|voitelu(?:aine)?|smar(?:owanie)?|mazivo|mazání)(?:\s+\w+)?\s*(?:[:=|]+\s*)+(?P<p>{_PRODUCT}){_STOP}",
    rf"(?:lubricants?|lube|lubrication|thread lubricant|thread compound|bolts? grease|(?:(?<![\w-]\s)|(?<=\bthread\s)|(?<=\bstud\s))(?<!\w)(?:grease|paste)|\blub)(?:\s+for\s+all\s+\w+|\s+all\s+\w+|\s+type|\s+used)?\s*(?:[:=|]+\s*)+(?P<p>{_PRODUCT}){_STOP}",
    rf"(?:lubed|lubricated|greased|lubricate|made up|coated|smeared)\s+(?:\w+\s+)?(?:w/|with|using|on)\s+(?P<p>{_PRODUCT}){_STOP}",
    rf"\bwith\s+(?P<p>(?:[\w-]+\s+){{0,4}}?{_LUBE_WORD}(?:\s+type)?(?:\s+[A-Z][A-Z0-9]*-?\d[\w-]*)?){_STOP}",
    rf"(?:^|[|,;:(=]\s*)(?P<p>(?:[\w-]+\s+){{0,3}}?{_LUBE_WORD}(?:\s+[A-Z][A-Z0-9]*-?\d[\w-]*)?){_STOP}",
    rf"(?:^|[|,;:]\s*)(?P<p>(?:[\w-]+\s+){{0,3}}?{_LUBE_WORD}(?:\s+[\w-]+)?)\s+on\s+(?:thread|stud|nut|bolt)",
    r"torques?\s+(?:is|are|values?)\s+(?:is|are)?\s*for\s+(?P<p>oiled|lubricated|dry)\b",
    r"\b(?P<p>lubricated by maker)\b",
))  # fmt: skip
_CODES = re.compile(r"(?:^|[\s,;|:])\w{1,3}\s*(?:=|:|-)\s+\w")
_NO_PRODUCT = re.compile(
    r"went to|^(?:all|the|on|and|both|thread|threads|stud|studs|no|do not|never|any|same|see|as|is|used|to be|list|type|with)\b(?!\s+paste)|\bcolumn\b|\bcoated\b.*\bno\b",
    re.IGNORECASE,
)
_K = re.compile(
    rf"(?:\bK|\bk|nut factor(?:\s+K)?|torque (?:coefficient|factor)|K[- ]factor)\s*(?:\([^()|]*\)\s*)?(?:[=:|]|\bis\b|\bof\b)+\s*(?P<k>{_NUMBER})"
)
_MU = re.compile(
    rf"(?:\bCoF|\bCOF|\bcof|µ|μ|\bmu\b|friction(?:\s+coefficient)?|coeff?(?:icient)?\.?\s+of\s+friction)\s*(?:\([^()|]*\)\s*)?(?:[=:|]|\bis\b|\bof\b)*\s*(?P<k>{_NUMBER})",
    re.IGNORECASE,
)
_BOTH = re.compile(r"both|threads?\s*(?:and|&|\+)\s*(?:nut|face|bearing)|overall|total", re.IGNORECASE)
_TENSILE = re.compile(
    r"\btensile(?:\s+stress)?\s+area|\btensile\s+stress\s+area|\bon\s+As\b|stress\s+area\s+As\b|\bA_s\b|\bnominal stress area|spannungsquerschnitt",
    re.IGNORECASE,
)
_ROOT = re.compile(
    r"\broot\s+area|\bon\s+(?:the\s+)?root\b|\bA_r\b|\bminor\s+(?:dia\w*\s+)?area|\broot\s+dia|kernquerschnitt|\bcore area",
    re.IGNORECASE,
)
_GRADE_WORD = r"(?:(?:ASTM\s+)?(?:SA?|A)-?\s?(?:193|320)(?:\s+(?:Gr\.?\s*)?[BL]\d+\w*)?|B7M?|B16|B8M?(?:\s*cl\.?\s*2)?|L7M?|L43|\d{1,2}\.[689]|A[24]-\d0)"
_GRADES = tuple(re.compile(p, re.IGNORECASE) for p in (
    rf"\ball\s+(?:studs?\s+|bolts?\s+|bolting\s+)?(?:are\s+|is\s+)?(?P<g>{_GRADE_WORD})\b(?:\s+(?:studs?|bolts?))?(?!.*\bunless\b.{{0,10}}\bB\d)",
    rf"(?:bolt(?:ing)?|stud)s?\s+(?:material|grade|spec)\s*(?:all\s+joints?|throughout)?\s*[:=|]+\s*(?P<g>{_GRADE_WORD})",
    rf"[,|.;]\s*(?P<g>{_GRADE_WORD})\s+(?:studs|bolts|bolting)\b",
))  # fmt: skip
_NUTS = tuple((re.compile(p, re.IGNORECASE), v) for p, v in (
    (r"heavy\s+hex|hvy\.?\s+hex|heavy\s+series", "heavy hex"), (r"\bHV\b.{0,30}(?:14399|DASt)", "EN 14399-4"),
))  # fmt: skip
_OPERATIONS = (
    ("break", re.compile(r"\bbreak[- ]?out\b|\bbreaking\b|\bunbolt\w*|\bopening list\b|\bjoints? to (?:be )?(?:open|break)", re.IGNORECASE)),
    ("test make-up", re.compile(r"\btest (?:make|bolt)[- ]?up|make[- ]?up for (?:hydro)?test|hydro ?test bolt[- ]?up", re.IGNORECASE)),
    ("retighten", re.compile(r"\bretorqu\w+ list|\bretighten\w* list|\bhot bolting list|\bre-?tightening\b", re.IGNORECASE)),
    ("final make-up", re.compile(r"\bfinal\s+(?:make|box|bolt)[- ]?up|\bbox(?:ed)?[- ]?up|\bclos(?:e|ing)[- ]?up\b|\bfinal closure|\bre-?instatement|\bfinal tightening\b|\bre-?assembly\b", re.IGNORECASE)),
)  # fmt: skip
_METHODS = (
    ("hydraulic", re.compile(r"\bhydraulic\s+(?:torque|tools?|wrench|torquing|bolting|tightening|torque tools?)|\bhyd\.?\s+(?:wrench|torque)|torque\s+wrench\s*\(hydr|with hydraulic tools?|by hydraulic", re.IGNORECASE)),
    ("other", re.compile(r"\bhydraulic(?:ally)?\s+tension|\bstud\s+tension", re.IGNORECASE)),
    ("hand", re.compile(r"\ball\s+by\s+hand|\bhand\s+torque\s+(?:list|wrench only)", re.IGNORECASE)),
)  # fmt: skip
_TEST = re.compile(r"test|\blater\b|\bblinds?\b", re.IGNORECASE)
"""Beside a final make-up: the list may be that of the test."""
_NOT_ALL = re.compile(
    r"\b(?:no|not|never|without|except|unless|hand|manual\w*|smaller|larger|below|above|under|over|and up|in\.? up|up to|from|only|until|on site|"
    r"available|\d+ (?:nos?\.? )?(?:hyd|off))\b",
    re.IGNORECASE,
)
"""Beside a method: it holds for some joints, not at all, or is a store of tools."""
_PERCENT = re.compile(
    r"\b(?P<p>\d\d(?:\.\d)?)\s*%\s*(?:of\s+)?(?:the\s+)?(?:min(?:imum)?\.?\s+)?(?:yield|smys|sy\b)", re.IGNORECASE
)
_TORQUE_UNIT = re.compile(
    r"(?P<before>\d[\d.,]*\s*)?(?<![\w/])(?P<u>ft\s*[.\-·]?\s*\.?\s*lbs?f?\b|foot[ -]?pounds?|lbf?\s*[.\-·]\s*(?:ft|pie|pé|pi)\b|(?:pie|pé|pi)\s*[.\-·]\s*lbf?\b|ftlbs?\b|kgf?\s*[.\-·]\s*m(?:tr?s?|et(?:er|re|ro)s?)?\b|kgf?m(?:trs?)?\b|N\s*[.\-·]\s*m\b|\bNm\b|kN\s*[.\-·]?\s*m\b|da\s?N\s*[.\-·]?\s*m\b|m\.?\s?daN\b|mkp\b|mkg\b)",
    re.IGNORECASE,
)
_STRESS_UNIT = re.compile(
    r"(?:stress(?:es)?|σ|\bSb\b)[^.;|\d]{0,30}?(?:\bin\b|,|:|=|\()\s*(?P<u>psi|ksi|MPa|N/mm²|N/mm2|kgf?/mm2|kgf?/mm²)",
    re.IGNORECASE,
)
_LENGTH_UNIT = re.compile(
    r"(?:(?:stud\s+|bolt\s+)?lengths?|l(?:ä|ae)ngen|longueurs|lunghezze|longitudes|comprimentos|lengtes|l(?:ä|æ)ng(?:der|dmått)|lengder"
    r"|d(?:ł|l)ugo(?:ś|s)ci|d(?:é|e)lky|pituudet|boylar)[^.;|\d]{0,20}?\s(?P<u>mm|inch(?:es)?|ins|(?<=\bin )in|in(?!\s+\w))\b",
    re.IGNORECASE,
)
"""The word "in" before another word is no inch: "lengths in mm", "lengths in the list of studs"."""
_LOAD_UNIT = re.compile(
    r"(?:loads?|tensions?|preloads?|forces?)(?:[^.;|\d]{0,20}?\b(?:in|is|are)\s+|\s*[:=,(]\s*)(?P<u>kN|lbf|kips?|N)\b",
    re.IGNORECASE,
)
_LEGEND = re.compile(
    r"(?:^|[;|,.(]\s*|\s{2,}|:\s+|\bLegend:?\s*)(?P<key>[A-Za-zΔσµμ№#][\w./'µσΔ,-]{0,11}?|[^\w\s.,;:=|()\[\]{}\"'<>+/*–-]{1,2})\s*(?:=|:|\s[-–]\s|\s[–-]>)\s*(?P<said>[^=;|]{2,60}?)(?=\s*(?:$|[;|.]|,\s*[\w./']{1,12}\s*(?:=|:|\s[-–]\s)|\s{2,}|\s+[\w./]{1,8}\s*=))"
)
_USE = re.compile(
    r"\buse\b|\bwe (?:run|go by|work to|use|take|set|torque|pull)\b|\brun with\b|\bto set\b|\bto build\b|\btighten(?:ed)? to\b|\bwhat we tighten\b|\bgovern|\bfull torque\b|\bis final\b|\bfinal (?:pass|value|nm|ft|torque)|\bto be set\b|\bto be used\b|\bthe requirement\b|\bcontract requirement\b|\bto be achieved\b|\bapply\b|\bis last pass\b|\blast pass\b"
    r"|\b(?:gilt|gelten|ma(?:ß|ss)gebend|ma(?:ß|ss)geblich|einzustellen|anzuwenden|verwenden|geldt|gelden|aanhouden|gebruiken|gælder|gjelder|gäller|brukes|benyttes|används|bestimmend|entscheidend|leidend|bepalend|maatgevend|styrende|avgjørende|avgørende|styrande|avgörande|ratkaisee|määräävä)\b"
    r"|\bskal (?:opnås|oppnås)\b|\bska uppnås\b"
    r"|\b(?:s'applique|à appliquer|appliquer|fait foi|à utiliser|se usa|usar|aplicar|rige|vale(?:n)?|utilizar|se aplica|usare|applicare|fa fede|aplica-se|deve ser usad[oa]|obowiązuje|stosować|decyduje|wiąże|platí|použít|rozhoduje|rozhodujúc[aei]|rozhodující|prévaut|fa testo|prevale(?:ce)?|manda)\b",
    re.IGNORECASE,
)
_NOT_USE = re.compile(
    r"\b(?:do not|don'?t|never|not to be|must not be|cannot be|no longer|not)\s+(?:be\s+)?(?:use|used|apply|set)\b"
    r"|\b(?:no|não|nao|non|nie|ne|neužívat|nepoužívat)\s+(?:aplicar|usar|utilizar|usare|applicare|utilizzare|stosować|pas)\b|\bne pas (?:utiliser|appliquer)\b"
    r"|\bnicht (?:verwenden|anwenden|einstellen|benutzen)\b|\bniet (?:gebruiken|toepassen)\b|\bikke (?:bruk\w*|brug\w*|benytt\w*)\b|\banvänds? (?:ej|inte)\b",
    re.IGNORECASE,
)
_BY_THE_LUBRICANT = re.compile(
    r"\b(?:depending on|according to|as per|seg[uú]n|selon|je nach|abhängig vom?|secondo|a seconda d\w+|conforme|de acordo com|afhankelijk van|volgens"
    r"|zależnie od|podle|beroende på|afhængig av?|avhengig av)\b[^.;]{0,25}?(?:lub\w+|graiss\w+|schmier\w+|grasa|graxa|grass\w+|greas\w+|smeer\w+|smør\w+|smörj\w+|smar\w+|maz\w+|friction|frottement|reibung\w*|roz\w+)",
    re.IGNORECASE,
)
"""Which column holds depends on the lubricant of the day: such a sentence chooses none."""
_INFO = re.compile(
    r"\bfor information\b|\bfrom the book only\b|\bnot for use\b|\bpour information\b|\bper informazione\b|\bzur info|\bfor info\b|\binformation only\b|\binfo only\b|\bindicative\b|\bfor reference\b|\bback-?up\b|\bonly follow\b|\bfor checking\b|\bnot (?:to be )?used\b|\bguide only\b|\bis kept for\b|\bis dry\b|\bold\b|\bsuperseded\b"
    r"|\bs[oó]lo referencia\b|\breferencia\b|\brefer[eê]ncia\b|\breferentie\b|\ba t[ií]tulo indicativ\w*|\bindicati(?:f|vo|va|ve)\b|\binformativ\w*|\bzu?r? (?:reinen )?information\b|\bnur zur\b"
    r"|\bter informatie\b|\bter info\b|\b(?:til|for|som) orientering\b|\borienterande\b|\btiedoksi\b|\binformacyjn\w*|\borientační\w*|\bpro informaci\b|\bpara informa\w*|\bsolo info\w*|\bà titre d'info\w*|\bpour mémoire\b",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class StatedInNotes:
    """A fact that title or notes state: its value, and the words that say so."""

    value: str
    words: str


@dataclass(frozen=True)
class Notes:
    """What title and notes say: facts by field, units by kind, legends by heading or code, sentences about columns."""

    facts: Mapping[str, StatedInNotes] = field(default_factory=dict)
    doubtful: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    units: Mapping[str, StatedInNotes] = field(default_factory=dict)
    legends: Mapping[str, str] = field(default_factory=dict)
    uses: tuple[str, ...] = ()
    infos: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    test_past: str = ""
    """The words that say that the pressure test is over ("reinstatement after hydro"), "" where none do."""
    range_at: str = ""
    """Where in a range of torques the target lies: "middle", "low", "high", or "" where nothing says."""


def read_notes(above: Sequence[Sequence[str]], below: Sequence[Sequence[str]], names: Sequence[str] = ()) -> Notes:
    """Read title (cells above), notes (cells below) and the names of sheet and file.

    >>> found = read_notes([["Torque values ft-lbs, studs lubed w/ moly paste P-7"]], [["Sb on root area. K = 0.16"]])
    >>> found.units["torque"].value, found.facts["lubricant"].value, found.facts["nut_factor"].value
    ('lbf·ft', 'moly paste P-7', '0.16')
    """
    title = [" | ".join(row) for row in above if row]
    notes = [" | ".join(row) for row in below if row]
    lines = [" ".join(line.split()) if "  " not in line else line.strip() for line in (*title, *notes)]
    facts: dict[str, StatedInNotes] = {}
    doubtful: dict[str, tuple[str, ...]] = {}
    _one(facts, doubtful, "lubricant", _products(lines))
    _one(facts, doubtful, "nut_factor", [(_figure(m["k"]), line) for line in lines for m in _K.finditer(line)])
    frictions = [(_figure(m["k"]), line) for line in lines for m in _MU.finditer(line)]
    frictions = [
        (value, line) for value, line in frictions if not any(_figure(m["k"]) == value for m in _K.finditer(line))
    ]
    if len({value for value, _ in frictions}) == 1:
        value, line = frictions[0]
        if _BOTH.search(line):
            facts["thread_friction"] = facts["nut_friction"] = StatedInNotes(value, line)
        else:
            doubtful["nut_factor"] = (f"friction {value}",)
    elif frictions:
        doubtful["thread_friction"] = tuple(dict.fromkeys(value for value, _ in frictions))
    tensile = [line for line in lines if _TENSILE.search(line)]
    root = [line for line in lines if _ROOT.search(line)]
    if tensile and not root:
        facts["area"] = StatedInNotes("tensile", tensile[0])
    elif root and not tensile:
        facts["area"] = StatedInNotes("root", root[0])
    elif root:
        doubtful["area"] = ("tensile", "root")
    _one(facts, doubtful, "grade", [(m["g"], line) for line in lines for p in _GRADES for m in p.finditer(line)])
    for pattern, series in _NUTS:
        said = [line for line in lines if pattern.search(line)]
        if said and "nut_series" not in facts:
            facts["nut_series"] = StatedInNotes(series, said[0])
    heads = [*title, *names]
    operations = [(name, line) for line in heads for name, p in _OPERATIONS if p.search(line)]
    operations += [
        ("test make-up", line) for name, line in operations if name == "final make-up" and _TEST.search(line)
    ]
    _one(facts, doubtful, "operation", operations)
    methods = [(name, line) for line in (*heads, *notes) for name, p in _METHODS if p.search(line)]
    methods += [("hand", line) for name, line in methods if name != "hand" and _NOT_ALL.search(line)]
    _one(facts, doubtful, "method", methods)
    _one(facts, doubtful, "percent", [(m["p"], line) for line in lines for m in _PERCENT.finditer(line)])
    clauses = [clause for sentence in _sentences(lines) for clause in _clauses(sentence)]
    past = next((line for line in lines if _TEST_PAST.search(line)), "")
    places = {name for name, pattern in _RANGE_AT for line in lines if pattern.search(line)}
    return Notes(
        facts,
        doubtful,
        _units(lines, [cell for row in above for cell in row]),
        _legends(lines, [*above, *below]),
        tuple(s for s in clauses if _USE.search(s) and not _NOT_USE.search(s) and not _BY_THE_LUBRICANT.search(s)),
        tuple(s for s in clauses if _INFO.search(s)),
        tuple(lines),
        past,
        places.pop() if len(places) == 1 else "",
    )


_TEST_PAST = re.compile(r"\bafter\s+(?:the\s+)?(?:hydro\w*|(?:pressure|leak|strength)?\s*test\w*)\b", re.IGNORECASE)
_RANGE_AT = (
    ("middle", re.compile(r"\b(?:aim|set|go|use|take|target)\w*\b[^.;|]{0,30}\bmid(?:dle|point|[- ]range)?\b|\bmid(?:dle|point) of (?:the )?(?:range|band)\b|\buse (?:the )?mean\b", re.IGNORECASE)),
    ("high", re.compile(r"\b(?:aim|set|go|use|take|target)\w*\b[^.;|]{0,20}\b(?:upper|higher|top|high(?:er)? (?:figure|value|end))\b", re.IGNORECASE)),
    ("low", re.compile(r"\b(?:aim|set|go|use|take|target)\w*\b[^.;|]{0,20}\b(?:lower|bottom|low(?:er)? (?:figure|value|end))\b", re.IGNORECASE)),
)  # fmt: skip


def _clauses(sentence: str) -> list[str]:
    """A sentence that tells one column from another ("load for information, apply the torque") in its clauses."""
    if _USE.search(sentence) and _INFO.search(sentence):
        return [
            part.strip() for part in re.split(r",\s+|\.\s+(?=[A-ZÀ-Þ])|\s/\s|\s:\s|\bbut\b", sentence) if part.strip()
        ]
    return [sentence]


def _figure(text: str) -> str:
    """A figure with a point and a digit before it: ",12" and ".12" are 0.12."""
    return f"0{plain}" if (plain := text.replace(",", ".")).startswith(".") else plain


def _sentences(lines: Sequence[str]) -> list[str]:
    return [
        part.strip()
        for line in lines
        for part in re.split(
            r"(?<=[a-z)\d²])(?<![\s\"„“(]\d)(?<!^\d)\.\s+(?=[A-Zσµ])|(?<=[A-Z]{4})\.\s+(?=[A-Z])|;\s+|\s\|\s|\s{2,}",
            line,
        )
        if part.strip()
    ]


def _one(
    facts: dict[str, StatedInNotes], doubtful: dict[str, tuple[str, ...]], name: str, found: Sequence[tuple[str, str]]
) -> None:
    """Take a fact that all statements agree on; several are no fact but a doubt."""
    values = {
        value.strip(" .").casefold(): (value.strip(" ."), line) for value, line in reversed(found) if value.strip(" .")
    }
    if len(values) == 1:
        facts[name] = StatedInNotes(*next(iter(values.values())))
    elif values:
        doubtful[name] = tuple(value for value, _ in reversed(list(values.values())))


def _products(lines: Sequence[str]) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    for line in lines:
        if re.search(r"\bnever\b|\bdo not (?:use|mix)\b|\bno paste\b|\bown\b|_CD\b|\bcode\b", line, re.IGNORECASE):
            continue
        if len(_CODES.findall(line)) > 1:
            continue  # a legend of codes
        for pattern in _LUBES:
            said = [m["p"].strip(" .|") for m in pattern.finditer(line)]
            said = [
                p for p in said if p and len(p) < 45 and not _NO_PRODUCT.search(p) and not re.fullmatch(r"[\d.,%]+", p)
            ]
            if said:
                found += [(p, line) for p in said[:1]]
                break
    best: list[tuple[str, str]] = []
    for product, line in found:  # "moly paste" beside "Moly paste MP-22" is the same
        folded = product.casefold()
        if any(folded in other.casefold() and folded != other.casefold() for other, _ in found):
            continue
        best.append((product, line))
    return best


def _units(lines: Sequence[str], cells: Sequence[str] = ()) -> dict[str, StatedInNotes]:
    found: dict[str, StatedInNotes] = {}
    torque: dict[str, str] = {}
    for cell in cells:  # a unit that stands alone above the headings
        unit = unit_of(cell.strip(" ()[].")) if len(cell) < 12 else None
        if unit is not None and unit.kind == "torque":
            torque.setdefault(unit.symbol, cell)
    for line in lines:
        for match in _TORQUE_UNIT.finditer(line):
            unit = unit_of(match["u"].replace(" ", "").replace("..", "."))
            if unit is not None and unit.kind == "torque" and not match["before"]:
                torque.setdefault(unit.symbol, line)
    if len(torque) == 1:
        symbol, line = next(iter(torque.items()))
        found["torque"] = StatedInNotes(symbol, line)
    for kind, pattern in (("stress", _STRESS_UNIT), ("length", _LENGTH_UNIT), ("force", _LOAD_UNIT)):
        symbols: dict[str, str] = {}
        for line in lines:
            for match in pattern.finditer(line):
                unit = unit_of(match["u"])
                if unit is not None and unit.symbol:
                    symbols.setdefault(unit.symbol, line)
        if len(symbols) == 1:
            symbol, line = next(iter(symbols.items()))
            found[kind] = StatedInNotes(symbol, line)
    return found


def _legends(lines: Sequence[str], rows: Sequence[Sequence[str]]) -> dict[str, str]:
    found: dict[str, str] = {}
    for row in rows:
        if len(row) == 2 and len(row[0]) < 30:
            found.setdefault(row[0].strip(" :").casefold(), row[1])
    for line in lines:
        for match in _LEGEND.finditer(line):
            key, said = match["key"].strip(".:,").casefold(), match["said"].strip(" .,")
            if not re.fullmatch(r"[\d.,]+\s*%?", said) and len(key) <= 12:
                found.setdefault(key, said)
    return found
