"""Writes `templates/words.xlsx`: all words of what is printed in English, and a demonstration of a second language.

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

from addin.cards import break_card, card_order, card_record, joint_card, kit  # noqa: E402
from addin.cards.language import CHECKED_BY  # noqa: E402
from addin.cells import sentences  # noqa: E402
from addin.forms.tokens import TOKEN  # noqa: E402
from addin.plan.usual_cautions import STOPS, SUPPORTS, USUAL  # noqa: E402
from calc.plan.joints import OPERATIONS  # noqa: E402

TEMPLATES = Path(__file__).parents[1] / "templates"
FORMS = (
    *(f"{name}{paper}" for name in ("joint card", "retightening card", "break-out card") for paper in ("", " letter")),
    "working", "wrench sheet", "kit list", "summary", "cautions", "withdrawn cards",
)  # fmt: skip

SAID = (
    # what a card says of its passes and its tools
    "clockwise",
    "snug", "pass {}", "cross", "circular until no nut turns", "circular check after a wait of {} h", "by hand", "no pump",
    "other means", "by hand: align the faces", "by hand: at most {}, faces aligned, gap even",
    "at most {}, faces aligned, gap even", "in the order given", "{} % above planned", "{} % below planned",
    "start low", "loosen", "LOOSEN", "none", "not stated", "not checked", "not known", "see each wrench", "ask first", "yes",
    "PRESSURE TO SET", "on {}", "on {}, {}", "PRESSURE TO SET on {}, {}", "TORQUE TO SET, {}", "torque at this pressure",
    "other means: below the lowest certified point, {}", "below the lowest certified point, {}", "none: tapped holes",
    "in stages, every nut in turn; nuts stay on until the gap opens", "for {} across flats", "size not stated",
    "each {}", "{} not stated", "(+{} % on the final torque)", "(−{} % on the final torque)", "valid until {}",
    "{}: no calibrated hand torque wrench of the wrench book fits; ask before starting", "{}: by hand torque wrench {}",
    "every pass",
    "Instead of {}, nearest to the final torque first. Strike out the figures above; only the row of the wrench used, on its "
    "own gauge", "Wrenches together", "pass {} to {}", "{}, gauge {}, pump {}", "hose {}, rated {}", "{}, gauge {}, pump {}, hose {}",
    "{}, gauge {}, pump {}, hose {}, torque at {}: {}", "torque not known", "hose not named", "see below",
    "pressure reached, {}", "pressure reached, each wrench", "torque reached", "{} h after {} was done",
    "issued {}, after the job date {}: ask which day holds; certificates were checked for the job date",
    # which card it is
    "issue {} · issued {}", "issue {} · issued {} · replaces card {}",
    "Void after {}, the last day of {}'s certificate; once a later issue is out; where studs, nuts, gasket or lubricant are "
    "not those stated.",
    "Void once a later issue is out; where studs, nuts, gasket or lubricant are not those stated.",
    "TO BE REVIEWED BY THE ENGINEER BEFORE WORK: {}",
    # the order
    "Cross order", "Order", "Cross order, {} wrenches together: studs joined by + at the same time",
    "Order, {} wrenches together: studs joined by + at the same time",
    "Cross order, {} neighbours one after the other, then across",
    "Cross order, {} wrenches together: studs joined by + at the same time, {} neighbours one after the other, then across",
    "two", "three", "four", "stud to stud: 1, 2, 3 …, clockwise", "stud to stud: 1, 2, 3 …, as they are numbered",
    "{} together, clockwise", "{} together, as they are numbered",
    "{} together; in the last move the wrenches without a stud wait, clockwise",
    "1→ 2→ 3 … {}, round after round, until no nut turns", "No picture: the order is the list's own.",
    "Stud numbers as marked at the joint.", "No picture: no order stated.",
    "mark it, as agreed at the joint. Position: ______________ seen from: ______________",
    "bold: stud number   ·   with a point: its place in the order", "stud numbers; the order beside it counts",
    "every other stud is numbered; the order beside it counts", "every fourth stud is numbered; the order beside it counts",
    "stud, continued", "Order: {}", "each line from left to right", "Order of loosening: {}", "Order of loosening", "crosswise",
    "quadrants", "groups of {}", "quarter points then cross", "quarter points then circular", "circular",
    "Order: {}, {} wrenches together: studs joined by + at the same time", "from memory, after ASME PCC-1",
    ", only {} studs", "only {} of {} studs: {}", "all {} studs, {}",
    "round {}", "loosened, round {}", "nut free, gap open",
    "More than 32 studs: mark each nut as it is done, in every pass.", "HOLD: go on only when signed", "WITNESS: call first",
    "hold point: {}", "witness point: {}",
    # target and limits
    "stress {} on the {} area", "{} of the minimum yield on the {} area", "torque {} as specified", "load {} in each stud",
    "{}, raised by the engineer x {} to {} ({})", "{}; pass {} raised by the engineer x {} ({})",
    "raised by the engineer x {} ({}); the pass after it goes back to 100 %",
    "gasket stress {} on {} of gasket", "none checked", "Not checked: {}",
    "not known: friction not stated", "nut series not stated", "friction not stated", "{} is needed", "{} are needed",
    "stud stress, tension with torsion: {} of the {} allowed",
    "stud stress, tension with torsion: {} of the {} allowed ({} % of the minimum yield, {})", "{} {} ({}): {} is reached",
    "{} {}: {} is reached", "{} {} ({})", "stud ceiling", "gasket seating", "gasket crushing", "gasket operating",
    "flange limit", "stud maximum", "stud minimum", "range of preload (scatter not stated)",
    "{} to {} {} in a stud: {}", "published scatter, wrench and gauge in it", "nut factor {} to {}",
    "nut factor {} to {}, gauge ±{} %", "nut factor {} to {}, wrench ±{} %", "nut factor {} to {}, wrench ±{} %, gauge ±{} %",
    "wrench not in it", "gauge not in it", "wrench and gauge not in it",
    # breaking out
    "{} stated × {} ({})", "the setting for the whole list", "the list", "series not stated",
    "the stud begins to yield: thread seized, its preload still in it, the nut's face taking its share",
    "the stud begins to yield: thread seized, all torque in it, its preload not known",
    "needs grade", "needs thread", "needs grade and thread",
    "Not turned at stage {}: go up mark by mark. NEVER ABOVE", "Not turned at stage {}: that is the end. NEVER ABOVE",
    *(f"From the lowest pressure up, a stage at a time; stop when the nut turns{extra}"
      for extra in ("", ". No mark within the highest pressure gives the torque to expect")),
    *(f"From the lowest pressure up, a stage at a time; stop when the nut turns. {extra}{end}"
      for extra in ("", "No mark within the highest pressure gives the torque to expect. ")
      for end in ("A nut that has not turned at the last stage: raise mark by mark to the highest pressure at most, then stop",
                  "The last stage is the highest pressure: a nut that has not turned there, stop")),
    # contents before the cards
    *(f"{kind} cards: {{}}, sheet {{}}" for kind in ("joint", "retightening", "break-out")), "issued {}",
    "{} cards, in this order", "Other cards of this pack, each in the file named at the end of its line:", "Joint", "Operation", "Card", "Issue", "Day", "Crew", "Area", "Studs", "Wrench", "day not stated",
    # wrench sheets
    "{} planned joint; alternate for {}", "{} planned joints; alternate for {}", "no link stated", "{} to {}, {} to {}",
    "finding below", "the torque limit of the links on this sheet", "the lowest rating of wrench, link, hose, pump and gauge",
    "the end of the certified range, nothing is known beyond it", "The table ends at {}.", "the torque limit of these links", "the end of the certified range", "the end of the gauge",
    *(f"the rated pressure of the {part}" for part in ("wrench", "hose", "pump")), "! {} {}",
    # kit list
    "all areas", "area not stated", "{} card", "{} cards", "{}, valid until {}", "{}, last day not stated", "certificate not stated",
    "{}, no. {}", "{}, for {}", "backup wrench {}", "backup wrench for {} across flats", "backup wrench size not stated",
    "hand torque wrench, {} to {} final torque", "hand torque wrench, {}", "range for every pass of them",
    "socket {} across flats", "socket, size not stated", "for {}", "rated {}", "rating not stated",
    "hose not named in the wrench book", "pump not named in the wrench book", "gauge not stated", "{} joint", "{} joints",
    "{}, length not stated, {}", "{}, length {}, {}", "{}, {} across flats", "{}, size {}, rating {}", "gasket not stated",
    "{}, length not stated, {}, re-used", "{}, length {}, {}, re-used", "washers not stated in the list", "Washers",
    "{} studs stay with {}, as the list says: new ones only for those scrapped", "{} make-up", "{} make-ups", "product not stated", "quantity by the product's maker", "grade not stated",
    "Wrenches", "Links and sockets", "Backup wrenches", "Hand torque wrenches", "Reaction arms", "Hoses", "Pumps", "Gauges",
    "Nuts", "Gaskets", kit.HOW,
    # summary, cautions, withdrawn cards
    "job dates as in the list", "job date {}", "all rows of the plan", "{} of {} rows, those asked for",
    "{} planned + {} by other methods + {} stopped = {} rows", "{} of the planned to be reviewed", "no reason given",
    "method of the list: {}", "planned", "stopped", "other method", "break-out not planned", "planned, to be reviewed",
    *(f"{{}}: {work}{{}}{more} card{s}, time not estimated" for work in ("", "{} h of work; ", "{} h of work, crew {}; ",
      "{} h of work, crews {}; ", "crew {}; ", "crews {}; ") for more, s in (("", ""), ("", "s"), (" more", ""), (" more", "s"))),
    "{}: crew {}", "{}: crews {}", "{} card, time not estimated", "{} cards, time not estimated",
    "{}: {} h of work", "{}: {} h of work, crew {}", "{}: {} h of work, crews {}", "needs pump {}, as {} that day",
    SUPPORTS.replace("This card", "This pack"),
    # the page behind a card
    "on the card: {}", "on the card: {} ({})", "not worked out: {}", "Preload", "Torque", "Stress with torsion", "Pressure to set",
    "Passes", "Break-out", "given", "units", "factor", "grade", "thread", "nominal diameter", "pitch", "table", "stress", "percent",
    "nut factor", "thread friction", "nut friction", "form", "graduation", "rounding", "tolerance", "scheme", "passes", "tension",
    "torque at the highest point of the table", "minimum yield of {}", "torque to expect", "never beyond", "what follows",
    "torque at which the stud begins to yield in torsion", "torque to expect: factor times make-up torque",
    "torque never to go beyond", "torque at the wrench's highest point", "at {}", "stud's torsional limit",
    "a stud that is kept begins to yield, seized thread, no preload left in it", "the smaller of wrench and stud",
    "start low and raise the pressure step by step; stop when the nut turns", "within the rating", "stage {}", "about {}", "at {} psi", "at {} bar", "at {} MPa", "its share of the torque",
    "limits, order and time", "other limits, order and time", "range of preload {} to {}: {}",
    "nut factor {} to {} of {} ({})", "published scatter of {}, -{} % and +{} % ({})", "wrench and gauge are in it",
    "certificate of the wrench ±{} %, in quadrature", "wrench comes on top",
    "certificate of the wrench ±{} %, the most of {}, in quadrature", "wrench {} not in it: no uncertainty stated",
    *(f"{first}gauge ±{{}} % of the setpoint, {which}, in quadrature"
      for first in ("", "certificate of the wrench ±{} % and ", "certificate of the wrench ±{} %, the most of {} and ")
      for which in ("{} by its class", "{} by its certificate", "the most of {}")),
    "gauge {} not in it: no class or deviation stated as a number",
    "on the card alone", "grade not stated",
    "Break-out: by the wrench's table, and what the card shows", SUPPORTS.replace("This card", "This page"), "hand torque wrench",
    "preload: stress times area", "F = stress x area", "preload: share of yield times area", "F = percent x yield x area",
    "preload: torque over nut factor times diameter", "torque: nut factor times diameter times preload", "link factor",
    "row of the table, with the link's factor", "pressure on the line between the two", "pressure of the mark, nearest",
    "torque at the mark", "difference from the torque meant", "mark to set, as the gauge shows it", "torque ({})",
    "straight line between the rows of the table", "circular check after a wait", "pressure ({})", "torque at this pressure ({})",
    "torque of each pass: its share of the torque", "across flats, {}", "mean friction diameter under the nut",
    "hole D + 1/8 in, D + 3 mm for metric threads", "pitch diameter", "slope of the thread", "friction in the thread",
    "torque in the VDI 2230 form", "torque in the thread", "stress with torsion, elastic", "elastic torsion of the stress diameter d",
    "pressures: {} wrenches on one pump share them, no single function gives them", "preload {}, {}", "preload: {}", "torque {}: {}",
    "root B1.1 area", "tensile area", "root ISO area", "{} area", "larger wrench", "Mises", "{}, certificate {}, times {} of its link",
    "{}, certificate {}", "{}, {}, gauge {}", "no link", "target not stated", "other means",
    # made without a sentence of their own
    "(it has {})", "close",
    "{}: unit '{}' is not known; {} takes {}", "{}: unit '{}' is a unit of {}; {} takes {}", "{} is below {}", "{} is above {}",
    "{} is below {}; if {} is meant, write '{}'", "{} is above {}; if {} is meant, write '{}'",
)  # fmt: skip

GERMAN = {
    "break": "Öffnen", "test make-up": "Montage zur Probe", "final make-up": "Endmontage", "retighten": "Nachziehen",
    "snug": "handfest", "pass {}": "Durchgang {}", "cross": "über Kreuz", "by hand": "von Hand", "no pump": "ohne Pumpe",
    "circular until no nut turns": "reihum, bis sich keine Mutter mehr dreht", "other means": "anderes Mittel",
    "circular check after a wait of {} h": "reihum prüfen nach {} h Wartezeit", "by hand: align the faces":
    "von Hand: Dichtflächen ausrichten", "loosen": "lösen", "none": "keine", "not stated": "nicht angegeben",
    "round {}": "Runde {}", "every pass": "jeder Durchgang", "clockwise": "im Uhrzeigersinn", "two": "zwei", "three": "drei", "four": "vier",
    "by hand: at most {}, faces aligned, gap even": "von Hand: höchstens {}, Flächen ausgerichtet, Spalt gleichmäßig",
    ", only {} studs": ", nur {} Bolzen", "only {} of {} studs: {}": "nur {} von {} Bolzen: {}",
    "all {} studs, {}": "alle {} Bolzen, {}", "Order: {}": "Reihenfolge: {}", "quadrants": "Viertel",
    "Order: {}, {} wrenches together: studs joined by + at the same time":
    "Reihenfolge: {}, {} Schrauber zusammen: Bolzen mit + zugleich", "from memory, after ASME PCC-1":
    "aus dem Gedächtnis, nach ASME PCC-1", "quarter points then cross": "Viertelpunkte, dann über Kreuz",
    "quarter points then circular": "Viertelpunkte, dann reihum",
    "Cross order, {} neighbours one after the other, then across": "Kreuzfolge, {} Nachbarn nacheinander, dann gegenüber",
    "{} % above planned": "{} % über Plan", "{} % below planned": "{} % unter Plan", "Kit list: {}": "Geräteliste: {}",
    "{} card": "{} Karte", "{} cards": "{} Karten", "for {}": "für {}", "rated {}": "zulässig {}", "kind": "Art",
    "Wrenches": "Schrauber", "Hoses": "Schläuche", "Pumps": "Pumpen", "Gauges": "Manometer", "Nuts": "Muttern",
    "stud to stud: 1, 2, 3 …, clockwise": "Bolzen für Bolzen: 1, 2, 3 …, im Uhrzeigersinn",
    "PRESSURE TO SET on {}, {}": "EINZUSTELLENDER DRUCK an {}, {}", "TORQUE TO SET, {}": "EINZUSTELLENDES MOMENT, {}",
    "torque at this pressure": "Moment bei diesem Druck", "Cross order": "Kreuzfolge", "Order": "Reihenfolge",
    "issue {} · issued {}": "Ausgabe {} · ausgegeben {}",
    "issue {} · issued {} · replaces card {}": "Ausgabe {} · ausgegeben {} · ersetzt Karte {}",
    "Pass": "Durchgang", "studs": "Bolzen", "nut": "Mutter", "gasket": "Dichtung", "lubricant": "Schmiermittel",
    "friction": "Reibung", "target": "Ziel", "preload": "Vorspannkraft", "wrench": "Schrauber", "link": "Einsatz",
    "gauge, pump": "Manometer, Pumpe", "setpoint": "Einstellwert", "torque at setting": "Moment dabei", "rated": "zulässig",
    "backup wrench": "Gegenhalter", "final torque": "Endmoment", "certificate": "Zertifikat", "limits": "Grenzen",
    "remarks": "Bemerkungen", "Studs and target": "Bolzen und Ziel", "Wrench": "Schrauber", "torque": "Moment",
    "circular": "reihum", "wrench side": "Seite des Schraubers", "stud 1": "Bolzen 1", "This joint:": "Diese Verbindung:",
    "Before and while working": "Vor und bei der Arbeit", "Tightened by": "Angezogen von", "Witness": "Zeuge",
    "name": "Name", "signature": "Unterschrift", "qualification": "Befähigung", "date, time": "Tag, Uhrzeit",
    "done by": "ausgeführt von", "day, time": "Tag, Uhrzeit", "stud": "Bolzen", "all done, initials": "alle, Kürzel",
    "before the first pass": "vor dem ersten Durchgang", "Lubricant": "Schmiermittel", "batch": "Charge",
    "Permit": "Freigabeschein", "work order": "Auftrag", "Differences found": "Abweichend vorgefunden", "Remarks": "Bemerkungen",
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
    "A tick for each stud and pass, columns in the order of page 1": "Ein Haken für jeden Bolzen und Durchgang, Spalten in der Folge von Seite 1",
    "A tick for each stud and pass, columns in cross order": "Ein Haken für jeden Bolzen und Durchgang, Spalten in der Kreuzfolge",
    "A tick for each stud and pass that goes round, columns in circular order": "Ein Haken für jeden Bolzen und Umlauf, Spalten der Reihe nach",
    "stud, continued": "Bolzen, weiter", "each line from left to right": "jede Zeile von links nach rechts",
    "pressure reached, {}": "erreichter Druck, {}", "torque reached": "erreichtes Moment", "{} h after {} was done": "{} h nach {}",
    "pass {} to {}": "Durchgang {} bis {}", "hose, rated": "Schlauch, zulässig", "washers": "Scheiben", "studs are": "Bolzen sind",
    "not before (day, time):": "nicht vor (Tag, Uhrzeit):",
    "a stud turns with its nut": "ein Bolzen sich mit der Mutter dreht",
    "the gauge does not reach the mark or falls back": "das Manometer die Marke nicht erreicht oder zurückfällt",
    "a nut does not move at all in the first pass": "eine Mutter sich im ersten Durchgang gar nicht bewegt",
    "a nut turns suddenly, or on and on": "eine Mutter sich plötzlich oder immer weiter dreht",
    "the gap is uneven or the gasket moves": "der Spalt ungleich ist oder die Dichtung wandert", "anything leaks": "etwas undicht ist",
    "HOLD: go on only when signed": "HALTEPUNKT: erst nach Unterschrift weiter",
    "WITNESS: call first": "ZEUGE: erst rufen",
    "(+{} % on the final torque)": "(+{} % gegen das Endmoment)",
    "(−{} % on the final torque)": "(−{} % gegen das Endmoment)",
    "for {} across flats": "für Schlüsselweite {}",
    "Instead of {}, nearest to the final torque first. Strike out the figures above; only the row of the wrench used, on its own gauge": "Statt {}, nächstes am Endmoment zuerst. Die Werte oben streichen; nur die Zeile des benutzten Schraubers, an dessen Manometer",
    "torque {} as specified": "Moment {} wie vorgegeben",
    SUPPORTS: "Diese Karte unterstützt und ersetzt nie die Verfahren des Werks, örtliche Vorschriften und zugelassene Fachleute.",
}  # fmt: skip


def english() -> list[str]:
    """Every text of the cards: of their forms, of the program, and the sentences of cautions with `{}` for what changes."""
    found: dict[str, None] = dict.fromkeys((*OPERATIONS, *SAID))
    for name in FORMS:
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
        getattr(room, name)
        for room in (joint_card, break_card, card_order, card_record)
        for name in vars(room)
        if name.startswith("_")
    ]
    for value in constants:
        for text in value.values() if isinstance(value, dict) else [value]:
            if isinstance(text, str) and " " in text:
                found |= dict.fromkeys(line.strip() for line in text.split("\n"))
    for text in sentences.SENTENCES.values():
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
