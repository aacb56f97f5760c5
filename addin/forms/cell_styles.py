"""What a template's cell styles say about print: size of the face, wrapping, and the digits a number format shows."""

from collections.abc import Mapping
from dataclasses import dataclass
from xml.etree import ElementTree

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


@dataclass(frozen=True)
class CellStyle:
    """The part of one cell format that decides what is seen."""

    size: float = 11.0
    bold: bool = False
    wrap: bool = False
    shrink: bool = False
    indent: int = 0
    format: str = "General"

    def shows(self, number: float) -> bool:
        """Whether the number format shows the number with all its digits.

        >>> CellStyle(format="0.0").shows(12.5), CellStyle(format="0").shows(12.5), CellStyle(format="0%").shows(30)
        (True, False, False)
        """
        decimals = decimals_shown(self.format)
        return decimals is not None and abs(round(number, decimals) - number) <= 1e-9 * abs(number)


def read_styles(part: bytes | None) -> list[CellStyle]:
    """Cell formats of a styles part, in the order in which cells refer to them."""
    if part is None:
        return [CellStyle()]
    root = ElementTree.fromstring(part)
    codes = {int(item.get("numFmtId", 0)): item.get("formatCode", "") for item in root.iter(f"{_MAIN}numFmt")}
    fonts = [_font(item) for item in root.findall(f"{_MAIN}fonts/{_MAIN}font")] or [(11.0, False)]
    styles = []
    for item in root.findall(f"{_MAIN}cellXfs/{_MAIN}xf"):
        size, bold = fonts[int(item.get("fontId", 0))]
        alignment = item.find(f"{_MAIN}alignment")
        number = int(item.get("numFmtId", 0))
        styles.append(
            CellStyle(
                size=size,
                bold=bold,
                wrap=_true(alignment, "wrapText"),
                shrink=_true(alignment, "shrinkToFit"),
                indent=0 if alignment is None else int(alignment.get("indent", 0)),
                format=codes.get(number, BUILT_IN_FORMATS.get(number, "General")),
            )
        )
    return styles or [CellStyle()]


def _font(item: ElementTree.Element) -> tuple[float, bool]:
    size, bold = item.find(f"{_MAIN}sz"), item.find(f"{_MAIN}b")
    return (
        float(size.get("val", 11)) if size is not None else 11.0,
        bold is not None and bold.get("val", "1") in ("1", "true"),
    )


def _true(element: ElementTree.Element | None, name: str) -> bool:
    return element is not None and element.get(name, "0") in ("1", "true")


def decimals_shown(code: str) -> int | None:
    """Decimals that a number format shows, or None where it does not show the plain number (dates, per cent, scaled).

    >>> decimals_shown("General"), decimals_shown("#,##0.00"), decimals_shown("0%"), decimals_shown("yyyy-mm-dd")
    (99, 2, None, None)
    """
    if code in ("General", "@", ""):
        return 99
    plain = _without_literals(code.split(";")[0])
    if any(letter in plain.lower() for letter in "dmyhs%/") or not any(mark in plain for mark in "0#?"):
        return None
    if "e" in plain.lower():
        return 0
    whole, _, decimals = plain.partition(".")
    if (decimals or whole).rstrip().endswith(","):
        return None
    return sum(decimals.count(mark) for mark in "0#?")


def _without_literals(code: str) -> str:
    kept, position = "", 0
    while position < len(code):
        mark = code[position]
        if mark in '"[':
            close = code.find('"' if mark == '"' else "]", position + 1)
            position = len(code) if close < 0 else close + 1
        elif mark in "\\_*":
            position += 2
        else:
            kept += mark
            position += 1
    return kept


BUILT_IN_FORMATS: Mapping[int, str] = {
    0: "General",
    1: "0",
    2: "0.00",
    3: "#,##0",
    4: "#,##0.00",
    9: "0%",
    10: "0.00%",
    11: "0.00E+00",
    12: "# ?/?",
    13: "# ??/??",
    **dict.fromkeys(range(14, 23), "d"),
    37: "#,##0",
    38: "#,##0",
    39: "#,##0.00",
    40: "#,##0.00",
    **dict.fromkeys(range(45, 48), "mm:ss"),
    48: "0.0E+0",
    49: "@",
}
"""Number formats that a workbook names by number only (ISO/IEC 29500-1, 18.8.30, from memory)."""
