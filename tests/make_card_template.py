"""Makes the cards in `templates/`: joint card, retightening card, break-out card.

Run once, `python tests/make_card_template.py`; from then on the templates are workbooks that people adapt by hand.
"""

import sys
from functools import partial
from pathlib import Path

from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import PatternFill
from openpyxl.utils import get_column_letter

sys.path.insert(0, str(Path(__file__).parent))  # pytest, looking for doctests, imports this file by its path
from card_layout import (  # noqa: E402
    CARD_WIDTH,
    GREY,
    LABEL,
    THICK,
    THIN,
    WRITTEN,
    Page,
    finish,
    new_page,
    runs,
    with_other,
)  # fmt: skip

PASSES, SHOWN_PER_WRENCH, WRENCHES, ALTERNATES, STAGES = 12, 8, 4, 3, 8
SHOWN_INSTEAD, ROUNDS, WAITS = 6, 4, 3
BAND, BOX = 16, "☐"
SMALL = 9.5
"""The smallest face of a card: 7 points on paper, since pages are printed at three quarters of their size or more."""
SIGNED = ((5, 10, "name"), (11, 15, "qualification"), (16, 20, "signature"), (21, 24, "date, time"))


def identity(page: Page, title: str = "{{operation}}") -> None:
    page.next(31)
    page.put(1, 15, "{{joint}}", 22, bold=True, upright="top")
    page.put(16, 21, title, 20, bold=True, align="right", upright="top", shrink=True)
    page.put(22, 24, "{{card mark}}", 8, rows=4)
    page.next(17)
    page.put(1, 15, "{{place}}", 10)
    page.put(16, 21, "card {{card}}", 12, bold=True, align="right", shrink=True)
    page.next(13)
    page.put(1, 13, "list {{list}}, sheet {{sheet}}, row {{row}}", SMALL, color=LABEL)
    page.put(14, 21, "{{which}}", SMALL, align="right", shrink=True)
    page.next(13)
    page.put(1, 15, "{{work}}", SMALL, bold=True)
    page.put(16, 21, "job date {{date}}   page 1 of 2", SMALL, align="right", shrink=True)
    page.next(13)
    page.put(1, 24, "{{void}}", SMALL)
    page.rule(THICK)
    page.next(5)


def attention(page: Page) -> None:
    page.next(17)
    page.put(1, 3, "This joint:{{hide row if no attention}}", 9.5, bold=True, upright="top")
    page.put(4, 24, "{{attention}}", 9.5, bold=True, upright="top")


def notice(page: Page) -> None:
    page.next(29)
    page.put(1, 24, "{{notice}}{{hide row if no notice}}", 10.5, bold=True, box=THICK, indent=1)
    page.next(5)
    page.put(1, 1, "{{hide row if no notice}}", 5)


def data(page: Page) -> None:
    page.next(13)
    page.section(1, 12, "Studs and target")
    page.section(13, 24, "Wrench")
    left = [
        ("studs", "{{studs}} × {{thread}}, {{grade}}", True),
        ("nut", "{{across flats}} {{across flats unit}} across flats, {{nut series}}", True),
        ("gasket", "{{gasket}}", False),
        ("lubricant", "{{lubricant}}", True),
        ("friction", "{{friction}}", False),
        ("target", "{{target}}", False),
        ("preload", with_other("{{preload}} {{preload unit}}", "{{preload other}}", False), False),
    ]
    right = [
        ("wrench", "{{wrench}}", True),
        ("link", "{{link}}", True),
        ("gauge, pump", "{{gauge}}  {{pump}}", True),
        ("setpoint", "{{setpoint}} {{setpoint unit}}", True),
        ("torque at setting", "{{torque at setpoint}} {{torque at setpoint unit}} {{difference}}", False),
        ("hose, rated", "{{hose}}  {{ratings}}", False),
        ("backup wrench", "{{backup wrench}}", False),
    ]
    for (label, text, bold), (label_2, text_2, bold_2) in zip(left, right, strict=True):
        page.next(14)
        page.pair(1, 12, label, text, bold=bold)
        page.pair(13, 24, label_2, text_2, bold=bold_2)
    page.next(14)
    page.pair(1, 12, "final torque", with_other("{{torque}} {{torque unit}}", "{{torque other}}"), bold=True)
    page.pair(13, 24, "certificate", "{{certificate}}")
    washers_and_studs(page)
    page.next(14)
    page.put(1, 3, "limits{{hide row if no limits}}", SMALL, color=LABEL, wrap=False)
    page.put(4, 24, "{{limits}}", SMALL)
    page.next(14)
    page.put(1, 3, "preload range{{hide row if no range}}", SMALL, color=LABEL, wrap=False)
    page.put(4, 24, "{{range}}", SMALL)
    page.next(14)
    page.put(1, 3, "remarks{{hide row if no remarks}}", SMALL, color=LABEL, wrap=False)
    page.put(4, 24, "{{remarks}}", SMALL)
    page.next(5)


def washers_and_studs(page: Page) -> None:
    """What the list says of washers and of the studs' condition."""
    page.next(14)
    page.pair(1, 12, "washers", "{{washers}}")
    page.pair(13, 24, "studs are", "{{stud condition}}")


HEAD = {"bold": True, "fill": GREY, "align": "center", "box": THIN}
HOURS = (12, 3, 6, 9)


def passes(page: Page) -> None:
    """The pass table: one column to set, or one for each of two or four wrenches that are set differently."""
    pass_table(page, "pass", "set alike", PASSES, (7, 8, 11), [(12, 20, "{{set heading}}", "set")], at=(21, 24))
    for group, left, width in (("pair", (6, 7, 10), 7), ("four", (5, 6, 8), 4)):
        first = left[-1] + 1
        columns = [
            (first + width * k, first - 1 + width * (k + 1), f"{{{{set heading {k + 1}}}}}", f"set {k + 1}")
            for k in range({"pair": 2, "four": 4}[group])
        ]
        pass_table(page, group, f"settings of {group}", SHOWN_PER_WRENCH, left, columns)
    page.next(27)
    page.put(1, 24, "{{rule}}", SMALL, bold=True)
    page.next(28)
    page.put(1, 24, "{{stop lines}}", 9.5, bold=True, box=THICK, indent=1)
    page.next(5)
    wrenches_together(page)
    alternates(page)
    page.next(5)


def pass_table(page: Page, group: str, shown: str, rows: int, left: tuple[int, int, int],
               columns: list[tuple[int, int, str, str]], *, at: tuple[int, int] | None = None) -> None:  # fmt: skip
    """Passes with what to set. shown : value that hides the table where blank; left : last columns of its names."""
    page.next(30)
    hide = f"{{{{hide row if no {shown}}}}}"
    name, share, torque = left
    page.put(1, name, f"Pass{hide}", SMALL, **HEAD)
    page.put(share, share, "%", SMALL, **HEAD)
    page.put(share + 1, torque, "torque\n{{torque unit}}", SMALL, **HEAD)
    for first, last, heading, _ in columns:
        page.put(first, last, heading, 11 if len(columns) == 1 else SMALL, **(HEAD | {"box": THICK}))
    if at:
        page.put(*at, "{{at set heading}}", SMALL, **HEAD)
    first_row = page.row + 1
    for _ in range(rows):
        page.next(39)
        words = runs(
            (f"{{{{{group}.name}}}}{{{{{group}.part}}}}{{{{hide row if no {group}}}}}", 11, True),
            (f"\n{{{{{group}.how}}}}", SMALL, False),
        )
        page.put(1, name, words, SMALL, box=THIN, indent=1)
        page.put(share, share, f"{{{{{group}.percent}}}}" + hide, 10, align="center", shrink=True, box=THIN)
        there = with_other(f"{{{{{group}.torque}}}}", f"{{{{{group}.torque other}}}}", False, 12, "\n")
        page.put(share + 1, torque, there, 12, align="center", shrink=True, box=THIN)
        for first, last, _, token in columns:
            size = {1: 40, 2: 40, 4: 34}[len(columns)]
            page.put(first, last, f"{{{{{group}.{token}}}}}", size, bold=True, align="center", shrink=True,
                     box=THICK)  # fmt: skip
        if at:
            there = with_other(f"{{{{{group}.torque_at}}}}", f"{{{{{group}.torque at other}}}}", False, 12, "\n")
            page.put(*at, there, 12, align="center", shrink=True, box=THIN)
    words_on_grey(page, first_row, [(first, last) for first, last, *_ in columns])


def words_on_grey(page: Page, first_row: int, columns: list[tuple[int, int]]) -> None:
    """Words in place of a figure stand on grey, so that nobody writes a figure in."""
    for first, last in columns:
        left, right = get_column_letter(first), get_column_letter(last)
        words_only = FormulaRule([f"ISTEXT(${left}{first_row})"],
                                 fill=PatternFill("solid", bgColor="E4E4E4", fgColor="E4E4E4"))  # fmt: skip
        page.sheet.conditional_formatting.add(f"{left}{first_row}:{right}{page.row}", words_only)


def wrenches_together(page: Page) -> None:
    """A row for each of several wrenches: link, gauge, pump and what its setpoint gives."""
    page.next(14)
    page.put(1, 24, "{{wrenches heading}}{{hide row if no wrenches heading}}", SMALL, bold=True, fill=GREY, box=THIN)
    for _ in range(WRENCHES):
        page.next(15)
        page.put(1, 3, "{{wrench.wrench}}", 10, bold=True, align="center", box=THIN)
        page.put(4, 24, "{{wrench.words}}{{hide row if no wrench}}", SMALL, box=THIN, indent=1)


def alternates(page: Page) -> None:
    """Rows of wrenches for the place of the planned one: what each gives, and its pressure in every pass."""
    group, heading, first = "alternate", "alternates heading", 13
    page.next(14)
    page.put(1, 24, f"{{{{{heading}}}}}{{{{hide row if no {heading}}}}}", SMALL, bold=True, fill=GREY, box=THIN)
    page.next(26)
    page.put(1, 2, f"wrench{{{{hide row if no {heading}}}}}", SMALL, **HEAD)
    page.put(3, 5, "full torque,\ndifference", SMALL, **HEAD)
    page.put(6, 12, "link, gauge, pump, hose; rating; certificate", SMALL, fill=GREY, box=THIN, indent=1)
    for number in range(1, SHOWN_INSTEAD + 1):
        column = first + 2 * (number - 1)
        page.put(column, column + 1, f"{{{{alternate pass {number}}}}}", SMALL, **HEAD)
    heads = page.row
    for _ in range(ALTERNATES):
        page.next(36)
        name = runs((f"{{{{{group}.wrench}}}}", 11, True), (f"\n{{{{{group}.setpoint_unit}}}}", SMALL, False))
        page.put(1, 2, name, 11, align="center", box=THIN)
        page.put(3, 5, f"{{{{{group}.gives}}}}", 10, bold=True, align="center", box=THIN)
        page.put(6, 12, f"{{{{{group}.words}}}}{{{{hide row if no {group}}}}}", 9, box=THIN)
        for number in range(1, SHOWN_INSTEAD + 1):
            column = first + 2 * (number - 1)
            page.put(column, column + 1, f"{{{{{group}.set {number}}}}}", 14, align="center", shrink=True,
                     box=THIN)  # fmt: skip
    for number in range(1, SHOWN_INSTEAD + 1):  # a column without a pass is no place to write in
        column = first + 2 * (number - 1)
        left, right = get_column_letter(column), get_column_letter(column + 1)
        spare = FormulaRule([f"LEN(${left}${heads})=0"], fill=PatternFill("solid", bgColor="BFBFBF", fgColor="BFBFBF"))
        page.sheet.conditional_formatting.add(f"{left}{heads}:{right}{page.row}", spare)


def order(page: Page) -> None:
    """The picture of the order, beside the order in words and the usual cautions."""
    page.next(13)
    top = page.row
    page.put(11, 24, "{{order heading}}", SMALL, bold=True, fill=GREY)
    for token, face in (("order large", 12.5), ("order fine", 10.5)):
        page.next(41)
        page.put(11, 24, f"{{{{{token}}}}}{{{{hide row if no {token}}}}}", face, bold=True, upright="top")
    for label, text, height in (
        ("circular", "{{circular}}{{hide row if no circular}}", 14),
        ("wrench side", "{{turned side}}", 15),
        ("stud 1", "{{stud 1}}", 15),
    ):
        page.next(height)
        page.pair(11, 24, label, text, bold=label == "stud 1")
    page.next(13)
    page.section(11, 24, "Before and while working")
    page.next(80)
    page.put(11, 24, "{{cautions}}", SMALL, upright="top")
    page.put(1, 10, "{{order_picture}}{{no_picture}}", SMALL, color=LABEL, align="center", rows=page.row - top + 1,
             start=top)  # fmt: skip
    page.next(13)
    page.put(1, 10, "{{picture_legend}}", SMALL, color=LABEL, align="center", shrink=True)
    this_page(page, 1, 11)


SIGNERS = ("Tightened by", "Witness")


def foot(page: Page, number: int) -> None:
    """What the card does not replace, and which page of which card this is."""
    page.next(13)
    if number == 1:
        page.put(1, 24, "{{supports}}", SMALL, color=LABEL)
    else:
        this_page(page, number, 1)


def this_page(page: Page, number: int, first: int) -> None:
    words = f"{{{{joint}}}}, {{{{operation}}}}, card {{{{card}}}}, page {number} of 2"
    page.put(first, 24, words, SMALL, color=LABEL, align="right", shrink=True)


def turned(page: Page, title: str = "{{operation}}") -> None:
    """The end of page 1, and the head of page 2."""
    foot(page, 1)
    page.turn()
    page.next(24)
    page.put(1, 13, "{{joint}}", 16, bold=True)
    page.put(14, 19, title, 14, bold=True, align="right", shrink=True)
    page.put(20, 24, "card {{card}}", 12, bold=True, align="right", shrink=True)
    page.next(13)
    page.put(1, 11, "{{place}}", SMALL)
    page.put(12, 24, "{{which}}   {{program}}   page 2 of 2", SMALL, align="right", shrink=True)
    page.rule(THICK)
    page.next(4)
    page.next(22)
    page.put(1, 24, "{{hold}}{{hide row if no hold}}", 10, bold=True, box=THICK, indent=1)


def done(page: Page) -> None:
    """A row for each pass: the gap round the flange, what was reached, who did it and when, witness or hold."""
    page.next(14)
    hide = "{{hide row if no gap unit}}"
    page.put(1, 3, f"Pass{hide}", SMALL, rows=2, **HEAD)
    page.put(4, 11, "flange gap, {{gap unit}}, at clock position", SMALL, **HEAD)
    page.put(12, 14, "{{reached heading}}", SMALL, rows=2, **HEAD)
    page.put(15, 17, "done by", SMALL, rows=2, **HEAD)
    page.put(18, 20, "day, time", SMALL, rows=2, **HEAD)
    page.put(21, 24, "witness or hold:\nname, signature", SMALL, rows=2, **HEAD)
    page.next(13)
    for number, hour in enumerate(HOURS):
        page.put(4 + 2 * number, 5 + 2 * number, hour if number else f"{hour}{hide}", SMALL, **HEAD)
    boxes = (*((4 + 2 * k, 5 + 2 * k) for k in range(4)), (12, 14), (15, 17), (18, 20), (21, 24))
    first_row = page.row + 1
    for number in range(PASSES + 1):
        page.next(WRITTEN)
        name = "{{done.name}}{{hide row if no done}}" if number else f"before the first pass{hide}"
        page.put(1, 3, name, SMALL, bold=bool(number), box=THIN, indent=1)
        for first, last in boxes:
            words = {12: "{{done.reached}}", 21: "{{done.witness}}"}.get(first) if number else {12: "–"}.get(first)
            upright, align = ("top", "left") if first == 21 else ("center", "center")
            page.put(first, last, words, 9, bold=True, box=THIN, upright=upright, align=align)
    words_on_grey(page, first_row, [(12, 14)])
    for _ in range(WAITS):
        page.next(WRITTEN)
        page.put(
            1, 8, "{{wait.name}} not before (day, time):{{hide row if no wait}}", SMALL, bold=True, box=THIN, indent=1
        )
        page.put(9, 17, None, box=THICK)
        page.put(18, 24, "{{wait.after}}", SMALL, box=THIN, indent=1)


def ticks(page: Page, *, circular: bool = True) -> None:
    """A box for each stud and pass: passes that go round have columns of their own, in the order in which they go."""
    for group, token, start, rows in (
        ("ticks", "move", 1, PASSES), ("more ticks", "move", 1 + BAND, PASSES),
        ("round ticks", "round move", 1, ROUNDS), ("more round ticks", "round move", 1 + BAND, ROUNDS),
    ):  # fmt: skip
        if circular or token == "move":
            tick_band(page, group, token, start, rows)
    page.next(16)
    page.put(1, 24, "{{no ticks}}{{hide row if no no ticks}}", SMALL, bold=True)
    page.next(4)


def tick_band(page: Page, group: str, token: str, start: int, rows: int) -> None:
    """Boxes for some studs, a row for each pass."""
    heading = f"{group} heading"
    hide = f"{{{{hide row if no {heading}}}}}"
    if start == 1:
        page.next(14)
        page.put(1, 24, f"{{{{{heading}}}}}{hide}", SMALL, bold=True, fill=GREY, box=THIN)
    page.next(14)
    top = page.row
    page.put(1, 4, f"stud{hide}" if start == 1 else f"{{{{{heading}}}}}{hide}", SMALL, **HEAD)
    for number in range(BAND):
        page.put(5 + number, 5 + number, f"{{{{{token} {start + number}}}}}", 9, shrink=False, **HEAD)
    page.put(21, 24, "all done, initials", SMALL, **HEAD)
    for _ in range(rows):
        page.next(WRITTEN)
        page.put(1, 4, f"{{{{{group}.name}}}}{{{{hide row if no {group}}}}}", SMALL, bold=True, box=THIN, indent=1)
        for number in range(BAND):
            box = f"{{{{{group}.box {start + number}}}}}"
            page.put(5 + number, 5 + number, box, SMALL, align="center", box=THIN)
        page.put(21, 24, None, box=THIN)
    words_on_grey(page, top + 1, [(5 + number, 5 + number) for number in range(BAND)])
    spare = FormulaRule([f"LEN(E${top})=0"], fill=PatternFill("solid", bgColor="BFBFBF", fgColor="BFBFBF"))
    page.sheet.conditional_formatting.add(f"E{top + 1}:T{page.row}", spare)


def used(page: Page) -> None:
    """What was actually used, as planned or otherwise, and what was found otherwise."""
    page.next(14)
    page.put(1, 24, "Actually used: tick what is as planned, else write name, number and certificate", SMALL, bold=True,
             fill=GREY, box=THIN)  # fmt: skip
    page.next(12)
    columns = ((1, 6, "wrench"), (7, 12, "link or socket"), (13, 15, "pump"), (16, 18, "gauge"))
    for first, last, name in columns:
        page.put(first, last, name, SMALL, fill=GREY, box=THIN, wrap=False)
    page.put(19, 24, "other: name, number, certificate", SMALL, fill=GREY, box=THIN, wrap=False)
    for _ in range(WRENCHES + 1):
        page.next(WRITTEN)
        hide = "{{hide row if no used}}"
        for first, last, name in columns:
            token = f"{BOX} {{{{used.{name.split()[0]}}}}}" + (hide if first == 1 else "")
            page.put(first, last, token, SMALL, box=THIN, shrink=True)
        page.put(19, 24, None, box=THIN)
    page.next(WRITTEN)
    for first, last, label, words in (
        (1, 3, "Lubricant", f"{BOX} {{{{lubricant}}}}"), (8, 9, "batch", None), (13, 14, "permit", None),
        (18, 20, "work order", "{{work order}}"),
    ):  # fmt: skip
        page.put(first, last, label, SMALL, bold=True, box=THIN, wrap=False)
        end = {1: 7, 8: 12, 13: 17, 18: 24}[first]
        page.put(last + 1, end, words, SMALL, box=THIN, shrink=True)
    boxes = ((5, 9, "studs: number, length"), (10, 14, "size and thread"), (15, 19, "grade, marking"),
             (20, 24, "other; call first"))  # fmt: skip
    named(page, "", boxes)
    page.next(WRITTEN)
    page.put(1, 4, "Differences found", SMALL, bold=True, box=THIN, wrap=False, indent=1)
    for first, last, _ in boxes:
        page.put(first, last, None, box=THIN)


def named(page: Page, label: str, boxes: tuple[tuple[int, int, str], ...]) -> None:
    """A row of the names of the boxes below it, so that the whole box is there to write in."""
    page.next(13)
    page.put(1, 4, label or None, SMALL, fill=GREY, box=THIN, wrap=False, indent=1)
    for first, last, word in boxes:
        page.put(first, last, word, SMALL, fill=GREY, box=THIN, wrap=False)


def signatures(page: Page, labels: tuple[str, ...] = SIGNERS, last: str = "Remarks") -> None:
    named(page, "", SIGNED)
    for label in labels:
        signature(page, label)
    page.next(WRITTEN)
    page.put(1, 4, last, SMALL, bold=True, box=THIN, wrap=False, indent=1)
    page.put(5, 24, None, box=THIN)
    foot(page, 2)


def signature(page: Page, label: str) -> None:
    page.next(WRITTEN)
    page.put(1, 4, label, SMALL, bold=True, box=THIN, wrap=False, indent=1)
    for first, last, _ in SIGNED:
        page.put(first, last, None, box=THIN)


def line(page: Page, label: str, words: str = "", *, said: str | None = None, height: float = WRITTEN) -> None:
    """A line to write on. words : what is to be written; said : what stands in the box already."""
    page.next(height)
    head = runs((label, SMALL, True), (f"\n{words}", SMALL, False)) if words else label
    page.put(1, 9, head, SMALL, bold=not words, box=THIN, indent=1)
    page.put(10, 24, said, SMALL, bold=True, box=THIN, indent=1)


def authority(page: Page) -> None:
    """What the responsible engineer says before anybody retightens."""
    page.next(46)
    page.put(
        1, 24,
        "RETIGHTENING: only under the authority of the responsible engineer. Without this block signed no nut is "
        "turned. This card is for a joint that is isolated and depressurised; for any other state the engineer issues "
        "a procedure of its own.",
        10.5, bold=True, box=THICK, indent=1,
    )  # fmt: skip
    line(page, "State of the joint that is allowed", "pressure, metal temperature, what it went through")
    line(page, "Torque and passes",
         said="As below, not otherwise: full torque, round after round until no nut turns.")  # fmt: skip
    line(page, "Most that a nut may turn",
         said="60° (one flat), or by the engineer: ______ °. A nut that turns further: stop and call.")  # fmt: skip
    line(page, "Gasket", "fibre after heat: only by its maker's written consent")
    line(page, "Authority: document and limits")
    named(page, "", SIGNED)
    signature(page, "Engineer")
    page.next(5)


def break_data(page: Page) -> None:
    page.next(13)
    page.section(1, 12, "Studs and torque to expect")
    page.section(13, 24, "Wrench")
    left = [
        ("studs", "{{studs}} × {{thread}}, {{grade}}", True),
        ("nut", "{{across flats}} {{across flats unit}} across flats, {{nut series}}", True),
        ("made up with", "{{target}}", False),
        ("to expect", with_other("{{expected}} {{expected unit}}", "{{expected other}}"), True),
        ("stud limit", "{{stud limit}} {{stud limit unit}}", False),
        ("", "{{stud note}}", False),
    ]
    right = [
        ("wrench", "{{wrench}}", True),
        ("link", "{{link}}", True),
        ("gauge, pump", "{{gauge}}  {{pump}}", True),
        ("has", "{{available}} {{available unit}} within every rating", False),
        ("hose, rated", "{{hose}}  {{ratings}}", False),
        ("certificate", "{{certificate}}", False),
    ]
    for (label, text, bold), (label_2, text_2, bold_2) in zip(left, right, strict=True):
        page.next(15.5)
        page.pair(1, 12, label, text, bold=bold)
        page.pair(13, 24, label_2, text_2, bold=bold_2)
    page.next(15.5)
    page.pair(1, 12, "gasket", "{{gasket}}")
    page.pair(13, 24, "backup wrench", "{{backup wrench}}")
    page.next(14)
    page.put(1, 3, "remarks{{hide row if no remarks}}", SMALL, color=LABEL, wrap=False)
    page.put(4, 24, "{{remarks}}", SMALL)
    page.next(5)


def before(page: Page) -> None:
    page.next(31)
    page.put(1, 24, "{{follows}}", 11, bold=True, box=THICK, indent=1)
    page.next(5)
    page.next(15)
    page.put(1, 24, "Before the first nut", SMALL, bold=True, fill=GREY, box=THIN, indent=1)
    line(page, "Zero energy proven", "how, by whom, time")
    line(page, "Drained, vented, line hung or supported", "by whom, time")
    page.next(5)


def stages(page: Page) -> None:
    """Pressures in the order of time, then the one figure to obey where a nut has not turned, and once it has."""
    page.next(15)
    page.put(1, 24, "{{stages note}}.", SMALL, bold=True, fill=GREY, box=THIN)
    page.next(30)
    page.put(1, 2, "stage", SMALL, **HEAD)
    page.put(3, 9, "PRESSURE TO SET\non {{wrench}}, {{highest pressure unit}}", 10.5, **(HEAD | {"box": THICK}))
    page.put(10, 13, "torque at this pressure\n{{expected unit}}", SMALL, **HEAD)
    page.put(14, 17, "nuts that turned", SMALL, **HEAD)
    page.put(18, 21, "done by, time", SMALL, **HEAD)
    page.put(22, 24, "witness or hold", SMALL, **HEAD)
    for _ in range(STAGES):
        page.next(41)
        page.put(1, 2, "{{stage.number}}{{hide row if no stage}}", 14, bold=True, align="center", box=THIN)
        page.put(3, 9, "{{stage.pressure}}", 40, bold=True, align="center", shrink=True, box=THICK)
        torque = with_other("{{stage.torque}}", "{{stage.torque other}}", False, 12, "\n")
        page.put(10, 13, torque, 12, align="center", box=THIN)
        for first, last in ((14, 17), (18, 21), (22, 24)):
            page.put(first, last, None, box=THIN)
    for words, token, torque, hide in (
        ("{{not turned}}", "highest pressure", "never above", ""),
        ("{{turned}}", "turned pressure", "turned above", "{{hide row if no turned pressure}}"),
    ):
        page.next(36)
        page.put(1, 9, words + hide, 11, bold=True, fill=GREY, box=THICK, indent=1)
        figure = runs((f"{{{{{token}}}}} {{{{{token} unit}}}}", 24, True),
                      (f"   at most {{{{{torque}}}}} {{{{{torque} unit}}}}", 10, False))  # fmt: skip
        page.put(10, 24, figure, 24, bold=True, align="center", box=THICK)
    page.next(28)
    page.put(1, 24, "{{stop words}}", SMALL, bold=True)
    page.next(28)
    page.put(1, 24, "{{stop lines}}", SMALL, bold=True, box=THICK, indent=1)
    page.next(28)
    page.put(
        1, 24,
        "Loosen in the order below, at least two rounds of part turns, first on the side away from you; pressure may "
        "still be trapped. Nuts stay on until the gap opens; no stud is freed while the others are tight.",
        SMALL, bold=True,
    )  # fmt: skip
    page.next(5)


def opened(page: Page) -> None:
    """What is recorded of a joint that was broken out."""
    line(page, "Gap opened, joint free", "where first, time, anything that came out")
    line(page, "Studs kept or scrapped", "how many, which, why")


def joint_card(paper: str) -> None:
    """The card of a make-up."""
    book, page = new_page("Joint card", paper, CARD_WIDTH[paper])
    for part in (identity, notice, attention, data, passes, order, turned, done, ticks, used, signatures):
        part(page)
    finish(book, page)


def retightening_card(paper: str) -> None:
    """The card of a retightening: the authority first, then as the joint card."""
    book, page = new_page("Retightening card", paper, CARD_WIDTH[paper])
    identity(page, "RETIGHTENING")
    for part in (authority, attention, data, passes, order):
        part(page)
    turned(page, "RETIGHTENING")
    for part in (done, ticks, used):
        part(page)
    line(page, "Leak check after", "who, when, what was seen")
    signatures(page, ("Tightened by", "Witness", "Engineer, closed"))
    finish(book, page)


def break_out_card(paper: str) -> None:
    """The card of a break-out."""
    book, page = new_page("Break-out card", paper, CARD_WIDTH[paper])
    identity(page, "BREAK-OUT")
    for part in (attention, break_data, before, stages, order):
        part(page)
    turned(page, "BREAK-OUT")
    for part in (opened, partial(ticks, circular=False), used):
        part(page)
    line(page, "Nuts, lubricant used")
    signatures(page, ("Broken out by", "Witness", "Hold points"))
    finish(book, page)


if __name__ == "__main__":
    for each in CARD_WIDTH:
        joint_card(each)
        retightening_card(each)
        break_out_card(each)
