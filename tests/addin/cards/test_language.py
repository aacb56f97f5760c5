"""A second language on the cards: laid over the words, never over a number; what it lacks is English and listed."""

import zipfile

import pytest
from openpyxl import Workbook, load_workbook

from addin.cards.issue import PARTS, WantedParts, issue
from addin.cards.joint_card import filling
from addin.cards.language import Words
from addin.forms.tokens import TemplateError
from addin.shipped import folder
from addin.shipped import template as shipped
from addin.tasks import ListSettings, plan_list, write_pack


def table(path, *rows, checked=None):
    book = Workbook()
    book.active.append(["English", "Other"])
    book.active.append(["Checked by", checked])
    for row in rows:
        book.active.append(row)
    book.save(path)
    return path


ROWS = (
    ("final make-up", "Endmontage"), ("cross", "Kreuz"), ("pass {}", "Durchgang {}"),
    ("Out of line of wrench, studs and hoses.", "Weg."),
    ("Wrench", "Schrauber"), ("PRESSURE TO SET on {}, {}", "DRUCK {} {}"), ("snug", "3 handfest"),
)  # fmt: skip


def test_words_change_and_numbers_do_not(tmp_path, plan, joint):
    content = plan(joint())
    words = Words(table(tmp_path / "words.xlsx", *ROWS))
    plain = filling(content, content.joints[0])
    said = words.filled(plain)
    assert said.values["operation"] == "Endmontage"
    assert said.values["set heading"] == "DRUCK HW-3 psi"
    assert [row["set"] for row in said.groups["pass"]][1:] == [row["set"] for row in plain.groups["pass"]][1:]
    assert said.groups["pass"][1]["name"] == "Durchgang 1"
    assert said.values["joint"] == "E-1204 channel"
    assert said.groups["pass"][0]["name"] == "snug"  # the table would have added a number
    assert any("would change a number, printed in English: snug" in line for line in words.notes())


def test_what_is_missing_stands_in_english_and_is_listed(tmp_path, plan, joint):
    words = Words(table(tmp_path / "words.xlsx", *ROWS))
    content = plan(joint())
    said = words.filled(filling(content, content.joints[0]))
    assert "circular until no nut turns" in said.groups["pass"][4]["how"]
    assert "  circular until no nut turns" in words.notes()


@pytest.mark.parametrize("checked", [None, "B. Example"])
def test_cautions_stand_in_english_too_until_somebody_has_checked(tmp_path, plan, joint, checked):
    words = Words(table(tmp_path / "words.xlsx", *ROWS, checked=checked))
    content = plan(joint())
    cautions = words.filled(filling(content, content.joints[0])).values["cautions"]
    assert "• Weg." in cautions
    assert ("• Out of line of wrench, studs and hoses." in cautions) == (checked is None)
    assert any("not checked by a native speaker of the trade" in line for line in words.notes()) == (checked is None)


def test_the_shipped_demonstration_on_a_card(tmp_path, plan, joint):
    words = Words(shipped("words"))
    issued = issue(plan(joint()), "list", tmp_path, WantedParts(("cards",), words=words))
    (sheet,) = load_workbook(tmp_path / "list-cards.xlsx")
    texts = [str(c.value) for row in sheet.iter_rows() for c in row if c.value is not None]
    assert "Schrauber" in texts
    assert "4050" in texts
    assert any("EINZUSTELLENDER DRUCK an HW-3, psi" in text for text in texts)
    assert any("Never feel for a leak by hand" in text for text in texts)
    assert not words.refused
    with zipfile.ZipFile(tmp_path / "list-cards.xlsx") as package:
        drawing = package.read("xl/drawings/drawing1.xml").decode()
    assert "<a:t>im Uhrzeigersinn</a:t>" in drawing
    assert "clockwise</a:t>" not in drawing
    assert any("not checked by a native speaker of the trade" in line for line in issued.notes)


def test_a_table_that_loses_a_name_is_refused(tmp_path):
    with pytest.raises(TemplateError, match="row 3: 'pass {}' and 'Durchgang' differ in their {}"):
        Words(table(tmp_path / "words.xlsx", ("pass {}", "Durchgang")))


def test_every_word_that_pack_prints_stands_in_the_table(tmp_path):
    """The shipped table with each English text as its own translation, over everything that the samples print."""
    english = [
        row[0] for row in load_workbook(shipped("words")).active.iter_rows(min_row=3, values_only=True) if row[0]
    ]
    words = Words(table(tmp_path / "same.xlsx", *((text, text) for text in english), checked="B. Example"))
    samples = folder("samples")
    made = plan_list(
        samples / "drigrauvex-joints.xlsx", [samples / "drigrauvex-wrenches.xlsx"], tmp_path,
        ListSettings(breakout_factor=1.6),
    )  # fmt: skip
    parts = tuple(PARTS)
    done = write_pack(made.plan_file, tmp_path, WantedParts(only=parts, words=words, both=True, issued="2026-12-01"))
    assert len(done.files) == len(parts)
    assert list(words.missing) == []
    assert list(words.refused) == []


def test_the_other_sheets_are_in_the_second_language_too(tmp_path, plan, joint, hand):
    rows = (("Kit list: {}", "Liste: {}"), ("{} card", "{} Karte"), ("Wrenches", "Schrauber"), ("all areas", "alles"),
            ("{} planned + {} by other methods + {} stopped = {} rows", "{} geplant, {} anders, {} Halt, {} Zeilen"),
            ("by hand", "von Hand"), ("Cautions", "Vorsicht"))  # fmt: skip
    words = Words(table(tmp_path / "words.xlsx", *rows))
    wanted = WantedParts(("kit", "summary", "cautions"), words=words)
    issue(plan(joint(), hand()), "list", tmp_path, wanted)

    def texts(name):
        book = load_workbook(tmp_path / f"list-{name}.xlsx")
        return "\n".join(
            str(c.value) for sheet in book for row in sheet.iter_rows() for c in row if c.value is not None
        )

    assert "Schrauber" in texts("kit-list")
    assert "1 Karte; C-1041" in texts("kit-list")
    assert "2 geplant, 0 anders, 0 Halt, 2 Zeilen" in texts("summary")
    assert "von Hand" in texts("summary")
    assert "Out of line of wrench, studs and hoses." in texts("cautions")


def test_words_of_a_pass_of_some_studs_and_of_its_order(tmp_path, plan, joint, several):
    """What a scheme adds to a card is said in the other language too, and beside the English without a second comma."""
    rows = (
        (", only {} studs", ", nur {} Bolzen"), ("Order: {}", "Folge: {}"), ("nut factor {} to {}", "K {} bis {}"),
        ("Order: {}, {} wrenches together: studs joined by + at the same time", "Folge: {}, {} Schrauber, + zugleich"),
        ("quarter points then cross", "Viertel, Kreuz"), ("from memory, after ASME PCC-1", "nach ASME PCC-1"),
        ("each line from left to right", "zeilenweise"), ("{} to {} {} in a stud: {}", "{} bis {} {} je Bolzen: {}"),
        ("wrench not in it", "ohne Schrauber"), ("nut factor {} to {}, gauge ±{} %", "K {} bis {}, Manometer ±{} %"),
    )  # fmt: skip
    path = table(tmp_path / "words.xlsx", *rows)
    content = plan(joint(), several(), scheme="rising cross")
    alone, together = (filling(content, each) for each in content.joints)
    said = Words(path).filled(alone)
    assert said.groups["pass"][1]["part"] == ", nur 4 Bolzen"
    assert said.values["order heading"] == "Folge: Viertel, Kreuz; nach ASME PCC-1; zeilenweise"
    assert said.values["range"].startswith("59100 bis 86500 lbf je Bolzen: ")
    assert Words(path).filled(together).values["order heading"] == (
        "Folge: Viertel, Kreuz, 2 Schrauber, + zugleich; nach ASME PCC-1; zeilenweise"
    )
    assert Words(path, beside=True).filled(alone).groups["pass"][1]["part"] == ", only 4 studs / nur 4 Bolzen"
