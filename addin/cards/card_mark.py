"""The mark of a card for a scanner or a phone: a QR symbol with the key of the card as plain text."""

import segno

from addin.forms.tokens import Picture, PictureArea
from addin.plan.record_joint import JointEntry

_A = "http://schemas.openxmlformats.org/drawingml/2006/main"
_XDR = "http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing"
_QUIET = 4  # modules left white on every side, as ISO/IEC 18004 asks (from memory)


def key(joint: JointEntry) -> str:
    """Tag, operation and card of a joint as one text. Read it from the right: a tag may hold the sign between them.

    >>> key(JointEntry(row=7, joint="N1|N2", operation="break", method="hand", status="planned", card="7F3A-91C2"))
    'N1|N2|break|7F3A-91C2'
    """
    return "|".join((joint.joint or "", joint.operation, joint.card or ""))


def fault(joint: JointEntry) -> str | None:
    """Why a joint can have no mark, or None: a scanner types a tab or a line break as a key of its own."""
    if any(ord(sign) < 32 or sign in "\x7f\x85\u2028\u2029" for sign in key(joint)):
        return "the tag has a tab or a line break, which a scanner would type as a key"
    return None


def card_mark(text: str) -> Picture:
    """A picture of the mark, black on white, as one shape."""
    # a mask is chosen once: readers take any, and weighing all eight takes most of the time
    modules = [list(row) for row in segno.make(text, error="m", micro=False, mask=2).matrix]
    return lambda area, free: _anchor(text, modules, area, free)


def _anchor(text: str, modules: list[list[int]], area: PictureArea, free: int) -> str:
    side = min(area.width, area.height)
    left, top = area.width - side, max((area.height - side) // 2, 0)
    size = len(modules) + 2 * _QUIET
    path = "".join(_rectangle(*place) for place in _dark(modules))
    shown = text.replace("&", "&amp;").replace("<", "&lt;").replace('"', "&quot;")
    return (
        f'<xdr:oneCellAnchor xmlns:xdr="{_XDR}" xmlns:a="{_A}"><xdr:from><xdr:col>{area.column}</xdr:col>'
        f"<xdr:colOff>{left}</xdr:colOff><xdr:row>{area.row}</xdr:row><xdr:rowOff>{top}</xdr:rowOff></xdr:from>"
        f'<xdr:ext cx="{side}" cy="{side}"/><xdr:sp macro="" textlink=""><xdr:nvSpPr>'
        f'<xdr:cNvPr id="{free}" name="Card mark" descr="{shown}"/><xdr:cNvSpPr/></xdr:nvSpPr><xdr:spPr>'
        f'<a:xfrm><a:off x="{area.left + left}" y="{area.top + top}"/><a:ext cx="{side}" cy="{side}"/></a:xfrm>'
        '<a:custGeom><a:avLst/><a:gdLst/><a:ahLst/><a:cxnLst/><a:rect l="0" t="0" r="r" b="b"/><a:pathLst>'
        f'<a:path w="{size}" h="{size}">{path}</a:path></a:pathLst></a:custGeom>'
        '<a:solidFill><a:srgbClr val="000000"/></a:solidFill><a:ln><a:noFill/></a:ln></xdr:spPr></xdr:sp>'
        "<xdr:clientData/></xdr:oneCellAnchor>"
    )


def _dark(modules: list[list[int]]) -> list[tuple[int, int, int, int]]:
    """Dark modules as rectangles (left, top, right, bottom), as deep as they go, so that no hair line shows between."""
    left = {(x, y) for y, row in enumerate(modules) for x, dark in enumerate(row) if dark}
    found = []
    for y, row in enumerate(modules):
        for x in range(len(row)):
            if (x, y) not in left:
                continue
            right, bottom = x + 1, y + 1
            while (right, y) in left:
                right += 1
            while all((each, bottom) in left for each in range(x, right)):
                bottom += 1
            left -= {(across, down) for across in range(x, right) for down in range(y, bottom)}
            found.append((x + _QUIET, y + _QUIET, right + _QUIET, bottom + _QUIET))
    return found


def _rectangle(left: int, top: int, right: int, bottom: int) -> str:
    corners = "".join(
        f'<a:lnTo><a:pt x="{x}" y="{y}"/></a:lnTo>' for x, y in ((right, top), (right, bottom), (left, bottom))
    )
    return f'<a:moveTo><a:pt x="{left}" y="{top}"/></a:moveTo>{corners}<a:close/>'
