"""Wrench sheets: every mark in the range with its torque, where the table ends, and wrenches without a sheet."""

import zipfile
from pathlib import Path

import numpy as np
import pytest
import small_plans
from msgspec.structs import replace
from openpyxl import load_workbook
from plain_plan import plain_plan

from addin.cards.issue import WantedParts, issue
from addin.cards.wrench_sheets import sheets
from addin.plan.entries import Amount
from addin.plan.file import read_plan
from addin.plan.record import LinkEntry, PointEntry

q = Amount
TABLE = [(1000, 134), (2500, 344), (6000, 830), (10000, 1387)]


def points(rows, doubted=()):
    """A calibration table; `doubted` are pressures that the first doubt is about."""
    return tuple(
        PointEntry(pressure=q(float(p), "psi"), torque=q(float(t), "lbf·ft"), doubts=(1,) if p in doubted else ())
        for p, t in rows
    )


def link(name, limit=None, factor=1.0, table=()):
    return LinkEntry(name=name, factor=factor, torque_limit=limit and q(limit, "lbf·ft"), table=table)


def planned():
    """A plan of one joint; its wrench and gauge are what the tests change."""
    return small_plans.plan(small_plans.joint())


def wrench(name="HW-1", table=TABLE, **changes):
    """The wrench of the plan with another name and table, one link, and what else is said."""
    given = {"name": name, "sheet": name, "table": points(table), "links": (link("2 in socket"),), "gauge": "G-1"}
    return replace(planned().head.wrenches[0], **given | changes)


def gauge(graduation=100.0, top=10000.0, unit="psi"):
    own = planned().head.gauges[0]
    return replace(own, name="G-1", range=q(top, unit), graduation=q(graduation, unit))


def plan(*wrenches, gauges=None):
    content = planned()
    content.head = replace(content.head, wrenches=wrenches, gauges=tuple(gauges or [gauge()]))
    content.joints = []
    return content


def settings(filling):
    """Pressure and torque of every setting, in the order in which the table is read."""
    rows = filling.groups["setting"]
    found = [(row.get(f"pressure {n}"), row.get(f"torque {n}")) for row in rows for n in range(1, 6)]
    return [pair for pair in found if pair[0] is not None]


def only(content):
    ((_, _, filling),) = sheets(content, [])
    return filling


def test_every_mark_in_the_certified_range_once():
    """Torque against numpy's straight lines between the points."""
    found = settings(only(plan(wrench())))

    assert [pressure for pressure, _ in found] == list(range(1000, 10001, 100))
    expected = np.interp([pressure for pressure, _ in found], *zip(*TABLE, strict=True))
    assert [torque for _, torque in found] == [round(float(each)) for each in expected]


def test_marks_of_a_gauge_in_another_unit():
    """1 bar = 14.5037738 psi: 1000 to 10,000 psi holds the marks of 10 bar from 70 to 680."""
    found = settings(only(plan(wrench(), gauges=[gauge(10.0, 700.0, "bar")])))

    assert (found[0][0], found[-1][0], len(found)) == (70, 680, 62)
    expected = np.interp(np.arange(70, 681, 10) * 14.503773773, *zip(*TABLE, strict=True))
    assert [torque for _, torque in found] == [round(float(each)) for each in expected]


@pytest.mark.parametrize(
    ("changes", "last", "words"),
    [
        ({"hose_rated_pressure": q(9050.0, "psi")}, 9000, "The table ends at the rated pressure of the hose."),
        ({"rated_pressure": q(500.0, "bar")}, 7200, "The table ends at the rated pressure of the wrench."),
        ({}, 10000, "The table ends at the end of the certified range."),
    ],
)
def test_the_table_ends_at_the_lowest_rating(changes, last, words):
    filling = only(plan(wrench(**changes)))

    assert settings(filling)[-1][0] == last
    assert filling.values["ends at"] == words


def test_the_gauge_may_end_first():
    filling = only(plan(wrench(), gauges=[gauge(top=6000.0)]))

    assert settings(filling)[-1][0] == 6000
    assert filling.values["lowest rating"] == "6000 psi"


def test_torque_limits_of_the_links_end_the_table():
    limited = tuple(link(f"link {n}", limit) for n, limit in enumerate((700.0, 830.0)))
    found = list(sheets(plan(wrench(links=limited)), []))

    assert [(name, ending) for name, ending, _ in found] == [("HW-1", "to 700 lbf·ft"), ("HW-1", "to 830 lbf·ft")]
    weak, strong = (filling for *_, filling in found)
    assert weak.values["links"] == "link 0"
    assert settings(weak)[-1][1] <= 700
    assert settings(strong)[-1] == (6000, 830)
    assert weak.values["ends at"] == strong.values["ends at"] == "The table ends at the torque limit of these links."
    # a certified point that the weaker link may not see gives it no torque; the curve ends with the last number
    assert [(row["torque"], row["at nut"]) for row in weak.groups["point"]] == [
        (torque, torque if torque <= 700 else "–") for _, torque in TABLE
    ]
    # 700 lbf·ft lies between 344 at 2500 psi and 830 at 6000 psi, at 5064 psi: 5000 on marks of 100
    assert (weak.values["lowest rating"], strong.values["lowest rating"]) == ("5000 psi", "6000 psi")


def test_links_of_different_factors_never_share_a_table():
    links = (link("socket"), link("offset adapter", factor=1.12))
    found = list(sheets(plan(wrench(links=links)), []))

    assert [(name, ending) for name, ending, _ in found] == [("HW-1", "× 1"), ("HW-1", "× 1.12")]
    assert [filling.values["links"] for *_, filling in found] == ["socket", "offset adapter"]
    plain, longer = (settings(filling) for *_, filling in found)
    assert plain[50] == (6000, 830)
    assert longer[50] == (6000, 930)  # 830 × 1.12 = 929.6


def test_a_link_with_a_table_of_its_own_has_a_sheet_of_its_own():
    own = tuple(PointEntry(pressure=q(p, "psi"), torque=q(p / 10, "lbf·ft")) for p in (1000.0, 10000.0))
    links = (link("socket"), link("long link", table=own))
    found = list(sheets(plan(wrench(links=links)), []))

    assert [(name, ending) for name, ending, _ in found] == [("HW-1", "× 1"), ("HW-1", "long link")]
    plain, longer = (settings(filling) for *_, filling in found)
    assert (plain[50], longer[50]) == ((6000, 830), (6000, 600))


def test_what_is_odd_in_the_certificate_stands_on_the_sheet(tmp_path):
    said = ("table row 4: 1717 lbf·ft at 4000 psi is +4.9 % off", "odd points are confirmed by A. Weir, 2026-03-14")
    odd = replace(wrench(), doubts=said, table=points(TABLE, doubted=(6000,)))
    issued = issue(plan(odd), "list", tmp_path, WantedParts(("wrenches",)))
    page = load_workbook(issued.reports["wrenches"].files[0]).worksheets[0]
    texts = [cell.value for row in page.iter_rows() for cell in row if isinstance(cell.value, str)]

    assert {f"! {n}  {text}" for n, text in enumerate(said, 1)} <= set(texts)
    assert [page.cell(cell.row, 1).value for row in page.iter_rows() for cell in row if cell.value == "! 1"] == [6000]
    assert not [text for text in texts if "{{" in text]


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"table": []}, "no calibration table"), ({"faults": ("no gauge",)}, "the wrench book has faults: no gauge"),
        ({"gauge": "G-9"}, "gauge G-9 is not in the plan"),
        ({"rated_pressure": q(900.0, "psi")}, "no mark of its gauge lies in the certified range"),
        ({"table": [(1000, 134), (2000, 120)]}, "its calibration table cannot be used"),
    ],
)  # fmt: skip
def test_a_wrench_without_a_sheet_has_a_reason_and_the_others_go_on(tmp_path, changes, reason):
    content = plan(wrench("HW-0", **changes), wrench("HW-1"))
    issued = issue(content, "list", tmp_path, WantedParts(("wrenches",)))

    ((name, _, why),) = issued.reports["wrenches"].refused
    assert name == "HW-0"
    assert why.startswith(reason)
    assert [card[0] for card in issued.reports["wrenches"].cards] == ["HW-1"]


def test_the_curve_is_a_native_chart_of_the_sheets_own_cells(tmp_path):
    many = [(1000 + 500 * n, 134 + 70 * n) for n in range(18)]  # more points than the template has rows
    issue(plan(wrench(table=many), wrench("HW-2")), "list", tmp_path, WantedParts(("wrenches",)))
    book = load_workbook(tmp_path / "list-wrench-sheets.xlsx")

    with zipfile.ZipFile(tmp_path / "list-wrench-sheets.xlsx") as parts:
        names = sorted(name for name in parts.namelist() if name.startswith("xl/charts/chart"))
        charts = [parts.read(name).decode() for name in names]
    assert len(charts) == 2
    sheet = book["HW-1"]
    top = next(row for row in range(1, sheet.max_row) if sheet.cell(row, 1).value == 1000)
    first = next(chart for chart in charts if "'HW-1'!" in chart)
    assert f"'HW-1'!$A${top}:$A${top + 17}" in first
    assert f"'HW-1'!$I${top}:$I${top + 17}" in first
    assert [sheet.cell(top + n, 9).value for n in range(18)] == [torque for _, torque in many]
    assert "pressure, psi" in first
    assert "torque at the nut, lbf·ft" in first
    assert not any("{{" in chart for chart in charts)


def test_the_samples_sheets_agree_with_their_plan(tmp_path):
    """A setpoint of the plan stands in the table of its wrench with the torque that the card gives."""
    from click.testing import CliRunner

    from addin.cli import main

    samples = Path(__file__).resolve().parents[3] / "samples"
    CliRunner().invoke(main, ["plan", str(samples / "drigrauvex-joints.xlsx"), "--wrenches",
                              str(samples / "drigrauvex-wrenches.xlsx"), "--out", str(tmp_path)])  # fmt: skip
    typed = read_plan(tmp_path / "drigrauvex-joints-plan.json")
    content = plain_plan(tmp_path / "drigrauvex-joints-plan.json")
    tables = {}
    for name, _, filling in sheets(typed, list(typed.joints)):
        if not isinstance(filling, str):
            table = dict(settings(filling)), filling.values["card torque unit"]
            tables.setdefault(name, {})[filling.values["factor"]] = table
    factors = {(w["name"], link["name"]): link["factor"] for w in content["wrenches"] for link in w["links"]}
    checked = 0
    for joint in content["joints"]:
        for used in joint["wrenches"]:
            table, unit = tables[used["wrench"]][factors[used["wrench"], used["link"]]]
            if unit == used["torque_at_setpoint"]["unit"]:
                assert table[used["setpoint"]["value"]] == pytest.approx(used["torque_at_setpoint"]["value"], abs=0.51)
                checked += 1
    assert checked > 20
    units = {filling.values["wrench"]: (filling.values["torque unit"], filling.values["card torque unit"])
             for _, _, filling in sheets(typed, list(typed.joints)) if not isinstance(filling, str)}  # fmt: skip
    assert units["HW-2"] == ("N·m", "lbf·ft")  # the certificate's unit, and that of the cards that are looked up


def test_the_heading_that_every_page_repeats_names_wrench_factor_and_unit(tmp_path):
    issue(plan(wrench("HW-1")), "list", tmp_path, WantedParts(("wrenches",)))
    page = load_workbook(tmp_path / "list-wrench-sheets.xlsx").worksheets[-1]

    first, _ = map(int, page.print_title_rows.replace("$", "").split(":"))
    assert page.cell(first, 1).value == (
        "HW-1 × 1: torque at the nut, lbf·ft, at every mark of gauge G-1; between certified points in proportion"
    )
    assert "Wrench sheet HW-1 × 1" in page.oddFooter.left.text


def test_nothing_is_set_beyond_the_end_of_the_certified_range():
    """The hose stands 12,000 psi, the certificate ends at 10,000: the box says the lower figure, and why."""
    more = dict.fromkeys(("rated_pressure", "hose_rated_pressure", "pump_rated_pressure"), q(12000.0, "psi"))
    filling = only(plan(wrench(**more), gauges=[gauge(top=15000.0)]))

    assert settings(filling)[-1][0] == 10000
    assert filling.values["lowest rating"] == "10000 psi"
    assert filling.values["lowest from"] == "the end of the certified range, nothing is known beyond it"


def test_the_column_of_findings_has_its_heading_only_where_there_are_some():
    assert only(plan(wrench())).values["finding heading"] is None
    assert only(plan(wrench(doubts=("an odd point",)))).values["finding heading"] == "finding below"
