"""Tables of threads, nuts, materials, flanges, gaskets, friction and units."""

import math
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from calc import units
from calc.hardware import flanges, friction, gaskets, materials, nut_grades, nuts, threads
from calc.hardware.threads import Thread
from calc.quantities import INCH, PSI

sys.path.insert(0, str(Path(__file__).parent))  # pytest, looking for doctests, imports this file by its path
from printed import Cell, Row, compare, fraction, half_unit, table  # noqa: E402

KSI, SQUARE_INCH = 1000 * PSI, INCH * INCH


WIDE_ROOTS = {2.5: 0.0015, 3.0: 0.0012, 3.25: 0.001, 3.75: 0.001, 4.0: 0.001}
"""Sizes whose last figure is cut, or another, in the copy, with how far it may be off [in²]."""


# --- threads, nuts, materials ----------------------------------------------------------------------------------------


@table("thread_un")
def _thread_un(row: Row) -> Iterator[Cell]:
    thread = threads.parse(f"{row['size']}-{row['tpi']} {row['series']}")
    assert thread.diameter == pytest.approx(row.number_in("D_in") * INCH)
    tensile, root = threads.tensile_area(thread) / SQUARE_INCH, threads.root_area_b11(thread) / SQUARE_INCH
    # the copy prints 1.233 where the formula gives 1.2335005, and 1.78 where it gives 1.7747
    wide = {"1-3/8": 0.001, "1-5/8": 0.01}.get(row["size"], 0.0)
    yield from compare(row, "pitch_dia_table_in", threads.pitch_diameter(thread) / INCH)
    yield from compare(row, "As_table_in2", tensile, wide, "one unit: the copy rounds otherwise" if wide else "")
    yield from compare(row, "Ar_minor_D_minus_2hb_table_in2", root)
    yield from compare(row, "As_formula_in2", tensile)
    yield from compare(row, "Ar_formula_in2", root)


@table("thread_metric")
def _thread_metric(row: Row) -> Iterator[Cell]:
    thread = threads.parse(row["designation"])
    assert (thread.diameter, thread.pitch) == pytest.approx(
        (row.number_in("d_mm") * 1e-3, row.number_in("P_mm") * 1e-3)
    )
    yield from compare(row, "d2_mm", threads.pitch_diameter(thread) * 1e3)
    yield from compare(row, "d3_mm", threads.root_diameter(thread) * 1e3)
    yield from compare(row, "D1_mm", (threads.pitch_diameter(thread) - math.sqrt(3) / 4 * thread.pitch) * 1e3)
    tensile = threads.tensile_area(thread) * 1e6
    stated = row["As_table_mm2"]
    wide = half_unit(stated, 3) if stated and float(stated) >= 1000 else 0.0
    yield from compare(row, "As_table_mm2", tensile, wide, "three significant figures" if wide else "")
    yield from compare(row, "As_formula_mm2", tensile)
    yield from compare(row, "A3_core_mm2", threads.root_area_iso(thread) * 1e6)
    yield from compare(row, "Ar_d_minus_1.299P_mm2", threads.root_area_b11(thread) * 1e6)


ULTIMATE_OFF = {("M8", "8.8"), ("M8", "12.9"), ("M16", "8.8"), ("M22", "8.8"), ("M39", "12.9")}


@table("iso898_min_ultimate_load")
def _ultimate_load(row: Row) -> Iterator[Cell]:
    diameter = row.number_in("d_mm") * 1e-3
    coarse = {"M30": "x3.5", "M33": "x3.5", "M36": "x4", "M39": "x4"}.get(row["size"], "")
    thread = threads.parse(row["size"] + coarse)
    yield from compare(row, "As_nom_mm2", threads.tensile_area(thread) * 1e6)
    for grade in ("8.8", "10.9", "12.9"):
        column = f"Fm_min_{grade}_N"
        load = materials.strength(grade, diameter, metric=True).tensile_strength * row.number_in("As_nom_mm2") * 1e-6
        wide = half_unit(row[column], 3) if row[column] else 0.0
        why = "printed area times strength, three figures printed"
        if (row["size"], grade) in ULTIMATE_OFF:
            wide, why = 2 * wide, "one unit of the third figure: cut, or rounded from the exact area"
        yield from compare(row, column, load, wide, why)


@table("nut_heavy_hex_inch")
def _heavy_hex(row: Row) -> Iterator[Cell]:
    ours = nuts.across_flats(threads.parse(row["size"]), "heavy hex") / INCH
    assert fraction(row["AF_fraction_in"]) == pytest.approx(ours, rel=1e-12)
    assert row.number_in("D_in") == pytest.approx(threads.parse(row["size"]).diameter / INCH)
    yield from compare(row, "AF_basic_in", ours, 1e-9, "exact")
    yield from compare(row, "AF_rule_1.5D_plus_0.125_in", ours, 1e-9, "exact")
    yield from compare(row, "AF_max_in", ours)
    if row["AF_min_in"]:
        assert row.number_in("AF_min_in") < ours


@table("nut_hex_inch")
def _hex(row: Row) -> Iterator[Cell]:
    thread = Thread("", row.number_in("D_in") * INCH, 0.0, False)
    ours = nuts.across_flats(thread, "hex") / INCH
    assert fraction(row["AF_fraction_in"]) == pytest.approx(ours, rel=1e-12)
    assert fraction(row["size"]) == pytest.approx(row.number_in("D_in"))
    assert row.number_in("AF_min_in") < ours
    yield from compare(row, "AF_max_in", ours)


@table("nut_metric")
def _metric_nut(row: Row) -> Iterator[Cell]:
    thread = Thread(row["size"], row.number_in("d_mm") * 1e-3, 0.0, True)
    series = "DIN 934" if row["series"].startswith("DIN 934") else row["series"]
    yield from compare(row, "AF_mm", nuts.across_flats(thread, series) * 1e3, 1e-9, "exact")


@table("nut_pairings")
def _nut_pairing(row: Row) -> Iterator[Cell]:
    found = nut_grades.pairing(row["bolt_spec"])
    assert found is not None
    standard = row["nut_spec"].split()[0]
    wanted = row["nut_spec"].replace(" class ", " ").replace(" or ", f"|{standard} ").split("|")
    yield Cell(row, "nut_spec", row["nut_spec"], row["nut_spec"] if set(wanted) <= set(found.nuts) else str(found), 0)


@table("tema_bolting")
def _tema_bolting(row: Row) -> Iterator[Cell]:
    size = row.number_in("size_in")
    thread = threads.parse(f"{size:g}-8 UN") if size > 1 else threads.parse(f"{size:g}")
    # room for a nose between flats: test_clearance.py holds it against link_clearance
    flats = nuts.across_flats(thread) / INCH
    assert row.number_in("spacing_in") - flats / 2 - row.number_in("radial_in") > -1e-9
    # the copy turned areas of three decimals in square inches into square millimetres
    root = float(threads.root_area_b11(thread)) / SQUARE_INCH
    stated = row.number_in("root_area_mm2") / 25.4**2
    yield Cell(row, "root_area_mm2", f"{stated:.3f}", root, WIDE_ROOTS.get(size, 0.0006), "turned from square inches")


@table("materials_astm")
def _materials_astm(row: Row) -> Iterator[Cell]:
    specification, grades = row["spec_grade"].split()
    over, to = row.number_in("over_in"), float(row["to_in"] or 8.0)
    assert row["diameter_band_in"]
    for grade in grades.split("/"):
        name = specification if grade == specification else f"{specification} {grade}"
        name += f" class {row['class']}" if row["class"] else ""
        for size in (to, (over + to) / 2, over + 1e-3):
            strength = materials.strength(name, size * INCH, metric=False)
            yield from compare(row, "tensile_min_ksi", strength.tensile_strength / KSI, 1e-9, "exact")
            yield from compare(row, "yield_min_ksi", strength.yield_strength / KSI, 1e-9, "exact")


def _band(text: str) -> tuple[float, float]:
    """Ends of '<=M64', '>M64 to M100', '>16' or 'all' in millimetres; the widest studs here where none is said."""
    numbers = [
        float(part) for part in text.replace("M", " ").replace("<=", " ").replace(">", " ").split() if part[0].isdigit()
    ]
    if text.startswith(">"):
        return numbers[0], numbers[1] if len(numbers) > 1 else 39.0
    return 6.0, numbers[0] if numbers else 39.0


@table("materials_astm_si")
def _materials_astm_si(row: Row) -> Iterator[Cell]:
    yield from _materials_metric(row, row["spec_grade"], "band_mm", "tensile_min_MPa", "yield_min_MPa")


@table("materials_iso898")
def _materials_iso898(row: Row) -> Iterator[Cell]:
    assert row.number_in("proof_Sp_MPa") < row.number_in("Rp0.2_min_MPa")  # the proof stress itself is not used here
    yield from _materials_metric(row, row["property_class"], "d_band_mm", "Rm_min_MPa", "Rp0.2_min_MPa")


def _materials_metric(row: Row, name: str, band: str, tensile: str, yield_: str) -> Iterator[Cell]:
    over, to = _band(row[band])
    for size in (to, (over + to) / 2, over + 0.1):
        strength = materials.strength(name, size * 1e-3, metric=True)
        yield from compare(row, tensile, strength.tensile_strength / 1e6, 1e-9, "exact")
        yield from compare(row, yield_, strength.yield_strength / 1e6, 1e-9, "exact")


@table("friction_reference_values")
def _friction_survey(row: Row) -> Iterator[Cell]:
    survey = friction.survey(row["condition"])
    yield from compare(row, "quantity", survey.quantity)
    for column, value in (("value_min", survey.low), ("value_mean", survey.mean), ("value_max", survey.high)):
        assert (row[column] == "") == (value is None)
        if value is not None:
            yield from compare(row, column, value, 1e-12, "exact")


@table("units")
def _units(row: Row) -> Iterator[Cell]:
    kind = next(k for k in units.kinds_of(row["from"]) if k in units.kinds_of(row["to"]))
    ours = units.factor(kind, row["from"]) / units.factor(kind, row["to"])
    yield from compare(row, "factor_exact", ours, 1e-14 * ours, "exact within the last bits")
    yield from compare(row, "factor_printed", ours)


# --- flanges, gaskets, scatter, embedding ----------------------------------------------------------------------------


@table("b165_flange_bolting")
def _flange(row: Row) -> Iterator[Cell]:
    flange = flanges.flange(row["NPS"], row["class"])
    assert flange.thread.diameter == pytest.approx(fraction(row["stud_dia_fraction_in"]) * INCH)
    yield from compare(row, "studs", flange.studs)
    yield from compare(row, "stud_dia_in", float(flange.thread.diameter) / INCH, 1e-9, "exact")
    assert fraction(row["hole_dia_fraction_in"]) == pytest.approx(flange.hole / INCH, rel=1e-12)
    yield from compare(row, "bolt_circle_in", flange.bolt_circle / INCH)
    misprint = (row["NPS"], row["class"]) == ("8", "400")  # classes 300 and 600 print 330.2 for the same 13 in
    yield from compare(
        row,
        "bolt_circle_mm",
        flange.bolt_circle * 1e3,
        0.25 if misprint else 0.0,
        "330.0 for 13 in" if misprint else "",
    )
    for column in ("stud_length_RF_in", "stud_length_rule_in"):
        yield from compare(row, column, flange.length / INCH, 1e-9, "exact")
    # the metric column is a length of its own, the inch one in steps of 5 mm; what we give is the inch length
    yield from compare(row, "stud_length_RF_mm", flange.length * 1e3, 5.0, "metric lengths go in steps of 5 mm")


@table("cad_flanges")
def _cad_flange(row: Row) -> Iterator[Cell]:
    """A general parts library beside ours; `differs` names the columns where the library is wrong."""
    flange = flanges.flange(row["NPS"], row["class"])
    size, stud, length = fraction(row["NPS"]), float(flange.thread.diameter) / INCH, flange.length / INCH
    assert ("stud_fraction_in" in row["differs"]) == (abs(fraction(row["stud_fraction_in"]) - stud) > 1e-9)
    for column, ours, wide, why in (
        ("bolt_circle_mm", flange.bolt_circle * 1e3, 0.05, ""),
        ("studs", float(flange.studs), 0.0, ""),
        ("stud_length_RF_mm", flange.length * 1e3, 5.0, "metric lengths go in steps of 5 mm"),
    ):
        if column in row["differs"]:
            assert abs(row.number_in(column) - ours) > wide
        else:
            yield from compare(row, column, ours, wide, why)
    # our length by the rule of the standard from the library's thickness, printed to 0.1 mm
    ends = []
    for off in (-0.1, 0.1):
        thickness = (row.number_in("thickness_mm") + off) / 25.4
        exact = 2 * (thickness + (0.12 if size <= 18 else 0.19) + stud) + (0.18 if int(row["class"]) <= 300 else 0.56)
        exact += 0.06 if exact <= 12 else 0.12 if exact <= 18 else 0.25
        ends.append(math.ceil(4 * exact - 1e-9) / 4)
    assert (ends[0] - 1e-9 <= length <= ends[1] + 1e-9) == ("thickness_mm" not in row["differs"])


@table("cad_nuts")
def _cad_nut(row: Row) -> Iterator[Cell]:
    assert not row["differs"]
    thread = threads.parse(f"{row['size']}x{row['pitch_mm']}")
    yield from compare(row, "pitch_mm", float(thread.pitch) * 1e3, 1e-9, "exact")
    yield from compare(row, "AF_mm", nuts.across_flats(thread, row["series"]) * 1e3, 1e-9, "exact")


@table("gasket_m_y")
def _gasket(row: Row) -> Iterator[Cell]:
    found = gaskets.gasket(row["gasket"], row["metal"])
    yield from compare(row, "m", found.m, 1e-12, "exact")
    yield from compare(row, "y_psi", found.y / PSI, 1e-6, "exact")
