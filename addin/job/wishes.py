"""The rows of the sheet Job: what may be stated once for a job, from the settings of a list and what packs can do."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from addin.cards.issue import PARTS
from addin.plan.list_settings import SETTINGS, ListSetting, ListSettings
from addin.reading.understood import shown_name

LIST, BOOK, RECORDS = "List", "Wrench book", "Records folder"
PAPER, BOTH, SINGLE, PDF, ONLY = "Paper", "Both units on cards", "One file per card", "PDF", "Parts of the pack"
INTERACTION, AT = "Interaction", "Results at column"
FORM = "Own form of "
NO_RELEASE = "No release asked, decided by"
WORDS = ("Project", "Site", "Contractor")
YES = ("yes", "no")
PAPERS = ("A4", "Letter")


@dataclass(frozen=True)
class Row:
    """A row of the sheet: its label, what it is for, and its choices where there are few. Some may stand repeatedly."""

    label: str
    help: str
    choices: tuple[str, ...] = ()
    lines: int = 1


def label_of(setting: ListSetting) -> str:
    """A setting as the sheet calls it.

    >>> [label_of(each) for each in SETTINGS if each.name in ("at_once", "form")]
    ['Wrenches together', 'Friction form']
    """
    named = {"at_once": "Wrenches together", "form": "Friction form", "yield_fraction": "Percent of yield allowed"}
    return named.get(setting.name) or shown_name(setting.name).replace("_", " ").capitalize()


def _told(setting: ListSetting) -> str:
    limits = ["from {:g} to {:g}".format(*setting.limits)] if setting.numeric else []
    usual = [f"else {setting.default:{'g' if setting.numeric else ''}}"] if setting.default is not None else []
    known = [f"e.g. {', '.join(setting.known[:6])}"] if setting.known and not setting.choices else []
    return " ".join([setting.help, *(f"({'; '.join(more)})" for more in [[*limits, *usual, *known]] if more)])


ROWS: tuple[Row, ...] = (
    Row(LIST, "A joint list: its file, from this folder; in C its sheet where several look like one.", (), 5),
    Row(BOOK, "A wrench book: its file, from this folder.", (), 2),
    Row(RECORDS, "Folder of the record sheets that came back; else the folder records. With several lists a file"
        " begins with the name of its list, or stands in a folder called like it."),
    *(Row(label_of(each), _told(each), each.choices) for each in SETTINGS),
    Row(INTERACTION, "Write what each stud keeps, for the engineer.", YES),
    Row(AT, "First of the empty columns for the results, e.g. AB; else to the right of all."),
    Row(ONLY, f"Only these parts, with commas between: {', '.join(PARTS)}; else all but the working."),
    Row(PAPER, "Paper of cards and hand-over, in place of the template's own.", PAPERS),
    Row(BOTH, "Torques and preload in US units and SI.", YES),
    Row(SINGLE, "A workbook for each card.", YES),
    Row(PDF, "PDFs too, through LibreOffice.", YES),
    *(Row(f"{FORM}{part}", "A form of your own: its file, from this folder.") for part in PARTS),
    Row(NO_RELEASE, "Only where the site wants no release before anyone prints: who decided that. Else cards are"
        " printed once an engineer's name and date stand in the sheet Issues."),
    *(Row(word, "Shown in messages.") for word in WORDS),
)  # fmt: skip
"""In the order in which they stand."""
BY_LABEL = {row.label.casefold(): row for row in ROWS}
_SETTINGS = {label_of(each): each for each in SETTINGS}
FACTS = ("operation", "method", "date", "at_once")
"""Settings that are facts of a joint: what a row or the answers of its list say goes before them."""


@dataclass(frozen=True)
class Said:
    """A value as it stands in the sheet, with its cell."""

    text: str
    cell: str
    beside: str = ""


@dataclass
class Wishes:
    """What the sheet Job says, and a line for each cell that says nothing that is known here."""

    lists: list[tuple[Path, str | None]] = field(default_factory=list)
    books: list[Path] = field(default_factory=list)
    records: Path = Path("records")
    settings: ListSettings = field(default_factory=ListSettings)
    interaction: bool = False
    results_at: str | None = None
    only: tuple[str, ...] = ()
    paper: str | None = None
    both: bool = False
    single: bool = False
    pdf: bool = False
    forms: dict[str, Path] = field(default_factory=dict)
    no_release: str = ""
    words: dict[str, str] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)

    @property
    def mark(self) -> str:
        """What a plan depends on of all this."""
        return repr((self.settings, self.interaction, self.results_at))


def understood(said: Mapping[str, list[Said]], folder: Path) -> Wishes:
    """The wishes of a job from the values of its sheet, by label in small letters; files are those in `folder`."""
    wishes, settings = Wishes(records=folder / "records"), {}
    for key, values in said.items():
        row = BY_LABEL[key]
        for one in values:
            try:
                if len(values) > 1 and row.lines == 1:
                    raise ValueError(f"'{row.label}' appears {len(values)} times; keep one")
                if row.label in _SETTINGS:
                    settings[_SETTINGS[row.label].name] = _setting(_SETTINGS[row.label], one.text)
                else:
                    _take(wishes, row, one, folder)
            except ValueError as error:
                wishes.faults.append(f"{one.cell}: {error}")
    if not wishes.faults:
        wishes.settings = ListSettings(**settings)
    seen: set[str] = set()
    for path, _ in wishes.lists:
        if list_name(path).casefold() in seen:
            wishes.faults.append(
                f"two lists are called {list_name(path)}: their results would share their names; rename one"
            )
        seen.add(list_name(path).casefold())
    return wishes


def list_name(path: Path) -> str:
    """What a list is called in a job: its file without the ending."""
    return path.stem.removesuffix("-planned")


def _setting(setting: ListSetting, text: str) -> Any:
    value: Any = text
    if setting.numeric:
        try:
            value = int(text) if setting.whole else float(text)
        except ValueError:
            raise ValueError(f"{label_of(setting)}: '{text[:40]}' is not a {'whole ' * setting.whole}number") from None
    if setting.name == "scheme":
        value = text.strip()
    try:
        setting.meant(value)
    except ValueError as error:
        raise ValueError(f"{label_of(setting)}: {error}") from None
    return value


def _take(wishes: Wishes, row: Row, one: Said, folder: Path) -> None:
    text = one.text
    if row.choices:
        text = _word(row, text)
    if row.label == LIST:
        wishes.lists.append((folder / text, one.beside or None))
    elif row.label == BOOK:
        wishes.books.append(folder / text)
    elif row.label == RECORDS:
        wishes.records = folder / text
    elif row.label == AT:
        if not (text.isascii() and text.isalpha() and len(text) <= 3):
            raise ValueError(f"{AT}: '{text[:20]}' is not a column like AB")
        wishes.results_at = text
    elif row.label == ONLY:
        parts = tuple(filter(None, (part.strip().casefold() for part in text.split(","))))
        if unknown := next((part for part in parts if part not in PARTS), None):
            raise ValueError(f"{ONLY}: '{unknown[:40]}' is not one of {', '.join(PARTS)}")
        wishes.only = parts
    elif row.label.startswith(FORM):
        wishes.forms[row.label.removeprefix(FORM)] = folder / text
    elif row.label == NO_RELEASE:
        wishes.no_release = text
    elif row.label in WORDS:
        wishes.words[row.label] = text
    else:
        name = {PAPER: "paper", BOTH: "both", SINGLE: "single", PDF: "pdf", INTERACTION: "interaction"}[row.label]
        setattr(wishes, name, text if row.choices is PAPERS else text == "yes")


def _word(row: Row, text: str) -> str:
    found = next((choice for choice in row.choices if choice.casefold() == text.casefold()), None)
    if found is None:
        raise ValueError(f"{row.label}: '{text[:40]}' is not one of {', '.join(row.choices)}")
    return found
