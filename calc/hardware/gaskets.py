"""Gasket design loads of ASME VIII-1 Appendix 2: effective width, reaction diameter, operating and seating load.

They are minima for the design of the flange, not targets for assembly.

The effective width is published twice, b = 0.5 √b0 above 1/4 in and b = 2.52 √b0 above 6 mm, and the two do not quite
agree: 0.5 √25.4 is 2.51992, and 6 mm is not 1/4 in. Used here, in SI, is the inch form, which is continuous at its
limit; the millimetre form is up to 2.9 per cent wider between 6 mm and 1/4 in and 0.003 per cent wider above.
"""

import math
import re
from dataclasses import dataclass
from functools import cache

import numpy as np

from calc.findings import stop
from calc.hardware.threads import Numbers
from calc.quantities import INCH
from calc.tables import load

FACINGS = ("1a", "1b", "1c", "1d", "2 I", "2 II", "3 I", "3 II", "4 I", "4 II", "5 I", "5 II", "6")
"""Facing sketches of Table 2-5.2, with the column where the two differ; 1a and 6 as read, the others from memory."""


@dataclass(frozen=True)
class GasketKind:
    """Gasket factor m, seating stress y [Pa], and how the row was read."""

    gasket: str
    metal: str
    m: float
    y: float
    source: str
    basis: str


@cache
def gaskets() -> tuple[GasketKind, ...]:
    """The rows of Table 2-5.1."""
    return tuple(GasketKind(**{**row, "metal": row["metal"] or ""}) for row in load("gasket_m_y").rows)


def gasket(name: str, metal: str = "") -> GasketKind:
    """Factor and seating stress of a gasket by the words of Table 2-5.1.

    Raises InputError `gasket_unknown`, or `gasket_metal_needed` where the name alone has several rows.

    >>> gasket("spiral wound", "stainless or nickel alloy").m
    3.0
    """
    wanted = [" ".join(text.lower().split()) for text in (name, metal)]
    rows = [row for row in gaskets() if row.gasket.lower() == wanted[0]]
    if not rows:
        raise stop("gasket_unknown", "gasket", text=name, known=tuple(dict.fromkeys(row.gasket for row in gaskets())))
    fitting = [row for row in rows if not wanted[1] or row.metal.lower() == wanted[1]]
    if len(fitting) != 1:
        raise stop("gasket_metal_needed", "gasket", text=name, metal=metal, known=tuple(row.metal for row in rows))
    return fitting[0]


def basic_width(
    facing: str, width: Numbers, *, contact: Numbers | None = None, thickness: Numbers | None = None
) -> Numbers:
    """Basic seating width b0 by facing sketch  (Table 2-5.2). [m]

    `width` N: radial width of the gasket, for a ring joint (sketch 6) the width w of the ring. `contact` w: radial
    width of the raised face, nubbin or tongue, `thickness` T of the gasket; needed by the sketches that use them.

    Raises InputError: `facing_unknown`, `facing_column_needed` (sketches 2 to 5: I or II), `facing_width_needed`.

    >>> basic_width("1a", 0.02), basic_width("6", 0.016)
    (0.01, 0.002)
    """
    words = re.sub(r"[^a-z0-9]+", " ", str(facing).lower().replace("sketch", " ").replace("column", " ")).split()
    sketch, column = (words + ["", ""])[:2]
    if len(words) > 2 or column not in ("", "i", "ii") or sketch not in {name.split()[0] for name in FACINGS}:
        raise stop("facing_unknown", "facing", text=facing, known=FACINGS)
    if sketch in ("1a", "1b"):
        return width / 2
    if sketch == "6":
        return width / 8
    if sketch in "2345" and not column:
        raise stop("facing_column_needed", "facing", text=facing, known=(f"{sketch} I", f"{sketch} II"))
    if sketch in "345":
        return (
            width * {"3i": 1 / 4, "3ii": 3 / 8, "4i": 3 / 8, "4ii": 7 / 16, "5i": 1 / 4, "5ii": 3 / 8}[sketch + column]
        )
    if contact is None:
        raise stop("facing_width_needed", "facing", text=facing, needs="contact")
    if sketch == "2":
        return (contact + width) / 4 if column == "i" else (contact + 3 * width) / 8
    if thickness is None:
        raise stop("facing_width_needed", "facing", text=facing, needs="thickness")
    smaller = np.minimum((contact + thickness) / 2, (contact + width) / 4)
    return float(smaller) if np.ndim(smaller) == 0 else smaller


def effective_width(basic: Numbers) -> Numbers:
    """Effective width b = b0 up to 1/4 in, above it √(b0 · 1/4 in), which is the inch form b = 0.5 √b0. [m]

    >>> round(effective_width(0.2975 * 0.0254) / 0.0254, 5)
    0.27272
    """
    b = np.where(np.asarray(basic) <= INCH / 4, basic, np.sqrt(np.asarray(basic) * (INCH / 4)))
    return float(b) if b.ndim == 0 else b


@dataclass(frozen=True, eq=False)
class DesignLoads:
    """Effective width `b` and reaction diameter `G` [m]; hydrostatic end load `H`, `operating` Wm1, `seating` Wm2 [N].

    `basic` is b0. All floats or columns.
    """

    basic: Numbers
    b: Numbers
    G: Numbers
    H: Numbers
    operating: Numbers
    seating: Numbers


def design_loads(
    outside: Numbers, inside: Numbers, pressure: Numbers, m: Numbers, y: Numbers, *, basic: Numbers
) -> DesignLoads:
    """Design bolt loads of a joint: Wm1 = π/4 G² P + 2 b π G m P, Wm2 = π b G y  (ASME VIII-1 Appendix 2).

    `outside`, `inside`: diameters of the contact face [m]; `pressure`, `y` [Pa]; `basic` from `basic_width`.
    G is the mean diameter of the contact face up to b0 = 1/4 in, above it the outside diameter less 2 b.

    >>> inch, psi = 0.0254, 6894.757293168361
    >>> w = design_loads(10.38 * inch, 9.19 * inch, 700 * psi, 3.0, 10_000 * psi, basic=0.2975 * inch)
    >>> round(w.operating / 4.4482216152605), round(w.seating / 4.4482216152605)
    (88563, 84259)
    """
    b = effective_width(basic)
    narrow = np.asarray(basic) <= INCH / 4
    chosen = np.where(narrow, (np.asarray(outside) + inside) / 2, np.asarray(outside) - 2 * b)
    G = float(chosen) if chosen.ndim == 0 else chosen
    H = math.pi / 4 * G * G * pressure
    return DesignLoads(basic, b, G, H, H + 2 * b * math.pi * G * m * pressure, math.pi * b * G * y)
