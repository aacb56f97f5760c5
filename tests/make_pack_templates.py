"""Makes the other templates of the pack: wrench sheet, kit list, summary, cautions, withdrawn cards, working.

Run once, `python tests/make_pack_templates.py`; from then on the templates are workbooks that people adapt by hand.
"""

import sys
from pathlib import Path

from openpyxl.chart import Reference, ScatterChart, Series
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.drawing.line import LineProperties
from openpyxl.formatting.rule import Rule
from openpyxl.styles import Border, Font, PatternFill, Side
from openpyxl.styles.differential import DifferentialStyle

sys.path.insert(0, str(Path(__file__).parent))  # pytest, looking for doctests, imports this file by its path
from card_layout import GREY, LABEL, THICK, THIN, Page, finish, new_page, runs  # noqa: E402

POINTS, PAIRS = 12, 5
HEAD = {"bold": True, "fill": GREY, "align": "center", "box": THIN}


def title(page: Page, left: str, right: str, under: str) -> None:
    page.next(31)
    page.put(1, 15, left, 22, bold=True, upright="top")
    page.put(16, 24, right, 14, bold=True, align="right", upright="top", shrink=True)
    page.next(14)
    page.put(1, 24, under, 8.5, color=LABEL)
    page.rule(THICK)
    page.next(6)


def row(page: Page, *cells: tuple, height: float = 15, size: float = 9, **more: object) -> None:
    """One row of a table: (first, last, text, alignment)."""
    page.next(height)
    for first, last, text, align in cells:
        page.put(first, last, text, size, align=align, box=THIN, indent=0 if align == "center" else 1, **more)


def head(page: Page, *cells: tuple, height: float = 26) -> None:
    page.next(height)
    for first, last, text in cells:
        page.put(first, last, text, 8, **HEAD)


def note(page: Page, text: str, height: float = 26) -> None:
    page.next(height)
    page.put(1, 24, text, 8.5, color=LABEL, upright="top")


# --- wrench sheet ----------------------------------------------------------------------------------------------------


def curve(page: Page, first: int, last: int) -> ScatterChart:
    """The certified points with straight lines between, in black; its titles are filled like cells."""
    chart = ScatterChart()
    chart.scatterStyle = "lineMarker"  # which the standard asks for
    chart.style = 1
    pressure = Reference(page.sheet, min_col=1, min_row=first, max_row=last)
    torque = Reference(page.sheet, min_col=9, min_row=first, max_row=last)
    series = Series(torque, pressure, title="torque at the nut")
    series.marker.symbol, series.marker.size = "circle", 6
    series.marker.graphicalProperties = GraphicalProperties(solidFill="000000")
    series.marker.graphicalProperties.line = LineProperties(solidFill="000000")
    series.graphicalProperties = GraphicalProperties(ln=LineProperties(solidFill="000000", w=19050))
    series.smooth = False
    chart.series.append(series)
    chart.title = None
    chart.legend = None
    chart.x_axis.title, chart.y_axis.title = "pressure, {{table pressure unit}}", "torque at the nut, {{torque unit}}"
    for axis in (chart.x_axis, chart.y_axis):
        axis.delete = False
        axis.number_format = "General"
        axis.majorGridlines.spPr = GraphicalProperties(ln=LineProperties(solidFill="A0A0A0", w=6350))
    chart.layout = Layout(ManualLayout(x=0.16, y=0.04, w=0.8, h=0.76, layoutTarget="inner"))
    chart.width, chart.height = 9.9, 7.4
    return chart


def wrench_sheet() -> None:
    """Identity, ratings, links, certificate with its curve, settings."""
    book, page = new_page("Wrench sheet")
    title(page, "{{wrench}}", "torque at the nut × {{factor}}",
          "{{kind}}, no. {{serial number}}   ·   {{links}}   ·   {{uses}}")  # fmt: skip
    pairs = [
        ("certificate", "{{certificate}}", "wrench rated", "{{rated pressure}}"),
        ("calibrated", "{{calibrated}}", "hose, rated", "{{hose}}, {{hose rated pressure}}"),
        ("valid until", "{{valid until}}", "pump, rated", "{{pump}}, {{pump rated pressure}}"),
        (
            "certified range",
            "{{certified range}}",
            "gauge",
            "{{gauge}}, 0 to {{gauge range}}, marks of {{gauge graduation}}",
        ),
        ("", "", "its certificate", "{{gauge certificate}}, valid until {{gauge valid until}}, class {{gauge class}}"),
    ]
    for label, text, label_2, text_2 in pairs:
        page.next(15.5)
        page.pair(1, 12, label, text or None, bold=label == "valid until")
        page.pair(13, 24, label_2, text_2)
    page.next(24)
    never = "NEVER ABOVE {{lowest rating}}: {{lowest from}}"
    page.put(1, 24, never, 11, bold=True,
             box=THICK, indent=1)  # fmt: skip
    page.next(6)
    head(page, (1, 12, "link or socket"), (13, 17, "across flats"), (18, 20, "torque factor"), (21, 24, "torque limit"),
         height=15)  # fmt: skip
    for _ in range(2):
        row(page, (1, 12, "{{link.name}}{{hide row if no link}}", "left"),
            (13, 17, "{{link.across flats}} {{link.across flats unit}}", "center"),
            (18, 20, "{{link.factor}}", "center"),
            (21, 24, "{{link.torque limit}} {{link.torque limit unit}}", "center"), height=14)  # fmt: skip
    page.next(6)
    head(page, (1, 3, "pressure\n{{table pressure unit}}"), (4, 5, "{{finding heading}}"),
         (6, 8, "certified torque\n{{torque unit}}"), (9, 12, "torque at the nut\n{{torque unit}}"))  # fmt: skip
    begin = page.row
    for _ in range(POINTS):
        row(page, (1, 3, "{{point.pressure}}", "center"), (4, 5, "{{point.mark}}", "center"),
            (6, 8, "{{point.torque}}", "center"),
            (9, 12, "{{point.at nut}}", "center"), height=15.5)  # fmt: skip
    page.sheet.add_chart(curve(page, begin + 1, page.row), f"M{begin}")
    for _ in range(2):
        row(page, (1, 24, runs(("{{finding.text}}", 9, True), ("{{hide row if no finding}}", 9, False)), "left"),
            height=27)  # fmt: skip
    page.next(6)
    page.next(15)
    over = "{{wrench}} × {{factor}}: torque at the nut, {{card torque unit}}, at every mark of gauge {{gauge}};"
    page.put(1, 24, f"{over} between certified points in proportion", 9, bold=True, fill=GREY, box=THIN, indent=1)
    columns = [(1, 2, 3, 5), (6, 7, 8, 10), (11, 12, 13, 15), (16, 17, 18, 20), (21, 22, 23, 24)]
    page.next(26)
    heading = f"{page.row - 1}:{page.row}"
    for first, second, third, last in columns:
        page.put(first, second, "set\n{{set unit}}", 8, **HEAD)
        page.put(third, last, "torque\n{{card torque unit}}", 8, **HEAD)
    for _ in range(2):
        page.next(14)
        for number, (first, second, third, last) in enumerate(columns, 1):
            hide = "{{hide row if no setting}}" if number == 1 else ""
            page.put(first, second, f"{{{{setting.pressure {number}}}}}{hide}", 10, bold=True, align="center",
                     shrink=True, box=THIN)  # fmt: skip
            page.put(third, last, f"{{{{setting.torque {number}}}}}", 10, align="center", shrink=True, box=THIN)
    note(page, "{{ends at}} Not above the torque limit of the link that is fitted. Wrench off the nut, bring the "
               "pressure up to the mark. Below the first setting and above the last the wrench is not certified. The "
               "joint's card comes before this sheet.   {{program}}, list {{list}}", 38)  # fmt: skip
    finish(
        book,
        page,
        pages_high=0,
        header_rows=heading,
        footer="Wrench sheet {{wrench}} × {{factor}}, certificate {{certificate}}",
    )


# --- lists -----------------------------------------------------------------------------------------------------------


def kit_list() -> None:
    """What the planned joints of an area need."""
    book, page = new_page("Kit list")
    title(
        page,
        "Kit list: {{area}}",
        "{{joints}} joints, {{cards}} cards",
        "list {{list}}   ·   {{date}}   ·   {{left out}} stopped or other rows not counted   ·   {{program}}",
    )
    head(page, (1, 4, "kind"), (5, 12, "item"), (13, 14, "count"), (15, 20, "for"), (21, 22, "issued"),
         (23, 24, "back"), height=17)  # fmt: skip
    for _ in range(2):
        row(page, (1, 4, runs(("{{item.kind}}", 9, True), ("{{hide row if no item}}", 9, False)), "left"),
            (5, 12, "{{item.item}}", "left"), (13, 14, "{{item.count}}", "center"), (15, 20, "{{item.for}}", "left"),
            (21, 22, None, "center"), (23, 24, None, "center"), height=17)  # fmt: skip
    page.next(6)
    note(page, "{{how counted}} A blank count: by the crew.", 40)
    for label in ("Issued by", "Taken by", "Returned, checked"):
        page.next(21)
        page.put(1, 4, label, 8.5, bold=True, box=THIN, wrap=False, indent=1)
        for first, last, word in ((5, 12, "name"), (13, 19, "signature"), (20, 24, "date, time")):
            page.put(first, last, word, 6.5, color=LABEL, upright="top", box=THIN, wrap=False)
    finish(book, page, pages_high=0, header_rows="1:4", footer="Kit list {{area}}")


COUNTED = ("rows", "planned", "hydraulic", "hand", "break-out", "other", "stopped", "studs")


def summary() -> None:
    """Counts by area and wrench, and every row that is not planned."""
    book, page = new_page("Summary")
    title(page, "Summary of the plan", "{{date}}", "list {{list}}, sheet {{sheet}}   ·   {{shown}}   ·   {{program}}")
    page.next(24)
    page.put(1, 24, "{{reconciles}}", 12, bold=True, box=THICK, indent=1)
    page.next(6)
    places = [(8 + 2 * n, 9 + 2 * n) for n in range(8)]
    names = ("rows", "planned", "hydraulic", "by hand", "break-out", "other methods", "stopped", "studs planned")
    head(page, (1, 7, "area"), *((*place, name) for place, name in zip(places, names, strict=True)))
    for _ in range(2):
        row(
            page,
            (1, 7, "{{area.name}}{{hide row if no area}}", "left"),
            *((*place, f"{{{{area.{name}}}}}", "center") for place, name in zip(places, COUNTED, strict=True)),
        )
    page.next(17)
    page.put(1, 7, "all", 9.5, bold=True, fill=GREY, box=THIN, indent=1)
    for (first, last), name in zip(places, COUNTED, strict=True):
        page.put(first, last, f"{{{{{name}}}}}", 9.5, bold=True, align="center", fill=GREY, box=THIN)
    page.next(8)
    head(page, (1, 4, "wrench"), (5, 8, "kind"), (9, 10, "cards"), (11, 12, "studs"), (13, 14, "alternate on"),
         (15, 17, "highest setpoint"), (18, 21, "certificate"), (22, 24, "valid until"))  # fmt: skip
    for _ in range(2):
        row(page, (1, 4, "{{wrench.name}}{{hide row if no wrench}}", "left"), (5, 8, "{{wrench.kind}}", "left"),
            (9, 10, "{{wrench.cards}}", "center"), (11, 12, "{{wrench.studs}}", "center"),
            (13, 14, "{{wrench.alternate}}", "center"), (15, 17, "{{wrench.highest}}", "center"),
            (18, 21, "{{wrench.certificate}}", "left"), (22, 24, "{{wrench.valid until}}", "center"))  # fmt: skip
    page.next(8)
    head(page, (1, 4, "day"), (5, 8, "wrench"), (9, 24, "work of the day"))
    for _ in range(2):
        row(page, (1, 4, "{{day.date}}{{hide row if no day}}", "left"), (5, 8, "{{day.wrench}}", "left"),
            (9, 24, "{{day.text}}", "left"))  # fmt: skip
    page.next(8)
    page.next(15)
    page.put(1, 24, "Rows that are not planned here, each with its reason", 9, bold=True, fill=GREY, box=THIN, indent=1)
    head(page, (1, 2, "row"), (3, 7, "joint"), (8, 11, "operation"), (12, 14, "status"), (15, 24, "reason"), height=15)
    heading = f"{page.row - 1}:{page.row}"
    for _ in range(2):
        row(page, (1, 2, "{{left.row}}{{hide row if no left}}", "center"), (3, 7, "{{left.joint}}", "left"),
            (8, 11, "{{left.operation}}", "left"), (12, 14, "{{left.status}}", "left"),
            (15, 24, "{{left.reason}}", "left"), height=15, size=8.5)  # fmt: skip
    page.next(8)
    note(page, "Settings of the plan: {{settings}}. A card counts for every wrench it sets. {{supports}}", 36)
    finish(book, page, pages_high=0, header_rows=heading, footer="Summary, list {{list}}")


def cautions() -> None:
    """The usual cautions, then those the plan found."""
    book, page = new_page("Cautions")
    title(page, "Cautions", "{{date}}", "list {{list}}   ·   {{program}}")
    for heading, token in (("With the hydraulic wrench", "hydraulic"), ("By hand", "hand"),
                           ("Breaking out, on top of these", "break")):  # fmt: skip
        page.next(15)
        page.put(1, 24, heading, 9.5, bold=True, fill=GREY, box=THIN, indent=1)
        page.next(60)
        page.put(1, 24, f"{{{{cautions {token}}}}}", 10, upright="top", box=THIN, indent=1)
    page.next(8)
    head(page, (1, 13, "what the plan found"), (14, 15, "times"), (16, 24, "joints"), height=17)
    heading = f"{page.row}:{page.row}"
    for _ in range(2):
        row(page, (1, 13, "{{caution.text}}{{hide row if no caution}}", "left"),
            (14, 15, "{{caution.count}}", "center"), (16, 24, "{{caution.joints}}", "left"), height=16)  # fmt: skip
    note(page, "{{supports}}", 20)
    finish(book, page, pages_high=0, header_rows=heading, footer="Cautions, list {{list}}")


def withdrawn_cards() -> None:
    """Cards of an older plan that no longer hold."""
    book, page = new_page("Withdrawn cards")
    title(
        page,
        "Cards to withdraw",
        "{{count}} cards",
        "list {{list}}   ·   {{date}}, compared with {{old plan}}   ·   {{program}}",
    )
    head(page, (1, 6, "joint"), (7, 10, "operation"), (11, 13, "card to withdraw"), (14, 16, "new card"),
         (17, 21, "reason"), (22, 24, "withdrawn by"))  # fmt: skip
    for _ in range(2):
        row(page, (1, 6, "{{card.joint}}{{hide row if no card}}", "left"), (7, 10, "{{card.operation}}", "left"),
            (11, 13, "{{card.card}}", "center"), (14, 16, "{{card.new card}}", "center"),
            (17, 21, "{{card.reason}}", "left"), (22, 24, None, "left"), height=21)  # fmt: skip
    page.next(8)
    head(page, (1, 24, "Cards that hold although a certificate behind them is new: write it on them"))
    for _ in range(2):
        row(page, (1, 24, "{{supplement.text}}{{hide row if no supplement}}", "left"), height=21)
    note(page, "A record on a withdrawn card is held as superseded. Destroy or mark every copy on site.", 20)
    finish(book, page, pages_high=0, header_rows="1:4", footer="Cards to withdraw, list {{list}}")


def working() -> None:
    """The working behind a card. Conditional formats set off sections and results, since the rows grow.

    No heading is repeated on a second page: it would stand over another table.
    """
    book, page = new_page("Working")
    title(
        page,
        "{{joint}}",
        "card {{card}}",
        "WORKING   ·   {{operation}}   ·   {{studs}} × {{thread}}, {{grade}}   ·   {{tools}}   ·   {{date}}",
    )
    columns = ((1, 1), (2, 8), (9, 15), (16, 18), (19, 20), (21, 24))
    names = ("", "step", "formula in symbols, with its numbers", "value", "unit", "source")
    head(page, *((*place, name) for place, name in zip(columns, names, strict=True)), height=14)
    first = page.row + 1
    for _ in range(2):
        row(page, (2, 8, "{{step.what}}", "left"), (16, 18, "{{step.value}}", "right"),
            (9, 15, "{{step.formula}}{{step.on card}}\n{{step.numbers}}", "left"), (19, 20, "{{step.unit}}", "left"),
            (21, 24, "{{step.source}}", "left"), height=12, size=8)  # fmt: skip
        page.put(1, 1, "{{step.step}}{{hide row if no step}}", 8, align="center", shrink=True, box=THIN)
    black = Side("thin", "000000")
    section = DifferentialStyle(font=Font(b=True), fill=PatternFill(bgColor="E4E4E4"))
    result = DifferentialStyle(font=Font(b=True), border=Border(black, black, black, black))
    for formula, style in ((f'AND(ISTEXT($A{first}),$A{first}<>"result")', section), (f'$A{first}="result"', result)):
        rule = Rule(type="expression", dxf=style, formula=[formula])
        page.sheet.conditional_formatting.add(f"A{first}:X{page.row}", rule)
    page.next(5)
    page.next(13)
    page.put(1, 24, "{{passes heading}}{{hide row if no passes heading}}", 9, bold=True, fill=GREY, box=THIN, indent=1)
    places = ((1, 2), (3, 5), (6, 8), (9, 12), (13, 15), (16, 24))
    words = ("pass", "per cent{{hide row if no passes heading}}", "{{pass torque heading}}",
             "{{pass pressure heading}}", "{{pass torque there heading}}", "pattern")  # fmt: skip
    head(page, *((*place, name) for place, name in zip(places, words, strict=True)), height=22)
    for _ in range(2):
        row(page, (1, 2, "{{pass.number}}{{hide row if no pass}}", "center"), (3, 5, "{{pass.percent}}", "center"),
            (6, 8, "{{pass.torque}}", "right"), (9, 12, "{{pass.pressure}}", "center"),
            (13, 15, "{{pass.torque there}}", "right"), (16, 24, "{{pass.pattern}}", "left"),
            height=12, size=8)  # fmt: skip
    page.next(15)
    page.put(1, 24, "{{break heading}}{{hide row if no break heading}}", 9, bold=True, fill=GREY, box=THIN, indent=1)
    head(page, (1, 7, "what{{hide row if no break heading}}"), (8, 10, "value"), (11, 12, "unit"), (13, 20, "note"),
         (21, 24, "on the card"), height=15)  # fmt: skip
    for _ in range(2):
        row(page, (1, 7, "{{break.what}}{{hide row if no break}}", "left"), (8, 10, "{{break.value}}", "right"),
            (11, 12, "{{break.unit}}", "left"), (13, 20, "{{break.note}}", "left"),
            (21, 24, "{{break.on card}}", "left"), height=12, size=8)  # fmt: skip
    page.next(6)
    note(page, "Not worked out on this page: {{left out}}.", 14)
    note(page, "For who checks the card; set what the card says, nothing from this page. Cells hold every digit; in "
               "the formulas numbers have six. A step that stands above word for word is not repeated. {{supports}}   "
               "{{program}}, list {{list}}, row {{row}}", 38)  # fmt: skip
    finish(book, page, pages_high=0, footer="Working {{joint}} {{operation}}, card {{card}}")


if __name__ == "__main__":
    wrench_sheet()
    kit_list()
    summary()
    cautions()
    withdrawn_cards()
    working()
