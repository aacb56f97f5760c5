"""What a plan has to say, one line a cause."""

from msgspec.structs import replace

from addin.plan.causes import ALIKE, Causes
from addin.plan.record_joint import FindingEntry, JointEntry


def joint(tag: str, *findings: tuple[str, str, str]) -> JointEntry:
    said = tuple(
        FindingEntry(level=level, code=code, text=text, place=f"Joints!F{tag.removeprefix('J')}")
        for level, code, text in findings
    )
    return JointEntry(row=1, joint=tag, operation="final make-up", method="hydraulic", status="stopped", findings=said)


def lines(*joints: JointEntry) -> list[tuple[str, str]]:
    causes = Causes()
    for each in joints:
        causes.add(each)
    return causes.lines()


def test_rows_with_the_same_finding_stand_on_one_line_with_the_first_cells() -> None:
    many = [joint(f"J{n}", ("stop", "grade_needed", "grade is needed")) for n in range(8, 17)]

    assert lines(*many) == [("stop", "9 rows (Joints!F8, F9, F10 and 6 more): grade is needed")]
    assert lines(*many[:1]) == [("stop", "Joints!F8 J8 final make-up: grade is needed")]


def test_the_worst_stands_first() -> None:
    found = lines(
        joint("J8", ("caution", "retighten", "only under authority"), ("stop", "grade_needed", "grade is needed")),
        joint("J9", ("caution", "retighten", "only under authority"), ("stop", "missing", "studs are needed")),
        joint("J10", ("stop", "missing", "studs are needed")),
    )

    assert [text for _, text in found] == [
        "2 rows (Joints!F9, F10): studs are needed",
        "Joints!F8 J8 final make-up: grade is needed",
        "2 rows (Joints!F8, F9): only under authority",
    ]


def test_lines_that_differ_in_their_numbers_alone_are_counted() -> None:
    found = lines(*[joint(f"J{n}", ("stop", "out_of_range", f"stress {n} is below 1000")) for n in range(8, 58)])

    assert found == [
        (
            "stop",
            "50 rows (Joints!F8, F9, F10 and 47 more): stress 8 is below 1000; the other rows stop or"
            " speak for the same cause, each with its own figures in the column Message (50 in all)",
        )
    ]
    assert (
        len(lines(*[joint(f"J{n}", ("stop", "out_of_range", f"stress {n} is below 1000")) for n in (8, 9, 10)]))
        == ALIKE
    )


def test_what_gauges_make_by_their_class_is_one_line_with_the_worst_of_each() -> None:
    def gauges(row: int, *shares: tuple[str, float]) -> JointEntry:
        found = tuple(
            FindingEntry(level="caution", code="gauge_class_stage", text=f"gauge {gauge} {share}",
                         place=f"Joints!W{row}", facts={"gauge": gauge, "share": {"value": share, "unit": "%"}})
            for gauge, share in shares
        )  # fmt: skip
        return replace(joint(f"J{row}"), findings=found)

    end = "; the planned copy says in which pass; a gauge with a smaller range is more exact there"
    both = "gauge G-1: by its class it may be wrong by up to 15 % of the pressure either way, G-2 by up to 11 %" + end

    assert lines(gauges(8, ("G-1", 12.0))) == [("caution", "Joints!W8 J8 final make-up: gauge G-1 12.0")]
    assert lines(gauges(8, ("G-1", 15.0), ("G-2", 11.0))) == [("caution", f"Joints!W8 J8 final make-up: {both}")]
    assert lines(gauges(8, ("G-1", 12.0), ("G-2", 11.0)), gauges(9, ("G-1", 15.0))) == [
        ("caution", f"2 rows (Joints!W8, W9): {both}")
    ]


def test_rows_unlike_one_group_stand_on_one_line_without_the_value_of_each() -> None:
    group = " is unlike that of 12 of 15 joints of this list with the same grade: 45000 psi"
    found = lines(
        *[joint(f"J{n}", ("caution", "unlike_target", f"stress {n}000 psi{group}")) for n in (8, 9)],
        joint("J10", ("caution", "unlike_text", "grade B16 is unlike that of 3 of 4 joints of this list: B7")),
    )

    assert [text for _, text in found] == [
        f"2 rows (Joints!F8, F9): value unlike{group.removeprefix(' is unlike')}",
        "Joints!F10 J10 final make-up: grade B16 is unlike that of 3 of 4 joints of this list: B7",
    ]
