"""A heading taken apart: its unit, the mark of a symbol, and its words in plain form. Knows spellings, no fields."""

import re
import unicodedata
from dataclasses import dataclass
from functools import cache, lru_cache

from calc.findings import InputError
from calc.hardware.threads import coarse_pitch
from calc.units import symbol

# spelling without dots, dashes and spaces, in small letters -> (kind, our symbol or "" where it is not clear)
_UNITS: dict[str, tuple[str, str]] = {}
for _kind, _symbol, _names in (
    (
        "torque",
        "lbf·ft",
        "ftlb ftlbs ftlbf ftlbsf lbft lbsft lbfft lbfsft footpounds footpound poundfeet poundfoot"
        " poundft ft/lb ft/lbs ftpounds ftpound fp# ft# lbpie lbspie lbpies lbfpie pielb lbfpe lbpe lbfpes lbpes piesxlb librapie librapies"
        " lbpi livrepied livrespieds piedlivre piedslivres lbxft lbsxft ftxlb ftxlbs lbf/ft lb/ft lbs/ft ft/lbf fpound",
    ),
    ("torque", "lbf·in", "inlb inlbs inlbf lbin lbsin lbfin inchpounds inchpound in/lb in/lbs lbpulg"),
    (
        "torque",
        "N·m",
        "nm newtonmetre newtonmetres newtonmeter newtonmeters nxm nmtr n/m njuton newtonmetro newtonmetri nms нм hm",
    ),
    ("torque", "kN·m", "knm кнм"),
    ("torque", "daN·m", "danm mdan daknm"),
    (
        "torque",
        "kgf·m",
        "kgm kgfm mkg mkgf mkp kpm kgsm kgfmtr kgmtr kgmt kgxm kgfxm kgfmetro kgmetro kg/m kgf/m кгсм кгм",
    ),
    ("stress", "MPa", "mpa nmm2 n/mm2 mn/m2 mpas мпа н/мм2"),
    ("stress", "psi", "psi lbf/in2 lb/in2 lbs/in2 psis"),
    ("stress", "ksi", "ksi kpsi"),
    ("stress", "", "tons/sqin tons/in2 ton/sqin ton/in2 tonf/sqin tonf/in2 tsi"),  # of 2240 or of 2000 lb?
    ("stress", "kgf/mm²", "kg/mm2 kgf/mm2 kp/mm2 kgmm2 kgfmm2"),
    ("pressure", "bar", "bar barg bar(g) bars bara barü бар"),
    ("pressure", "psi", "psig psi(g)"),
    ("pressure", "kgf/cm²", "kg/cm2 kg/cm2g kgcm2 kgcm2g kgf/cm2 kp/cm2 kg/cm2(g) ksc kgf/cm2g"),
    ("pressure", "kPa", "kpa kpag kpa(g)"),
    ("pressure", "MPa", "mpag mpa(g)"),
    ("force", "kN", "kn kns кн"),
    ("force", "tf", "tf tonf(metric) mtf"),
    ("force", "N", "newton newtons"),
    ("force", "lbf", "lbf lbsf"),
    ("force", "kip", "kip kips klbf klb klbs"),
    ("force", "kgf", "kgf kp"),
    ("force", "daN", "dan dans"),
    ("force", "", "mt ton tons tonne tonnes tonf te metrictonne metrictonnes tons(metric)"),
    ("length", "mm", "mm mms мм millimetre millimetres millimeter millimeters"),
    (
        "length",
        "in",
        'in inch inches ins pulg pulgada pulgadas pollici poll pouce pouces po zoll duim tum tommer cale polegada polegadas pol inç palce tuumaa inci " ″ ” ´´',
    ),
    ("length", "cm", "cm"),
    ("length", "ft", "feet foot"),
    ("length", "", "mil mils thou µm um micron microns"),
    ("area", "mm²", "mm2 sqmm"),
    ("area", "in²", "in2 sqin sqins sqinch"),
    ("area", "cm²", "cm2 sqcm"),
    ("percent", "%", "% pct percent prozent porcentaje pourcent procent"),
    ("angle", "°", "deg degs degree degrees ° º grad grados graus gradi astetta"),
    ("time", "h", "hrs hr hours std stdn"),
    ("temperature", "°C", "°c degc ºc celsius"),
    ("temperature", "°F", "°f degf ºf fahrenheit"),
    ("mass", "", "kg kgs"),
    ("unclear", "", "lb lbs # m t k g ft n p"),
):
    for _name in _names.split():
        _UNITS[_name] = (_kind, _symbol)


@dataclass(frozen=True)
class UnitText:
    """A unit as found: its kind ("torque", "stress", ... "unclear"), our symbol ("" none), and its text."""

    kind: str
    symbol: str
    text: str


def unit_of(text: str) -> UnitText | None:
    """The unit that a text is as a whole, None for any other text.

    >>> unit_of("ft. lbs."), unit_of("N/mm²").symbol, unit_of("size")
    (UnitText(kind='torque', symbol='lbf·ft', text='ft. lbs.'), 'MPa', None)
    """
    found = _UNITS.get(_plain_unit(text))
    return UnitText(*found, text.strip()) if found else None


@lru_cache(maxsize=4096)
def _plain_unit(text: str) -> str:
    low = (
        text.strip().lower().replace("²", "2").replace("^2", "2").replace("μ", "µ").replace("·", "").replace("''", '"')
    ).replace("é", "e")
    low = re.sub(r"^(?:in|per)\s+(?=\S)", "", low) if " " in low else low
    low = re.sub(r"\s*/\s*(?:bolt|stud|screw)s?$|\s+per\s+(?:bolt|stud)$", "", low)
    low = re.sub(r"[\s.\-⋅•*×_\[\]–]+", "", low)
    return low[1:-1] if low.startswith("(") and low.endswith(")") else low


def symbol_of(unit: UnitText | None, kind: str) -> str | None:
    """The unit as the symbol of a kind of quantity, None where it is not of that kind or not clear.

    >>> symbol_of(unit_of("psi"), "stress"), symbol_of(unit_of("Nm"), "stress"), symbol_of(unit_of("t"), "force")
    ('psi', None, None)
    """
    if unit is None or not unit.symbol:
        return None
    try:
        return symbol(kind, unit.symbol)
    except InputError:
        return None


@dataclass(frozen=True)
class Spelled:
    """A heading taken apart: words in plain form, the text before that (for symbols), its units, its brackets.

    `doubled`: two units of one kind stand in it. `question`: it ends with a question mark.
    """

    words: tuple[str, ...]
    bare: str
    units: tuple[UnitText, ...]
    question: bool = False

    @property
    def unit(self) -> UnitText | None:
        """Its unit; None where it has none, or two of which none can be taken. A per cent beside a unit is none.

        >>> [spelled(text).unit.symbol for text in ("Preload (%)", "Torque (Nm, %)")], spelled("Torque").unit
        (['%', 'N·m'], None)
        """
        kinds = [unit for unit in self.units if unit.kind != "percent"] or list(self.units)
        return kinds[-1] if kinds and not self.doubled else None

    @property
    def doubled(self) -> bool:
        """Whether two different units of one kind stand in it ("ft-lb / Nm")."""
        last = self.units[-1].kind if self.units else ""
        return len({unit.symbol for unit in self.units if unit.kind == last}) > 1


_FOOT = re.compile(
    r"[¹³⁴⁵⁶⁷⁸⁹*†‡§]+|\(\s*(?:see\s+)?(?:foot)?notes?\s*\w?\s*\)|\bsee\s+(?:foot)?notes?\s*\d*|\[\d\]"
    r"|\(\s*see\s[^()]*\)|\(\s*\d\s*\)\s*$",
    re.IGNORECASE,
)
_SLASH_UNITS = r"(?:N|kN|MN|kgf?|kp|lbf?|lbs)\s*/\s*(?:mm|cm|in|m)\s*(?:\^?2|²)(?:\s*\(?g\)?)?"
_MANY = (
    r"(?:lbs?f?|libras?)\s*[.\-·/x ]?\s*p(?:ies?|[eé]s?)\b|pies?\s*[.\-·/x ]\s*lbs?f?\b|da\s?N\s*[.\-·* ]?\s*m\b|m\.?daN\b"
    r"|ft\s*[.\-·/ ]?\s*lbs?f?\b\.?|lbs?f?\s*[.\-·/ ]?\s*ft\b\.?|in\s*[.\-·]\s*lbs?f?\b\.?|lbs?f?\s*[.\-·]\s*in\b"
    r"|foot[\s-]?pounds?|kgf?s?\s*[.\-·x]\s*m(?:tr?)?\b|kgm\b|kgfm\b|mkp\b|mkg\b|kNm\b|kN\s*[.\-·]\s*m\b"
    r"|N\s*[.\-·*x]\s*m(?:tr)?\b|\bNm\b|\bNM\b|newton[\s-]?met(?:re|er)s?|(?-i:(?:k|da)?N m)\b"
)
_INSIDE = re.compile(rf"(?<![\w])(?:{_SLASH_UNITS}|{_MANY})(?![\w²])", re.IGNORECASE)
_PLAIN = re.compile(
    r"(?<![\w])(?:MPa|GPa|ksi|psig?|bar\s?\(?g\)?|barg|kips?|lbf|kN|mm²|mm2|in²|in2|in\^2|mm\^2|sq\.?\s?mm|sq\.?\s?in"
    r"|cm²|cm2|mm|inch(?:es)?|ins|kPa|mils)(?![\w²])\.?",
    re.IGNORECASE,
)
_BRACKET = re.compile(r"[(\[{]\s*([^()\[\]{}]*(?:\([^()]*\)[^()\[\]{}]*)?)\s*[)\]}]")
_TAIL = re.compile(r"(?:[,;:]|\s[-–]|\s/|\bin\b)\s*([^\s,;:]+(?:\s+[^\s,;:]+)?)\s*$|\s([^\s]+)\s*$", re.IGNORECASE)


_PER_INCH = re.compile(r"\bthreads?\s*(?:/|per\b)\s*in(?:ch|\.)?(?!\w)", re.IGNORECASE)
"""What a thread has to an inch is its pitch; the inch there is no unit of the column."""


@lru_cache(maxsize=16384)
def spelled(text: str) -> Spelled:
    """A heading taken apart.

    >>> spelled("Stud Ø (in)").words, spelled("Torque,\\nlb-ft").unit.symbol, spelled("BLT_DIA_IN").words
    (('stud', 'ø'), 'lbf·ft', ('blt', 'dia'))
    """
    shown = " ".join(str(text).replace("\u00a0", " ").replace("’", "'").replace("‘", "'").split())
    units: list[UnitText] = []
    rest = re.sub(r"\(\s*(?:mm|in|cm)\s*(?:²|2)\s*\)", lambda m: m.group(), shown)
    rest = _PER_INCH.sub("TPI", rest.replace("μ", "µ"))

    def bracket(match: re.Match[str]) -> str:
        inner = match[1].strip()
        found = _unit_list(inner)
        if found:
            units.extend(found)
            return " "
        return f" {inner} " if not _FOOT.fullmatch(match[0]) else " "

    rest = _BRACKET.sub(bracket, rest)
    rest = rest.strip()
    if (whole := size_unit(rest)) is not None:
        units.append(whole)
        rest = ""
    if "_" in rest or re.fullmatch(r"[A-Za-z0-9]+(?:\.[A-Za-z0-9]+)+(?:_[A-Za-z0-9]+)*", rest):
        parts = [part for part in re.split(r"[_.]", rest) if part]
        if len(parts) > 1 and not re.fullmatch(r"\S_\S{1,3}(?:,\S+)?", rest) and (found := unit_of(parts[-1])) and (
            found.kind != "unclear" and (len(parts[-1]) > 1)
        ):  # fmt: skip
            units.append(found)
            rest = " ".join(parts[:-1])
    before = rest

    def inside(match: re.Match[str]) -> str:
        found = unit_of(match.group().rstrip("."))
        if found is None:
            return match.group()
        units.append(found)
        return " "

    rest = _INSIDE.sub(inside, rest)
    rest = _PLAIN.sub(inside, rest)
    rest = re.sub(r"(?:(?<=\s)|^)(?:per\s+cent|%|pct\.?)(?=\s|$|[A-Za-z])|%", " % ", rest)
    tail = _TAIL.search(rest)
    if tail and tail.start() > 0:
        candidate = (tail[1] or tail[2] or "").strip(" .")
        found = (
            unit_of(candidate)
            if candidate and not (candidate == "%" and re.search(r"\d\s*$", rest[: tail.start()]))
            else None
        )
        spaced = tail[2] is not None
        if units and candidate.lower() in ("in", "per", "at"):
            found = None
        if found and not (spaced and found.kind == "unclear" and candidate.lower() not in ("lb", "lbs", "kg")) and not (
            spaced and candidate.lower() in ("n", "no", "k", "m", "p", "mt", "std", "h", "g", "t", "percent", "deg")
        ):  # fmt: skip
            units.append(found)
            rest = rest[: tail.start()]
    whole = unit_of(shown)
    if (
        whole is not None
        and not units
        and (whole.kind != "unclear" or shown.lower().strip(" .()") in ("lb", "lbs", "#"))
    ):
        units.append(whole)
        rest = "" if whole.kind in ("torque", "stress", "force", "pressure") else rest
    question = shown.endswith("?")
    return Spelled(plain_words(_FOOT.sub(" ", rest)), " ".join(_FOOT.sub(" ", before).split()), tuple(units), question)


_VULGAR = {"⅛": "1/8", "¼": "1/4", "⅜": "3/8", "½": "1/2", "⅝": "5/8", "¾": "3/4", "⅞": "7/8"}
_ONE_SIGN = re.compile("([0-9]?)[ -]?([" + "".join(_VULGAR) + "])")


_MARK_INSIDE = re.compile(r"(?<![\d.])(\d)\s?(?:\"|''|″|”)\s?-?(?=\d{1,2}/(?:2|4|8|16|32)(?!\d))")
"""The mark of inches between the whole and its fraction: 1"1/8."""
_DIAMETER_SIGNS = ("Ø", "ø", "⌀", "∅")
_DIAMETER_SIGN = re.compile(r"^[Øø⌀∅]\s*(?=M\s?\d|(?:\d[ -])?\d{1,2}/\d|\d{1,2}\s?[\"″])")
_UN_CLASS = re.compile(r"(?<=[\dNCFRJ])\s*-?\s*[123]A$")
_SERIES_FIRST = re.compile(r"\s*-?\s*\b(UN[CFRJ]*)\s*-\s*(4\.5|[4-9]|1[0-8]|20)$")
"""What stands behind or before the threads per inch: "1-8 UN 2A", "1 1/8 UN-8"."""
_METRIC_BY_DASH = re.compile(
    r"(M\s?(\d{1,3})(?:\s*[x×*]\s*[\d.,]+)?)(?:\s*[-–]\s*(\d(?:[.,]\d{1,2})?))??(?:\s*[-– ]\s*[4-8][gh](?:[4-8][gh])?)?",
    re.IGNORECASE,
)


def _metric_by_dash(text: str, found: re.Match[str]) -> str:
    """A metric size with its pitch behind a dash, where it can be no count: coarse, 3 mm, or with a decimal mark."""
    size, pitch = float(found[2]), found[3]
    if pitch is None:
        return found[1]
    value = float(pitch.replace(",", "."))
    usual = value == coarse_pitch(size) or (value == 3 and size >= _FINE_FROM) or len(pitch) > 1
    return f"{found[1]}x{pitch}" if usual and 0.5 <= value <= 6 and "x" not in found[1].lower() else text


_FINE_FROM = 30
_TIMES_PITCH = re.compile(r"(?<=[\d\"])\s*[x×]\s*(4\.5|[4-9]|1[0-8]|20)\s*(UN[CFRJ]*)\b")
"""A size "by" its threads per inch: "1 3/8 x 8UN"."""


def plain_fractions(text: str) -> str:
    """A text with fractions of an inch that are one sign, or are parted by a dot, written out; "1 x 8UN" is 1-8 UN.

    >>> plain_fractions('1"1/8'), plain_fractions("M30-3,5"), plain_fractions("1-8 UN 2A"), plain_fractions("M24-6g")
    ('1 1/8', 'M30x3,5', '1-8 UN', 'M24')
    >>> plain_fractions('1⅛" UN'), plain_fractions('2.3/16"'), plain_fractions("M24x3"), plain_fractions("1 3/8 x 8UN")
    ('1 1/8" UN', '2 3/16"', 'M24x3', '1 3/8-8 UN')
    """
    if "UN" in text:
        text = _TIMES_PITCH.sub(r"-\1 \2", text)
        text = _SERIES_FIRST.sub(r"-\2 \1", _UN_CLASS.sub("", text))
    elif text[:1] in "Mm" and (found := _METRIC_BY_DASH.fullmatch(text)):
        text = _metric_by_dash(text, found)
    if text[:1] in _DIAMETER_SIGNS:
        text = _DIAMETER_SIGN.sub("", text)
    if "/" in text:
        text = _MARK_INSIDE.sub(r"\1 ", text)
    if any(sign in text for sign in _VULGAR):
        text = _ONE_SIGN.sub(lambda found: f"{found[1]} {_VULGAR[found[2]]}".strip(), text)
    return re.sub(r"(?<![\d.])(\d)\s?\.\s?(?=\d{1,2}/(?:2|4|8|16|32)(?!\d))", r"\1 ", text)


_FIGURE = r"\d[\d.,' ]*"
_TWICE = re.compile(
    rf"({_FIGURE})\s*([A-Za-z][A-Za-z.·\- ]*?)?\s*(?:[/|;=]|\()\s*({_FIGURE})\s*([A-Za-z][A-Za-z.·\- /]*?)?\s*\)?"
)
_WITHIN = re.compile(r"\s*(?:±|\+\s*/\s*-|\+-)\s*\d+(?:[.,]\d+)?\s*%?\s*")
_NM, _SAME = 1.3558179483, 0.012


def one_figure(text: str) -> str:
    """A torque that stands twice in a cell, in N·m and lbf·ft, once; a tolerance behind it is left out.

    What the two do not have in common is no reading of it: the text then stays as it is.

    >>> one_figure("1500 Nm / 1106 ft-lb"), one_figure("1106 (1500)"), one_figure("480 Nm ±5 %"), one_figure("14 / 1500")
    ('1500 Nm', '1106 ft-lb', '480 Nm', '14 / 1500')
    """
    if not text[:1].isdigit():
        return text
    plain = _WITHIN.sub(" ", text).strip()
    found = _TWICE.fullmatch(plain)
    if not found:
        return plain if plain != text and re.fullmatch(rf"{_FIGURE}\s*\D*", plain) else text
    try:
        one, other = (float(re.sub(r"[', ]", "", found[k])) for k in (1, 3))
    except ValueError:
        return text
    names = [unit_of(found[k].strip()) if found[k] else None for k in (2, 4)]
    stated = [each.symbol if each else "" for each in names]
    if other and abs(one / other / _NM - 1) < _SAME and stated[0] in ("", "N·m") and stated[1] in ("", "lbf·ft"):
        return f"{found[1].strip()} Nm"
    if one and abs(other / one / _NM - 1) < _SAME and stated[0] in ("", "lbf·ft") and stated[1] in ("", "N·m"):
        return f"{found[1].strip()} ft-lb"
    return text


_SIZE_BY_LENGTH = re.compile(r"(in(?:ch(?:es)?)?\.?|mm|\"|″)\s*[x×*]\s*(?:in(?:ch(?:es)?)?\.?|mm|\"|″)", re.IGNORECASE)


def size_unit(text: str) -> UnitText | None:
    """The unit of the size where a text states those of size and length together.

    >>> size_unit("in x mm").symbol, size_unit("mm")
    ('in', None)
    """
    pair = _SIZE_BY_LENGTH.fullmatch(text.strip(" ()[]"))
    return unit_of(pair[1]) if pair else None


def _unit_list(text: str) -> list[UnitText]:
    """The units that a bracket holds, none where it holds anything else."""
    whole = unit_of(text)
    if whole:
        return [whole]
    low = text.strip().lower()
    if (match := re.fullmatch(r"(.+?)\s+(?:per\s+|/\s*)(?:bolt|stud|screw)s?", low)) and (found := unit_of(match[1])):
        return [found]
    if (match := re.fullmatch(r"in\s+(.+)", low)) and (found := unit_of(match[1])):
        return [found]
    if pair := _SIZE_BY_LENGTH.fullmatch(text.strip()):  # "in x mm": the size of a stud, then its length
        found = unit_of(pair[1])
        return [found] if found else []
    parts = [unit_of(part) for part in re.split(r"\s*/\s*|\s+or\s+|\s*,\s*|\s*\|\s*", text)]
    if len(parts) > 1 and all(part is not None for part in parts):
        return [part for part in parts if part is not None]
    return []


_ACCENTS = str.maketrans(
    {"ß": "ss", "ł": "l", "ı": "i", "İ": "i", "æ": "ae", "Æ": "ae", "œ": "oe", "Œ": "oe", "đ": "d", "Đ": "d"}
)


@cache
def _folded(word: str) -> str:
    if word in "øØ⌀∅Φφ":
        return "ø"
    plain = unicodedata.normalize("NFKD", word.replace("ø", "o").replace("Ø", "O")).encode("ascii", "ignore").decode()
    return plain or word


def unaccented(text: str) -> str:
    """A text in small letters without accents; punctuation stays.

    >>> unaccented("Diâm. Bemærk.")
    'diam. bemaerk.'
    """
    if text.isascii():
        return text.lower()
    return unicodedata.normalize("NFKD", text.translate(_ACCENTS)).encode("ascii", "ignore").decode().lower()


def plain_words(text: str) -> tuple[str, ...]:
    """Words in plain form: small letters, no accents, split at punctuation and snake or dotted names.

    >>> plain_words("No. req'd:"), plain_words("Nut A/F"), plain_words("N° de goujons")
    (('no', 'reqd'), ('nut', 'a', 'f'), ('n°', 'de', 'goujons'))
    """
    low = text.translate(_ACCENTS).replace("'", "").replace("μ", "µ").lower()
    low = re.sub(r"\bq[.\- ]{1,2}ty\b", "qty", low)
    low = re.sub(r"(?<![\w.])č\.(?=\s*\w)|(?<=\w\s)č\.", "cislo ", low)  # "Č. spoje"
    low = re.sub(r"[øØ⌀∅Φφ](?=\s|$|[^a-zäöåæø])", " ø ", low) if re.search(r"[øØ⌀∅Φφ]", low) else low
    found = re.findall(r"n°|№|#|%|µ\w*|σ\w*|δ\w*|[^\W_]+(?:,\d)?", low)
    return tuple("µ" if word == "µ" else word if word in _NUMBER or (word[0] in "µσδ#%" and not word.isascii())
                 else _folded(word) for word in found)  # fmt: skip


_NUMBER = frozenset(("n°", "nº", "№"))
