"""Every caution of the one list is heard where its rule holds, in its sentence, and silent on an ordinary joint."""

from dataclasses import replace
from typing import Any

import pytest

from addin.cells.words import line
from calc.findings import Finding
from calc.hardware import friction
from calc.plan import cautions
from calc.plan.joints import PlanSettings
from calc.plan.plan import plan_joints
from calc.quantities import LBF_FT, PSI
from calc.units import system
from calc.wrench.calibration import Marks
from calc.wrench.choice import Gauge, Link
from tests.calc.plan.test_plan import BOOK, GAUGE, LUBRICANTS, MIDDLE, NONE, VALID, as_list, row, wrench

NO_RATING = replace(MIDDLE, hose_rated_pressure=NONE)
COARSE = {"G-1": Gauge("G-1", Marks(1200.0, PSI), 15000 * PSI, NONE, VALID)}
ODD = Finding("table_slip", "table", {}, "caution", 3)
CASES: dict[str, tuple[dict[str, Any], dict[str, Any], str]] = {
    "nut_factor_outside_survey": ({"method": "hand", "nut_factor": 0.58, "stress": 25000 * PSI}, {}, "nut factor 0.58"),
    "friction_not_stated": ({"nut_factor": NONE, "stress": NONE, "area": "", "torque": 900 * LBF_FT}, {}, "friction"),
    "ceiling_not_checked": ({"grade": ""}, {}, "ceiling"),
    "preload_low": ({"method": "hand", "stress": 15000 * PSI}, {}, "of the stud's minimum yield"),
    "torque_low": ({"method": "hand", "nut_factor": NONE, "stress": NONE, "area": "", "torque": 300 * LBF_FT}, {},
                   "only"),
    "retighten": ({"operation": "retighten"}, {}, "retighten"),
    "fibre_gasket": ({"operation": "retighten", "gasket": "compressed fibre"}, {}, "fibre"),
    "friction_may_differ": ({"remarks": "re-used studs"}, {}, "re-used studs"),
    "gauge_class": ({}, {"gauges": {"G-1": replace(GAUGE, accuracy=0.06)}}, "gauge"),
    "gauge_class_stage": ({}, {"gauges": {"G-1": replace(GAUGE, accuracy=0.018)}}, "in pass 1 by its class"),
    "pass_other_means": ({"stress": 22000 * PSI}, {"book": [wrench("HW-2", 0.25, [2.375])]}, "lowest certified point"),
    "stage_difference": ({}, {"book": [MIDDLE], "gauges": COARSE, "tolerance": 0.2}, "pass"),
    "link_not_checked": ({"wrench": "HW-9"}, {"book": [replace(MIDDLE, name="HW-9", links=(Link("own", NONE, 1.0),))]},
                         "link"),
    "certificate_not_checked": ({}, {"book": [replace(MIDDLE, valid_until=float("inf"))]}, "certificate"),
    "rating_not_stated": ({}, {"book": [NO_RATING]}, "hose"),
    "certificate_doubt": ({}, {"book": [replace(MIDDLE, doubts=(ODD,))]}, ""),
}  # fmt: skip
"""For each caution: what its joint has unlike the others, its book, gauges or settings, and words of its sentence."""
CODES = [*(rule.code for rule in (*cautions.RULES, *cautions.WRENCH_RULES)), *(code for code, _ in cautions.TOOL_RULES)]


def heard(changes: dict[str, Any], given: dict[str, Any]) -> dict[str, Finding]:
    settings = {name: value for name, value in given.items() if name not in ("book", "gauges")}
    plans = plan_joints(
        as_list(row(**changes)), given.get("book", BOOK), given.get("gauges", {"G-1": GAUGE}), LUBRICANTS,
        PlanSettings(**settings),
    )  # fmt: skip
    assert plans.status == ("planned",), [finding.code for finding in plans.findings]
    return {finding.code: finding for finding in plans.findings if finding.level == "caution"}


def test_every_caution_has_its_case() -> None:
    assert sorted(CASES) == sorted(CODES)
    assert friction.survey_range()[0] < 0.16 < friction.survey_range()[1] < 0.58


@pytest.mark.parametrize("code", CODES)
def test_a_caution_is_heard_where_its_rule_holds_and_nowhere_else(code: str) -> None:
    changes, given, words = CASES[code]
    found = heard(changes, given)

    assert code in found
    if code != "certificate_doubt":  # its sentence is that of the doubt
        assert words.lower() in line(found[code], system("US")).lower()
    assert code not in heard({}, {})


@pytest.mark.parametrize(
    "why",
    [{"gasket": "EPDM rubber"}, {"gasket": "PTFE envelope"}, {"gasket": "compressed fibre"},
     {"flange_limit": 30000 * PSI}, {"gasket_maximum": 20000 * PSI}],
)  # fmt: skip
def test_a_low_preload_with_a_soft_gasket_or_a_limit_that_explains_it_says_nothing(why: dict[str, Any]) -> None:
    low = {"method": "hand", "stress": 15000 * PSI}
    assert "preload_low" in heard(low | {"gasket": "spiral wound"}, {})

    assert "preload_low" not in heard(low | why, {})
