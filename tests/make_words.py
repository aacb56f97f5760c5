"""Writes `templates/words.xlsx`: the words of the cards in English, and a demonstration of a second language.

The English comes from the forms, the cards' own texts and the sentences of cautions; the German is a demonstration and is
not checked by a native speaker of the trade. Run `python tests/make_words.py` after a change of either.
"""
# ruff: noqa: E501  (a table of texts, one to a line where they are long)

import re
import sys
from pathlib import Path

from openpyxl import Workbook, load_workbook
from openpyxl.cell.rich_text import CellRichText
from openpyxl.styles import Alignment, Font

sys.path.insert(0, str(Path(__file__).parent))  # pytest, looking for doctests, imports this file by its path
from sheet_layout import save  # noqa: E402

from addin.cards import break_card, joint_card  # noqa: E402
from addin.cards.language import CHECKED_BY  # noqa: E402
from addin.cells import sentences  # noqa: E402
from addin.forms.tokens import TOKEN  # noqa: E402
from addin.plan.usual_cautions import STOPS, SUPPORTS, USUAL  # noqa: E402
from calc.plan.joints import OPERATIONS  # noqa: E402

TEMPLATES = Path(__file__).parents[1] / "templates"
CARDS = ("joint card", "retightening card", "break-out card")
CAUTIONS = ("friction_may_differ", "retighten", "fibre_gasket", "pass_other_means", "preload_low", "gauge_class")

SAID = (
    "snug", "pass {}", "cross", "circular until no nut turns", "circular check after a wait of {} h", "by hand", "no pump",
    "other means", "by hand: align the faces", "start low", "loosen", "none", "not stated", "stud to stud: 1, 2, 3 …, clockwise",
    "PRESSURE TO SET on {}, {}", "TORQUE TO SET, {}", "torque at this pressure", "Cross order", "Order",
    "issue {} · issued {}", "issue {} · issued {} · replaces card {}", "for {} across flats", "none: tapped holes",
    "(+{} % on the final torque)", "(−{} % on the final torque)", "bold: stud number   ·   with a point: its place in the order",
    "Void after {}, the last day of {}'s certificate; once a later issue is out; where studs, nuts, gasket or lubricant are "
    "not those stated.",
    "A tick for each stud and pass: columns in cross order; circular passes go round by number", "continued",
    "A tick for each stud and pass: columns in the order of page 1; circular passes go round by number",
    "More than 32 studs: mark each nut as it is done, in every pass.", "HOLD: go on only when signed", "WITNESS: call first",
    "Instead of {}: strike out the figures above; only the row of the wrench used, on its own gauge", "Wrenches together",
    "stress {} on the root B1.1 area", "{} of the minimum yield on the {} area", "torque {} as specified",
)  # fmt: skip

GERMAN = {
    "break": "Öffnen", "test make-up": "Montage zur Probe", "final make-up": "Endmontage", "retighten": "Nachziehen",
    "snug": "handfest", "pass {}": "Durchgang {}", "cross": "über Kreuz", "by hand": "von Hand", "no pump": "ohne Pumpe",
    "circular until no nut turns": "reihum, bis sich keine Mutter mehr dreht", "other means": "anderes Mittel",
    "circular check after a wait of {} h": "reihum prüfen nach {} h Wartezeit", "by hand: align the faces":
    "von Hand: Dichtflächen ausrichten", "loosen": "lösen", "none": "keine", "not stated": "nicht angegeben",
    "stud to stud: 1, 2, 3 …, clockwise": "Bolzen für Bolzen: 1, 2, 3 …, im Uhrzeigersinn",
    "PRESSURE TO SET on {}, {}": "EINZUSTELLENDER DRUCK an {}, {}", "TORQUE TO SET, {}": "EINZUSTELLENDES MOMENT, {}",
    "torque at this pressure": "Moment bei diesem Druck", "Cross order": "Kreuzfolge", "Order": "Reihenfolge",
    "issue {} · issued {}": "Ausgabe {} · ausgegeben {}",
    "issue {} · issued {} · replaces card {}": "Ausgabe {} · ausgegeben {} · ersetzt Karte {}",
    "Pass": "Durchgang", "studs": "Bolzen", "nut": "Mutter", "gasket": "Dichtung", "lubricant": "Schmiermittel",
    "friction": "Reibung", "target": "Ziel", "preload": "Vorspannkraft", "wrench": "Schrauber", "link": "Einsatz",
    "gauge, pump": "Manometer, Pumpe", "setpoint": "Einstellwert", "gives": "ergibt", "rated": "zulässig",
    "backup wrench": "Gegenhalter", "final torque": "Endmoment", "certificate": "Zertifikat", "limits": "Grenzen",
    "remarks": "Bemerkungen", "Studs and target": "Bolzen und Ziel", "Wrench": "Schrauber", "torque": "Moment",
    "circular": "reihum", "side turned": "gedrehte Seite", "stud 1": "Bolzen 1", "This joint:": "Diese Verbindung:",
    "Before and while working": "Vor und bei der Arbeit", "Tightened by": "Angezogen von", "Witness": "Zeuge",
    "name": "Name", "signature": "Unterschrift", "qualification": "Befähigung", "date, time": "Tag, Uhrzeit",
    "done by": "ausgeführt von", "day, time": "Tag, Uhrzeit", "stud": "Bolzen", "all done, initials": "alle, Kürzel",
    "before the first pass": "vor dem ersten Durchgang", "Lubricant": "Schmiermittel", "batch": "Charge",
    "Permit": "Freigabeschein", "work order": "Auftrag", "Found different": "Anders vorgefunden", "Remarks": "Bemerkungen",
    "Line proven free of pressure, drained and released for work.":
        "Leitung nachweislich drucklos, entleert und zur Arbeit freigegeben.",
    "While there is pressure: hands off wrench, reaction arm and backup wrench; one trained person at the control.":
        "Unter Druck: Hände weg von Schrauber, Abstützung und Gegenhalter; eine unterwiesene Person an der Bedienung.",
    "Reaction on something that holds; backup wrench secured.": "Abstützung an etwas, das hält; Gegenhalter gesichert.",
    "Out of line of wrench, studs and hoses.": "Nicht in der Flucht von Schrauber, Bolzen und Schläuchen stehen.",
    "Never feel for a leak by hand: oil under the skin is an emergency, to hospital immediately.":
        "Undichtes nie mit der Hand suchen: eingedrungenes Öl gehört ins Krankenhaus.",
    "Pressure off before anything is connected, moved or taken away.":
        "Druck weg, bevor etwas angeschlossen, bewegt oder abgenommen wird.",
    "Protective equipment as the site and the job ask.": "Schutzausrüstung, wie Werk und Arbeit sie verlangen.",
    "STOP, pressure off, and call the supervisor when: {}.": "HALT, Druck weg, Aufsicht rufen, wenn: {}.",
    "Nothing above the lowest rating of wrench, hose, pump and gauge; hoses sound, couplings screwed fully home.": "Nie über den niedrigsten zulässigen Druck von Schrauber, Schlauch, Pumpe und Manometer; Schläuche heil, Kupplungen ganz zugeschraubt.",
    "Make a short first stroke and check that the wrench seats squarely; then go on.": "Erst einen kurzen Hub, prüfen, ob der Schrauber gerade sitzt; dann weiter.",
    "bold: stud number   ·   with a point: its place in the order": "fett: Nummer des Bolzens   ·   mit Punkt: sein Platz in der Folge",
    "A tick for each stud and pass: columns in the order of page 1; circular passes go round by number": "Ein Haken für jeden Bolzen und Durchgang: Spalten in der Folge von Seite 1, Umläufe der Nummer nach",
    "A tick for each stud and pass: columns in cross order; circular passes go round by number": "Ein Haken für jeden Bolzen und Durchgang: Spalten in der Kreuzfolge, Umläufe der Nummer nach",
    "HOLD: go on only when signed": "HALTEPUNKT: erst nach Unterschrift weiter",
    "WITNESS: call first": "ZEUGE: erst rufen",
    "(+{} % on the final torque)": "(+{} % gegen das Endmoment)",
    "(−{} % on the final torque)": "(−{} % gegen das Endmoment)",
    "for {} across flats": "für Schlüsselweite {}",
    "Instead of {}: strike out the figures above; only the row of the wrench used, on its own gauge": "Statt {}: die Werte oben streichen; nur die Zeile des benutzten Schraubers, an dessen Manometer",
    "torque {} as specified": "Moment {} wie vorgegeben",
    SUPPORTS: "Diese Karte unterstützt und ersetzt nie die Verfahren des Werks, örtliche Vorschriften und zugelassene Fachleute.",
}  # fmt: skip


def english() -> list[str]:
    """Every text of the cards: of their forms, of the program, and the sentences of cautions with `{}` for what changes."""
    found: dict[str, None] = dict.fromkeys((*OPERATIONS, *SAID))
    for name in CARDS:
        sheet = load_workbook(TEMPLATES / f"{name}.xlsx", rich_text=True).active
        assert sheet is not None
        for row in sheet.iter_rows():
            for cell in row:
                parts = (
                    [str(run) for run in cell.value]
                    if isinstance(cell.value, CellRichText)
                    else [str(cell.value or "")]
                )
                texts = [
                    line.strip() for part in parts for piece in TOKEN.split(part)[::2] for line in piece.split("\n")
                ]
                found |= dict.fromkeys(text for text in texts if re.search(r"[A-Za-z]{2}", text))
    for lines in USUAL.values():
        found |= dict.fromkeys(lines)
    found |= dict.fromkeys(
        f"STOP, {off} and call the supervisor when: {{}}." for off in ("pressure off,", "wrench off the nut,")
    )
    found |= dict.fromkeys(line for lines in STOPS.values() for line in lines)
    constants = [
        getattr(room, name) for room in (joint_card, break_card) for name in vars(room) if name.startswith("_")
    ]
    for value in constants:
        for text in value.values() if isinstance(value, dict) else [value]:
            if isinstance(text, str) and " " in text:
                found |= dict.fromkeys(line.strip() for line in text.split("\n"))
    for code in CAUTIONS:
        if text := getattr(sentences, "SENTENCES", {}).get(code):
            found[re.sub(r"\{[^}]*\}", "{}", text)] = None
    found[SUPPORTS] = None
    return [text for text in found if text]


def main() -> None:
    """The table."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Words"
    sheet.append(["English", "Deutsch (demonstration, not checked by a native speaker of the trade)"])
    sheet.append([CHECKED_BY, None])
    for text in english():
        sheet.append([text, GERMAN.get(text)])
    for row in sheet.iter_rows():
        for cell in row:
            cell.font = Font(name="Arial", size=10, bold=cell.row <= 2)
            cell.alignment = Alignment(wrap_text=True, vertical="top")
    sheet.column_dimensions["A"].width = sheet.column_dimensions["B"].width = 70
    sheet.freeze_panes = "A3"
    book.properties.title = "Words of the cards"
    save(book, TEMPLATES / "words.xlsx")


if __name__ == "__main__":
    main()
