"""Torque and preload: worked examples of the published forms, and what must hold for any valid input."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.findings import InputError
from calc.hardware import materials, nuts, threads
from calc.hardware.threads import Thread
from calc.preload import target, torque
from calc.quantities import INCH, LBF, LBF_FT, PSI
from calc.units import to_si

KSI = 1000 * PSI
TEXTS = ["1/2-13", "3/4-10", "1-8", "1 1/2-8", "2 1/2-8", "4-8", "M16", "M24", "M36x4", "M36x3", "M64x6"]
loads, frictions, factors = st.floats(1e3, 5e6), st.floats(0.03, 0.35), st.floats(0.05, 0.5)
stud = st.sampled_from(TEXTS).map(threads.parse)


def api6a(preload: float, thread: Thread, f: float) -> float:
    bearing = torque.api6a_bearing_diameter(thread)
    return float(torque.from_friction(preload, thread, f, f, bearing_diameter=bearing, form="API 6A"))


@pytest.mark.parametrize(
    ("stress_ksi", "tension_lbf", "low", "high"), [(52.5, 78322, 962.1, 1676.9), (40.0, 59674, 733.0, 1277.6)]
)
def test_api_6a_annex(stress_ksi: float, tension_lbf: float, low: float, high: float) -> None:
    """Worked examples on 1-1/2-8, half of 105 and of 80 ksi yield (API 6A annex; by formula)."""
    thread = threads.parse("1 1/2-8")
    preload = stress_ksi * KSI * threads.tensile_area(thread)

    assert preload / LBF == pytest.approx(tension_lbf, abs=0.5)
    assert api6a(preload, thread, 0.07) / LBF_FT == pytest.approx(low, abs=0.05)
    assert api6a(preload, thread, 0.13) / LBF_FT == pytest.approx(high, abs=0.05)


def test_equivalent_nut_factor_of_the_api_6a_example() -> None:
    thread = threads.parse("1 1/2-8")
    preload = 52.5 * KSI * threads.tensile_area(thread)

    assert round(api6a(preload, thread, 0.07) / (thread.diameter * preload), 4) == 0.0983
    assert round(api6a(preload, thread, 0.13) / (thread.diameter * preload), 4) == 0.1713


def test_api_6a_in_the_annex_own_words() -> None:
    """The annex writes F E (P + π f E S)/(2 (π E - P f S)) + F f (Hx + D + Kc)/4; the same number by that route."""
    thread, f = threads.parse("2-8"), 0.13
    e, p, s, d = float(threads.pitch_diameter(thread)), float(thread.pitch), 1 / math.cos(math.pi / 6), thread.diameter
    hx, kc = 1.5 * d + 0.125 * INCH, 0.125 * INCH
    annex = e * (p + math.pi * f * e * s) / (2 * (math.pi * e - p * f * s)) + f * (hx + d + kc) / 4

    assert api6a(1.0, thread, f) == pytest.approx(annex, rel=1e-12)


def test_torsion_of_the_api_6a_example() -> None:
    """1-1/2-8, 52.5 ksi, f 0.13: thread torque 9 940 lbf·in, stress with torsion 62 275 psi (elastic modulus)."""
    thread = threads.parse("1 1/2-8")
    preload = 52.5 * KSI * threads.tensile_area(thread)

    assert torque.thread_torque(preload, thread, 0.13) / LBF_FT * 12 == pytest.approx(9940, abs=0.5)
    assert torque.combined_stress(preload, thread, 0.13) / PSI == pytest.approx(62275, abs=0.5)


def test_pcc_1_form() -> None:
    """1-1/2-8 at 50 ksi on the root area, μ 0.16, hole D + 1/16: 1 806.1 lbf·ft; 6.4, 42.5, 51.1 per cent."""
    thread = threads.parse("1 1/2-8")
    preload = 50 * KSI * threads.root_area_b11(thread)
    bearing = (nuts.across_flats(thread) + thread.diameter + INCH / 16) / 2

    def total(mu_thread: float, mu_nut: float) -> float:
        return float(torque.from_friction(preload, thread, mu_thread, mu_nut, bearing_diameter=bearing, form="pcc-1"))

    whole, stretch = total(0.16, 0.16), total(0.0, 0.0)
    assert whole / LBF_FT == pytest.approx(1806.1, abs=0.05)
    shares = [100 * part / whole for part in (stretch, total(0.16, 0.0) - stretch, total(0.0, 0.16) - stretch)]
    assert [round(share, 1) for share in shares] == [6.4, 42.5, 51.1]


def test_vdi_2230_form() -> None:
    """M16, 8.8, μ 0.12: 80.88 kN and 205.8 N·m (VDI 2230-1 Table A1 prints 80.9 and 206)."""
    thread = threads.parse("M16")
    yield_ = materials.strength("8.8", thread.diameter, metric=True).yield_strength
    preload = torque.preload_from_combined_stress(0.9, yield_, thread, 0.12)
    moment = torque.from_friction(preload, thread, 0.12, 0.12, bearing_diameter=(22.49e-3 + 17.5e-3) / 2)

    assert preload / 1e3 == pytest.approx(80.88, abs=0.005)
    assert moment == pytest.approx(205.8, abs=0.05)


def test_small_angle_form_reads_the_exact_one_a_little_higher() -> None:
    """The total coefficient of ISO 16047, (T/F - P/2π)/(0.577 d2 + 0.5 Db), of the M16 example: 0.1205, not 0.12."""
    thread, bearing = threads.parse("M16"), (22.49e-3 + 17.5e-3) / 2
    exact = torque.from_friction(1.0, thread, 0.12, 0.12, bearing_diameter=bearing)
    total = (exact - thread.pitch / (2 * math.pi)) / (0.577 * threads.pitch_diameter(thread) + 0.5 * bearing)

    assert round(total, 4) == 0.1205
    small = torque.from_friction(1.0, thread, total, total, bearing_diameter=bearing, form="PCC-1")
    assert small == pytest.approx(exact, rel=4e-4)  # 0.577 is cut from 1/√3


def test_what_is_refused() -> None:
    thread = threads.parse("M24")
    for form, mu, code in (("VDI", 0.1, "form_unknown"), ("API 6A", 0.2, "form_one_coefficient")):
        with pytest.raises(InputError) as caught:
            torque.from_friction(1e5, thread, 0.1, mu, bearing_diameter=0.03, form=form)
        assert caught.value.finding.code == code
    with pytest.raises(InputError):
        torque.combined_stress(1e5, thread, 0.1, torsion="none")


# --- for any valid input ---------------------------------------------------------------------------------------------


@given(stud, loads, factors)
def test_preload_to_torque_and_back(thread: Thread, load: float, factor: float) -> None:
    back = torque.preload_from_nut_factor(torque.from_nut_factor(load, thread, factor), thread, factor)

    assert back == pytest.approx(load, rel=1e-14)


@given(stud, st.floats(0.2, 1.0), st.floats(2e8, 1.2e9), frictions)
def test_combined_stress_and_back(thread: Thread, fraction: float, yield_: float, mu: float) -> None:
    load = torque.preload_from_combined_stress(fraction, yield_, thread, mu)

    assert torque.combined_stress(load, thread, mu, torsion="VDI 2230") == pytest.approx(fraction * yield_, rel=1e-12)


@given(stud, loads, frictions)
def test_torsion_always_adds_and_the_elastic_figure_is_the_higher(thread: Thread, load: float, mu: float) -> None:
    tension = load / threads.tensile_area(thread)
    elastic = torque.combined_stress(load, thread, mu)

    assert elastic > tension
    if thread.metric:  # one diameter for both: the plastic modulus is 4/3 of the elastic one
        assert elastic > torque.combined_stress(load, thread, mu, torsion="VDI 2230") > tension


@given(stud, loads, st.floats(1.001, 3), frictions, frictions, st.sampled_from(torque.FORMS))
def test_more_preload_or_friction_is_more_torque(
    thread: Thread, load: float, times: float, mu: float, nut: float, form: str
) -> None:
    nut = mu if form == "API 6A" else nut
    bearing = 1.6 * float(thread.diameter)

    def moment(load: float, mu: float, nut: float) -> float:
        return float(torque.from_friction(load, thread, mu, nut, bearing_diameter=bearing, form=form))

    assert moment(times * load, mu, nut) > moment(load, mu, nut)
    assert moment(load, times * mu, times * nut) > moment(load, mu, nut)
    assert moment(load, mu, nut) > load * thread.pitch / (2 * math.pi)


@given(stud, loads, frictions)
def test_the_exact_angle_sum_is_never_below_the_small_angle_form(thread: Thread, load: float, mu: float) -> None:
    forms = [
        float(torque.from_friction(load, thread, mu, mu, bearing_diameter=0.05, form=form))
        for form in ("VDI 2230", "PCC-1")
    ]

    assert forms[1] < forms[0] < 1.03 * forms[1]


@given(st.floats(500, 1e6), factors)
def test_units_do_not_matter(pounds: float, factor: float) -> None:
    """The same preload given in lbf, kip or kN is the same torque."""
    thread = threads.parse("1 1/2-8")
    newtons = [
        to_si(value, "force", unit)
        for value, unit in ((pounds, "lbf"), (pounds / 1e3, "kip"), (pounds * LBF / 1e3, "kN"))
    ]

    answers = [float(torque.from_nut_factor(load, thread, factor)) for load in newtons]
    assert answers[1:] == pytest.approx([answers[0]] * 2, rel=1e-12)


@given(st.lists(st.tuples(st.sampled_from(TEXTS), loads, frictions, factors), min_size=1, max_size=8))
def test_a_list_gives_the_bits_of_each_row(rows: list[tuple[str, float, float, float]]) -> None:
    each = [threads.parse(text) for text, *_ in rows]
    column = threads.column(each)
    load, mu, factor = (np.array(part) for part in list(zip(*rows, strict=True))[1:])

    functions = {
        "nut factor": lambda t, f, m, k: torque.from_nut_factor(f, t, k),
        "back": lambda t, f, m, k: torque.preload_from_nut_factor(f, t, k),
        "friction": lambda t, f, m, k: torque.from_friction(f, t, m, m, bearing_diameter=t.diameter * 1.6),
        "small angle": lambda t, f, m, k: torque.from_friction(
            f, t, m, m, bearing_diameter=t.diameter * 1.6, form="PCC-1"
        ),
        "annex": lambda t, f, m, k: torque.from_friction(
            f, t, m, m, bearing_diameter=torque.api6a_bearing_diameter(t), form="API 6A"
        ),
        "elastic": lambda t, f, m, k: torque.combined_stress(f, t, m),
        "plastic": lambda t, f, m, k: torque.combined_stress(f, t, m, torsion="VDI 2230"),
        "ceiling": lambda t, f, m, k: torque.preload_from_combined_stress(0.7, f * 1e3, t, m),
        "stress": lambda t, f, m, k: target.from_stress(f * 1e3, threads.tensile_area(t)),
    }
    for name, function in functions.items():
        many = np.asarray(function(column, load, mu, factor)).tolist()
        one = [float(function(t, *values)) for t, (_, *values) in zip(each, rows, strict=True)]
        assert many == one, name
