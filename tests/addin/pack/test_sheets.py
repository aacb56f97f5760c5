"""Cards from a plan: what is written, what is left out and why."""

from openpyxl import load_workbook

from addin.pack.sheets import write_pack


def test_one_sheet_for_each_card(tmp_path, template, plan, joint, hand):
    report = write_pack(plan(joint(), joint("P-1", studs=8), hand()), template, tmp_path / "cards.xlsx")

    book = load_workbook(tmp_path / "cards.xlsx")
    assert book.sheetnames == [name for *_, name in report.cards]
    assert [(tag, operation) for tag, operation, *_ in report.cards] == [
        ("E-1204 channel", "final make-up"),
        ("P-1", "final make-up"),
        ("P-310 suction", "final make-up"),
    ]
    assert not report.unknown_tokens
    assert not report.refused
