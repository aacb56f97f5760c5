"""Headings side by side: conflicts, bare words in context, names above groups, units below."""

import pytest

from addin.reading.exact_columns import Column, Head, fields_named, is_unit, read_columns, understand
from calc.findings import InputError


def read(*headings: str) -> list[Column]:
    return list(understand([Head(at, heading) for at, heading in enumerate(headings)]))


def fields(*headings: str) -> list[str | None]:
    return [column.field for column in read(*headings)]


def test_two_columns_for_one_field_lose_it_both() -> None:
    torque, other, joint = read("Torque (ft-lb)", "Final torque (Nm)", "Joint")
    assert (torque.field, other.field, joint.field) == (None, None, "joint")
    assert torque.doubt is not None
    assert torque.doubt.code == "columns_conflict"
    assert torque.doubt.facts["headings"] == ("Torque (ft-lb)", "Final torque (Nm)")
    assert torque.suggested == other.suggested == ("torque",)


def test_a_second_column_of_remarks_is_no_conflict() -> None:
    assert fields("Joint", "Remarks", "Comments") == ["joint", "remarks", None]


@pytest.mark.parametrize(
    ("headings", "expected"),
    [(("Size", "Stud size", "Rating"), ["size", "thread", "rating"]), (("Size", "Rating"), [None, None]),
     (("Size", "Stud size", "NPS"), [None, "thread", "size"]), (("Area", "Stud size"), ["plant_area", "thread"]),
     (("Area", "Stud size", "Stress (psi)"), [None, "thread", "stress"]),
     (("Area", "Stud size", "Stress (psi)", "Stress area"), ["plant_area", "thread", "stress", "area"])],
)  # fmt: skip
def test_bare_words_beside_the_column_of_their_other_meaning(headings: tuple[str, ...], expected: list) -> None:
    assert fields(*headings) == expected


@pytest.mark.parametrize(
    ("above", "text", "spans", "field"),
    [("Stud bolts", "Qty", True, "studs"), ("Stud bolts", "Grade", True, "grade"),
     ("Target", "Torque (Nm)", True, "torque"),
     ("Bolting data", "Torque (Nm)", True, "torque"), ("Tightening", "method", False, "method"),
     ("Previous outage", "Torque (Nm)", True, None), ("Previous", "torque (Nm)", False, None),
     ("As found", "Stud size", True, None), ("Nut", "Grade", True, None), ("Gasket", "Stress (psi)", True, None),
     ("Flange", "Material grade", True, None), ("Flange", "Class", True, "rating"), ("Scope 7", "Remarks", True, None)],
)  # fmt: skip
def test_a_name_above_a_group(above: str, text: str, spans: bool, field: str | None) -> None:
    column = understand([Head(0, text, above, spans)])[0]
    assert column.field == field


def test_an_unknown_name_above_is_asked_about() -> None:
    column = understand([Head(0, "Torque (Nm)", "This outage", spans=True)])[0]
    assert (column.field, column.suggested) == (None, ("torque",))


@pytest.mark.parametrize(
    ("text", "unit", "shown", "doubt"),
    [("Torque", "[Nm]", "N·m", None), ("Torque", "ft-lb", "lbf·ft", None), ("Torque (Nm)", "N.m", "N·m", None),
     ("Torque", "-", None, None), ("Torque", "lb", None, "heading_unit_unknown"),
     ("Torque", "Nm / ft-lb", None, "column_unit_doubled"), ("Torque", "psi", None, "unit_wrong_kind"),
     ("Stud dia", "mm", "mm", None), ("Studs", "pcs", None, None)],
)  # fmt: skip
def test_the_unit_below_a_name(text: str, unit: str, shown: str | None, doubt: str | None) -> None:
    column = understand([Head(0, text, unit=unit)])[0]
    assert column.unit == shown
    assert (column.doubt.code if column.doubt else None) == doubt


@pytest.mark.parametrize(
    "heading", ["Torque (previous)", "Torque (as found)", "Lubricant (Y/N)", "Stud size (old)", "Grade (MPa)",
                "Stress area (mm2)", "Studs (mm)", "Wrench S/N", "Torque wrench S/N",
                "Torque reqd?", "Lubricant?"]
)  # fmt: skip
def test_what_stands_in_brackets_or_as_a_unit_makes_it_another_thing(heading: str) -> None:
    assert fields(heading) == [None]


def test_a_typing_slip_is_offered_and_not_taken() -> None:
    column = read("Tourqe (ft-lb)")[0]
    assert (column.field, column.suggested) == (None, ("torque",))


def test_a_worksheet_call_refuses_what_cannot_be_told() -> None:
    for headings, code in ((("Torque (ft-lb)", "Torque (Nm)"), "columns_conflict"),
                           (("Torque (ft-lb / Nm)",), "column_unit_doubled"),
                           (("Torque (psi)",), "unit_wrong_kind")):  # fmt: skip
        with pytest.raises(InputError) as raised:
            read_columns(headings)
        assert raised.value.finding.code == code


def test_cells_that_are_no_heading_are_passed_over() -> None:
    assert [c.field for c in read_columns(["Joint", None, 12, "#N/A", " ", "Studs"])] == ["joint", "studs"]
    assert fields_named([Head(0, "Joint"), Head(1, "Tag"), Head(2, "Own")]) == {"joint"}
    assert [is_unit(text) for text in ("(psi)", "ft-lb", "-", "V-1", "1 1/4")] == [True, True, False, None, None]
