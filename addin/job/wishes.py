"""The rows of the sheet Job: what may be stated once for a job, from the settings of a list and what packs can do."""

import hashlib
import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from addin.cards.issue import PARTS, RECORD
from addin.cards.selection import WAYS
from addin.cells.words import figure, line
from addin.plan.list_settings import SETTINGS, ListSetting, ListSettings
from addin.plan.where_from import FACTS
from addin.reading.understood import shown_name
from addin.records.record_files import RECORD_FILES, record_files
from addin.workbooks.file_set import sha256
from calc.findings import InputError
from calc.preload.scatter import method
from calc.procedure.passes import scheme
from calc.units import system

LIST, BOOK, RECORDS = "List", "Wrench book", "Records folder"
PAPER, BOTH, SINGLE, PDF, ONLY = "Paper", "Both units on cards", "One file per card", "PDF", "Parts of the pack"
INTERACTION, AT, EXTEND, NOTES = "Interaction", "Results at column", "Filter and table over results", "Sheet of notes"
RECALCULATE, ACCEPT, CARRY, OUT_OF_USE = "Recalculate lists", "Accept proposals", "Column to print", "Wrench not used"
OVERVIEW = "Page of charts and counts"
BY, WORDS_OF, BESIDE = "Folders of the pack by", "Second language", "Second language beside English"
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
    Row(RECORDS, "Folder of the record sheets and texts of scanned keys that came back; else the folder records."),
    *(Row(label_of(each), _told(each), each.choices) for each in SETTINGS),
    Row(INTERACTION, "Write what each stud keeps, for the engineer.", YES),
    Row(AT, "First of the empty columns for the results, e.g. AB; else to the right of all."),
    Row(EXTEND, "Filter, table and print area of the list reach over the results.", YES),
    Row(NOTES, "A sheet of counts, settings and all findings behind the list.", YES),
    Row(OVERVIEW, "A page of its own for each list, LIST-overview.xlsx; through LibreOffice a PDF too.", YES),
    Row(RECALCULATE, "LibreOffice calculates a copy of each list; a formula that then differs stops its row.", YES),
    Row(ACCEPT, "Take proposals as they stand: every plan is then a draft, and no card shows a figure to set.", YES),
    Row(CARRY, "Heading of a column of the list that a form of your own prints with {{list: HEADING}}.", (), 3),
    Row(OUT_OF_USE, "A wrench of the book that is not to be used, by its name. Joints on it that are not done are"
        " planned again, all others keep their cards.", (), 3),
    Row(ONLY, f"Only these parts, with commas between: {', '.join([*PARTS, RECORD])}; else all but the working."),
    Row(PAPER, "Paper of cards and hand-over, in place of the template's own.", PAPERS),
    Row(BOTH, "Torques and preload in US units and SI.", YES),
    Row(SINGLE, "A workbook for each card.", YES),
    Row(BY, f"A folder for each, with commas between: {', '.join(WAYS)}; crews by day."),
    Row(WORDS_OF, "A second language on the cards: a workbook like templates/words.xlsx, from this folder."),
    Row(BESIDE, "The second language beside the English; else in its place.", YES),
    Row(PDF, "PDFs too, through LibreOffice.", YES),
    *(Row(f"{FORM}{part}", "A form of your own: its file, from this folder.") for part in PARTS),
    Row(NO_RELEASE, "Only where the site wants no release before anyone prints: who decided that. Else cards are"
        " printed once an engineer's name and date stand in the sheet Issues."),
    *(Row(word, "Shown in messages.") for word in WORDS),
)  # fmt: skip
"""In the order in which they stand."""
BY_LABEL = {row.label.casefold(): row for row in ROWS}
_YES_OR_NO = {
    BOTH: "both", SINGLE: "single", PDF: "pdf", INTERACTION: "interaction", EXTEND: "extend", NOTES: "notes",
    OVERVIEW: "overview", RECALCULATE: "recalculate", ACCEPT: "accept", BESIDE: "beside",
}  # fmt: skip
_SETTINGS = {label_of(each): each for each in SETTINGS}


@dataclass(frozen=True)
class Said:
    """A value as it stands in the sheet, with its cell."""

    text: str
    cell: str
    beside: str = ""


@dataclass
class Wishes:
    """What the sheet Job says, a line for each cell that says nothing that is known here, and for lists set aside."""

    lists: list[tuple[Path, str | None]] = field(default_factory=list)
    books: list[Path] = field(default_factory=list)
    records: Path = Path("records")
    settings: ListSettings = field(default_factory=ListSettings)
    interaction: bool = False
    results_at: str | None = None
    extend: bool = False
    notes: bool = False
    overview: bool = False
    recalculate: bool = False
    accept: bool = False
    carry: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    by: tuple[str, ...] = ()
    second: Path | None = None
    beside: bool = False
    only: tuple[str, ...] = ()
    paper: str | None = None
    both: bool = False
    single: bool = False
    pdf: bool = False
    forms: dict[str, Path] = field(default_factory=dict)
    no_release: str = ""
    words: dict[str, str] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)
    set_aside: list[str] = field(default_factory=list)
    cells: dict[str, str] = field(default_factory=dict)
    """Where each setting stands."""

    @property
    def mark(self) -> str:
        """What a plan depends on of all this."""
        return repr((self.settings, self.for_plan))

    @property
    def stated_settings(self) -> str:
        """The settings that the sheet states, each as it calls it; facts of joints aside."""
        settings = {label: each.name for label, each in _SETTINGS.items() if each.name not in FACTS}
        stated = {label: getattr(self.settings, name) for label, name in settings.items()}
        said = ((label, figure(value) if isinstance(value, float) else value) for label, value in stated.items())
        return ", ".join(f"{label} {value}" for label, value in said if value is not None)

    @property
    def pack_mark(self) -> str:
        """A mark of how packs are wanted, with the content of own forms and words."""
        files = [path for path in (*self.forms.values(), self.second) if path]
        inside = [(str(path), sha256(path) if path.is_file() else "") for path in files]
        wanted = (self.only, self.paper, self.both, self.single, self.pdf, self.by, self.beside, inside)
        return hashlib.sha256(repr(wanted).encode()).hexdigest()

    @property
    def for_plan(self) -> dict[str, Any]:
        """What else the planning of each list is told."""
        names = (
            "interaction",
            "results_at",
            "extend",
            "notes",
            "overview",
            "recalculate",
            "accept",
            "carry",
            "without",
        )
        return {name: getattr(self, name) for name in names}


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
                    wishes.cells[_SETTINGS[row.label].name] = f"{one.cell}: {row.label}"
                else:
                    _take(wishes, row, one, folder)
            except ValueError as error:
                wishes.faults.append(f"{one.cell}: {error}")
    if not wishes.faults:
        wishes.settings = ListSettings(**settings)
    names = Counter(list_name(path).casefold() for path, _ in wishes.lists)
    for name in [name for name, count in names.items() if count > 1]:
        alike = [path for path, _ in wishes.lists if list_name(path).casefold() == name]
        wishes.set_aside.append(
            f"two lists are called {list_name(alike[0])}: their results would share their names, neither is planned;"
            " rename one"
        )
    wishes.lists = [(path, sheet) for path, sheet in wishes.lists if names[list_name(path).casefold()] == 1]
    return wishes


_PUBLISHED: Mapping[str, Callable[[str], object]] = {"scheme": scheme, "scatter_method": method}
"""Settings whose words stand in a published table, with what refuses others."""


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
        if setting.name in _PUBLISHED:
            _PUBLISHED[setting.name](value)
    except InputError as error:
        raise ValueError(f"{label_of(setting)}: {line(error.finding, system('US'))}") from None
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
        wishes.only = _several(row, text, [*PARTS, RECORD])
    elif row.label == BY:
        wishes.by = _several(row, text, WAYS)
    elif row.label == WORDS_OF:
        wishes.second = folder / text
    elif row.label == CARRY:
        wishes.carry += (text,)
    elif row.label == OUT_OF_USE:
        wishes.without += (text,)
    elif row.label.startswith(FORM):
        wishes.forms[row.label.removeprefix(FORM)] = folder / text
    elif row.label == NO_RELEASE:
        wishes.no_release = text
    elif row.label in WORDS:
        wishes.words[row.label] = text
    else:
        setattr(wishes, _YES_OR_NO.get(row.label, "paper"), text if row.choices is PAPERS else text == "yes")


def _several(row: Row, text: str, known: Iterable[str]) -> tuple[str, ...]:
    found = tuple(filter(None, (part.strip().casefold() for part in text.split(","))))
    if unknown := next((part for part in found if part not in known), None):
        raise ValueError(f"{row.label}: '{unknown[:40]}' is not one of {', '.join(known)}")
    return found


def _word(row: Row, text: str) -> str:
    found = next((choice for choice in row.choices if choice.casefold() == text.casefold()), None)
    if found is None:
        raise ValueError(f"{row.label}: '{text[:40]}' is not one of {', '.join(row.choices)}")
    return found


_OPTIONS = {each.option: label for label, each in _SETTINGS.items() if each.option} | {
    "--without": OUT_OF_USE, "--carry": CARRY, "--recalculate": RECALCULATE, "--accept": ACCEPT, "--wrenches": BOOK,
    "--list": LIST, "--results-at": AT, "--extend": EXTEND,
}  # fmt: skip


def in_words_of_job(text: str) -> str:
    """A text that names options of a command, with the rows of the sheet in their place: nobody types one in a job.

    >>> in_words_of_job("break-out factor is needed (a factor for all rows: --breakout-factor FACTOR)")
    "break-out factor is needed (a factor for all rows: 'Breakout factor' in the sheet Job)"
    """

    def row(found: re.Match[str]) -> str:
        label = _OPTIONS.get(found[1])
        return f"'{label}' in the sheet Job" if label else found[0]

    return re.sub(r"(--[a-z-]+)(?: [A-Z]{4,}\b)?", row, text)


def records_of(wishes: Wishes) -> list[Path]:
    """The files of the records folder: workbooks and texts of scanned keys, whichever list they belong to."""
    folder = wishes.records
    if folder.is_dir() and any(path.suffix.lower() in RECORD_FILES for path in folder.rglob("*")):
        return record_files([folder])
    return []
