"""The stud circle of a joint card as native shapes of a spreadsheet drawing, in black, white and grey.

One grey circle per stud with its number in bold; within the ring, smaller and with a point, the move of the first cross
pass in which it is tightened; a triangle points at stud 1; an arrow in the middle shows that numbers run clockwise. The
circles shrink with the stud count. Above `WITH_MOVES` studs the moves would be too small to read in bad light: they are
left out, the bold numbers stand outside the ring, and the printed order alone counts. Above `EVERY_OTHER` studs stud 1
and every second after it are numbered, above `MOST_NUMBERED` every fourth, so that a number is never below 7
points on a card printed at seven tenths.
"""

import math
import re
from collections.abc import Sequence
from functools import lru_cache
from xml.sax.saxutils import escape

from addin.forms.tokens import Picture, PictureArea

CLOCKWISE = "clockwise"
WITH_MOVES = 36
EVERY_OTHER = 44
MOST_NUMBERED = 88

_A = "http://schemas.openxmlformats.org/drawingml/2006/main"
_XDR = "http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing"
_POINT = 12700
_MARGIN = 2 * _POINT


def stud_circle(order: Sequence[Sequence[int]], *, stud_1: str | None = None) -> Picture:
    """A picture of the order. order : moves, each the studs tightened together; stud_1 : where stud 1 is, in words.

    Where the words begin with an hour ("3 o'clock ..."), stud 1 is drawn there, else at the top.
    """
    moves = tuple(tuple(move) for move in order)
    return lambda area, free: _anchor(moves, start_angle(stud_1), area, free)


def start_angle(stud_1: str | None) -> float:
    """Angle of stud 1, clockwise from the top. [degrees]

    >>> start_angle("3 o'clock seen from the turned side"), start_angle(None)
    (90.0, 0.0)
    """
    match = re.match(r"\s*(1[0-2]|[1-9])\s*o.?\s?clock\b", stud_1 or "", flags=re.IGNORECASE)
    return float(int(match[1]) % 12 * 30) if match else 0.0


@lru_cache(maxsize=256)
def _anchor(moves: tuple[tuple[int, ...], ...], start: float, area: PictureArea, free: int) -> str:
    side = max(min(area.width, area.height) - 2 * _MARGIN, 72 * _POINT)
    left, top = max((area.width - side) // 2, 0), max((area.height - side) // 2, 0)
    shapes = _Shapes(free)
    _draw(shapes, moves, start, side)
    return (
        f'<xdr:oneCellAnchor xmlns:xdr="{_XDR}" xmlns:a="{_A}"><xdr:from><xdr:col>{area.column}</xdr:col>'
        f"<xdr:colOff>{left}</xdr:colOff><xdr:row>{area.row}</xdr:row><xdr:rowOff>{top}</xdr:rowOff></xdr:from>"
        f'<xdr:ext cx="{side}" cy="{side}"/><xdr:grpSp><xdr:nvGrpSpPr>'
        f'<xdr:cNvPr id="{free}" name="Order picture" descr="{escape(_description(moves))}"/><xdr:cNvGrpSpPr/>'
        f'</xdr:nvGrpSpPr><xdr:grpSpPr><a:xfrm><a:off x="{area.left + left}" y="{area.top + top}"/>'
        f'<a:ext cx="{side}" cy="{side}"/><a:chOff x="0" y="0"/><a:chExt cx="{side}" cy="{side}"/></a:xfrm>'
        f"</xdr:grpSpPr>{''.join(shapes.items)}"
        "</xdr:grpSp><xdr:clientData/></xdr:oneCellAnchor>"
    )


def _description(moves: Sequence[Sequence[int]]) -> str:
    return "Stud circle, order: " + ", ".join(" with ".join(str(stud) for stud in move) for move in moves)


def _draw(shapes: "_Shapes", moves: Sequence[Sequence[int]], start: float, side: int) -> None:
    studs = sorted(stud for move in moves for stud in move)
    turn = {stud: number for number, move in enumerate(moves, 1) for stud in move}
    count = len(studs)
    middle = side / 2
    outside = count > WITH_MOVES  # numbers beside the circles, where they can be larger
    number_face, move_face = (10.0 if outside else 0.0), 9.0
    step = 1 if count <= EVERY_OTHER else 2 if count <= MOST_NUMBERED else 4
    mark = 11 * _POINT
    outer = middle - mark - (1.3 * number_face * _POINT if outside else 0)
    pitch = math.sin(math.pi / max(count, 4))
    size = min(2 * outer * pitch / (1 + pitch) * 0.92, 30 * _POINT)
    ring = outer - size / 2
    shapes.ellipse(middle, middle, ring, line=1.0)
    for position, stud in enumerate(studs):
        angle = math.radians(start + 360 * position / count)
        along, up = math.sin(angle), -math.cos(angle)

        def at(distance: float, along: float = along, up: float = up) -> tuple[float, float]:
            return middle + distance * along, middle + distance * up

        first = stud == studs[0]
        shapes.ellipse(*at(ring), size / 2, fill="D0D0D0", line=1.75 if first else 0.75)
        if position % step == 0:
            if outside:
                shapes.text(*at(ring + size / 2 + 0.75 * number_face * _POINT), str(stud), number_face, bold=True)
            else:
                shapes.text(*at(ring), str(stud), min(max(size / _POINT * 0.6, 9), 15), bold=True)
        if not outside:
            inward = size / 2 + 0.85 * move_face * _POINT
            shapes.text(*at(ring - inward), f"{turn[stud]}.", move_face)
        if first:
            shapes.triangle(*at(middle - 0.42 * mark), math.degrees(angle), 0.8 * mark)
    shapes.clockwise(middle, middle, max(0.3 * ring, 34 * _POINT))
    shapes.text(middle, middle, CLOCKWISE, 9)


class _Shapes:
    """Shapes of one group, with running ids."""

    def __init__(self, free: int) -> None:
        self.items: list[str] = []
        self._id = free

    def _shape(self, name: str, frame: str, geometry: str, paint: str, text: str = "") -> None:
        self._id += 1
        box = ' txBox="1"' if text and "noFill/><a:ln><a:noFill" in paint else ""
        self.items.append(
            f'<xdr:sp macro="" textlink=""><xdr:nvSpPr><xdr:cNvPr id="{self._id}" name="{name}"/><xdr:cNvSpPr{box}/>'
            f"</xdr:nvSpPr><xdr:spPr>{frame}{geometry}{paint}</xdr:spPr>{text}</xdr:sp>"
        )

    def ellipse(self, x: float, y: float, radius: float, *, fill: str | None = None, line: float) -> None:
        paint = f'<a:solidFill><a:srgbClr val="{fill}"/></a:solidFill>' if fill else "<a:noFill/>"
        self._shape("circle", _frame(x, y, radius, radius), _preset("ellipse"), paint + _line(line))

    def triangle(self, x: float, y: float, angle: float, size: float) -> None:
        """A triangle outside the ring that points inwards at a stud."""
        frame = _frame(x, y, size / 2, size / 2.3, round((angle + 180) * 60000) % 21600000)
        black = '<a:solidFill><a:srgbClr val="000000"/></a:solidFill>'
        self._shape("stud 1", frame, _preset("triangle"), black + "<a:ln><a:noFill/></a:ln>")

    def clockwise(self, x: float, y: float, radius: float) -> None:
        """An open arc from lower left over the top to lower right, with an arrow head at its end."""
        geometry = (
            '<a:prstGeom prst="arc"><a:avLst><a:gd name="adj1" fmla="val 10200000"/>'
            '<a:gd name="adj2" fmla="val 600000"/></a:avLst></a:prstGeom>'
        )
        line = (
            '<a:noFill/><a:ln w="28575"><a:solidFill><a:srgbClr val="000000"/></a:solidFill>'
            '<a:tailEnd type="triangle" w="lg" len="lg"/></a:ln>'
        )
        self._shape("clockwise", _frame(x, y, radius, radius), geometry, line)

    def text(self, x: float, y: float, words: str, size: float, *, bold: bool = False) -> None:
        run = (
            f'<a:rPr lang="en-US" sz="{round(size * 100)}" b="{int(bold)}"><a:solidFill><a:srgbClr val="000000"/>'
            '</a:solidFill><a:latin typeface="Arial"/><a:cs typeface="Arial"/></a:rPr>'
        )
        body = (
            '<xdr:txBody><a:bodyPr wrap="none" lIns="0" tIns="0" rIns="0" bIns="0" anchor="ctr" '
            'vertOverflow="overflow" horzOverflow="overflow"><a:noAutofit/></a:bodyPr><a:lstStyle/><a:p>'
            f'<a:pPr algn="ctr"/><a:r>{run}<a:t>{escape(words)}</a:t></a:r></a:p></xdr:txBody>'
        )
        frame = _frame(x, y, 0.4 * size * len(words) * _POINT, 0.65 * size * _POINT)
        self._shape("label", frame, _preset("rect"), "<a:noFill/><a:ln><a:noFill/></a:ln>", body)


def _frame(x: float, y: float, half_width: float, half_height: float, rotation: int = 0) -> str:
    turned = f' rot="{rotation}"' if rotation else ""
    return (
        f'<a:xfrm{turned}><a:off x="{round(x - half_width)}" y="{round(y - half_height)}"/>'
        f'<a:ext cx="{round(2 * half_width)}" cy="{round(2 * half_height)}"/></a:xfrm>'
    )


def _preset(name: str) -> str:
    return f'<a:prstGeom prst="{name}"><a:avLst/></a:prstGeom>'


def _line(width: float) -> str:
    return f'<a:ln w="{round(width * _POINT)}"><a:solidFill><a:srgbClr val="000000"/></a:solidFill></a:ln>'
