"""The command `pack` as a user types it: what it writes, what it says, its exit codes."""

import shutil
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result
from msgspec.structs import replace
from plain_plan import plain_plan, rewritten
from sample_plans import planned_sample

from addin.cards.issue import WantedParts
from addin.cards.pack_files import write_parts
from addin.cli import main
from addin.hosts.libreoffice.office import OfficeError
from addin.plan.file import read_plan
from addin.plan.record_joint import JointEntry
from addin.shipped import folder
from addin.workbooks.outputs import Outputs
from addin.workbooks.package import WorkbookError

LIST, BOOK = (folder("samples") / f"drigrauvex-{name}.xlsx" for name in ("joints", "wrenches"))
PLAN = "drigrauvex-joints-plan.json"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


@pytest.fixture(scope="module")
def plan(shared: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return planned_sample(shared, tmp_path_factory.mktemp("planned"), "--breakout-factor", 1.5)


def test_the_whole_pack_of_the_samples(plan: Path, tmp_path: Path) -> None:
    result = run("pack", plan, "--out", tmp_path)

    assert result.exit_code == 0
    assert sorted(path.name for path in tmp_path.iterdir() if not path.name.startswith(".")) == [
        f"drigrauvex-joints-{part}.xlsx" for part in
        ("break-out-cards", "cards", "cautions", "kit-list", "record-sheets", "retightening-cards", "summary",
             "wrench-sheets")
    ]  # fmt: skip
    lines = result.output.splitlines()
    assert lines[-1] == "35 cards, 4 rows without a card, 0 refused"
    assert "no card: C-1301-CAS final make-up: other method" in lines
    assert f"{tmp_path / 'drigrauvex-joints-cards.xlsx'} (33 cards)" in lines
    assert "unknown in the template" not in result.output


def test_a_list_revision_reissues_and_withdraws_exactly_what_it_alters(plan: Path, tmp_path: Path) -> None:
    """Another stud count, another torque, a remark to act on; a remark on scaffold changes nothing a crew does."""
    book = openpyxl.load_workbook(LIST)
    sheet = book["Joints"]
    columns = {cell.value: cell.column for cell in sheet[5]}
    sheet.cell(9, columns["Studs"]).value += 4
    sheet.cell(10, columns["Torque (ft-lb)"]).value = 640
    sheet.cell(13, columns["Remarks"]).value = "fit new washers"
    sheet.cell(15, columns["Remarks"]).value = "scaffold on the south side"
    altered = {sheet.cell(row, columns["Joint"]).value for row in (9, 10, 13)}
    book.save(tmp_path / LIST.name)
    run("plan", tmp_path / LIST.name, "--wrenches", BOOK, "--out", tmp_path / "new", "--breakout-factor", 1.5)
    result = run("pack", tmp_path / "new" / PLAN, "--out", tmp_path / "pack", "--since", plan)

    assert result.exit_code == 0
    assert "3 cards to issue, 3 to withdraw" in result.output
    cards = openpyxl.load_workbook(tmp_path / "pack" / "drigrauvex-joints-cards.xlsx")
    contents, *sheets = cards.worksheets
    assert contents.title == "Contents"
    assert {sheet["A1"].value for sheet in sheets} == altered
    listed = openpyxl.load_workbook(tmp_path / "pack" / "drigrauvex-joints-withdrawn-cards.xlsx").active
    assert {listed.cell(row, 1).value for row in (5, 6, 7)} == altered
    old = {joint["card"] for joint in plain_plan(plan)["joints"]}
    assert {listed.cell(row, 11).value for row in (5, 6, 7)} <= old
    assert result.output.splitlines()[-1] == "3 cards, 32 unchanged, 4 rows without a card, 0 refused"


def test_a_refused_card_is_said_and_the_exit_code_tells(plan: Path, tmp_path: Path) -> None:
    first, second = [joint for joint in plain_plan(plan)["joints"] if joint["operation"] == "final make-up"][:2]

    def twice(joint: JointEntry) -> JointEntry:
        return replace(joint, card=first["card"]) if joint.row == second["row"] else joint

    rewritten(plan, tmp_path / PLAN, twice)
    result = run("pack", tmp_path / PLAN, "--out", tmp_path / "out", "--only", "cards")

    assert result.exit_code == 1
    assert f"refused: {first['joint']} final make-up: card revision {first['card']} stands on more" in result.output
    assert result.output.splitlines()[-1] == "31 cards, 4 rows without a card, 2 refused"


OWN = ("{{joint}}", "{{operation}}", "{{card}}", "{{set heading}}", "{{order}}", "{{cautions}}")
"""What a card must say beside its passes; a form without one of these is refused."""


def own_card(folder: Path, *tokens: str) -> Path:
    book = openpyxl.Workbook()
    for row, text in enumerate((*OWN, *tokens, *["{{pass.set}}"] * 6), 1):
        book.active.cell(row, 1, text)
    book.save(folder / "own.xlsx")
    return folder / "own.xlsx"


def test_an_own_card_is_filled_and_its_tokens_are_listed(plan: Path, tmp_path: Path) -> None:
    form = own_card(tmp_path)
    result = run("pack", plan, "--out", tmp_path / "out", "--only", "cards", "--template", form)

    assert result.exit_code == 0
    assert "not used by the template of cards: " in result.output
    assert "{{order picture}}" in result.output
    card = openpyxl.load_workbook(tmp_path / "out" / "drigrauvex-joints-cards.xlsx").worksheets[1]
    assert card["A1"].value == "V-1101-MH"


def test_an_own_card_with_an_unknown_token_is_refused_with_its_cell(plan: Path, tmp_path: Path) -> None:
    form = own_card(tmp_path, "{{weather}}")
    result = run("pack", plan, "--out", tmp_path / "out", "--only", "cards", "--template", form)

    assert result.exit_code == 2
    assert "{{weather}}" in result.output
    assert "A7" in result.output
    assert not list((tmp_path / "out").glob("*.xlsx"))


@pytest.mark.parametrize(
    ("tags", "words"),
    [(["E-1204-CX"], "the plan has no joint E-1204-CX; like E-1204-CX: E-1204-CH"),
     (["E-1204-CH", "@", "@", "?"], "the plan has no joint @, ?")],
)  # fmt: skip
def test_a_joint_that_is_not_there_writes_nothing(plan: Path, tmp_path: Path, tags: list[str], words: str) -> None:
    missing = run("pack", plan, "--out", tmp_path / "out", *(word for tag in tags for word in ("--joint", tag)))
    assert missing.exit_code == 2
    (line,) = missing.output.splitlines()
    assert line.startswith(f"tautsheet: {PLAN}: {words}")
    assert not (tmp_path / "out").exists()


def test_a_template_that_cannot_serve(plan: Path, tmp_path: Path) -> None:
    openpyxl.Workbook().save(tmp_path / "own.xlsx")
    empty = run("pack", plan, "--out", tmp_path, "--only", "kit", "--template", f"kit={tmp_path / 'own.xlsx'}")
    assert empty.exit_code == 2
    assert "not written: kit list: own.xlsx: no place for {{item.item}}" in empty.output


@pytest.mark.parametrize(
    "arguments",
    [["--template", "nowhere.xlsx"], ["--only", "hats"], ["--paper", "A5"], ["--units", "SI"], ["--since", "no.json"]],
)
def test_what_cannot_be_asked(plan: Path, tmp_path: Path, arguments: list[str]) -> None:
    result = run("pack", plan, "--out", tmp_path / "out", *arguments)

    assert result.exit_code == 2
    assert not (tmp_path / "out").exists()


def test_without_an_office_program_the_workbooks_are_written(
    plan: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TAUTSHEET_SOFFICE", str(tmp_path / "none"))
    result = run("pack", plan, "--out", tmp_path / "out", "--only", "summary", "--pdf")

    assert result.exit_code == 1
    assert result.output.splitlines()[-1].startswith("no PDFs: there is no program")
    assert [path.name for path in (tmp_path / "out").glob("[!.]*")] == ["drigrauvex-joints-summary.xlsx"]


@pytest.mark.skipif(shutil.which("soffice") is None or shutil.which("pdfinfo") is None, reason="needs LibreOffice")
@pytest.mark.parametrize(("paper", "size"), [("A4", "A4"), pytest.param("Letter", "letter", marks=pytest.mark.sweep)])
def test_pages_of_every_part(plan: Path, tmp_path: Path, paper: str, size: str) -> None:
    """Cards print on two pages each, several of them behind a page of contents, in both sizes.

    A joint by hand, one broken out and one retightened are among them.
    """
    import subprocess

    tags = ("V-1101-MH", "V-1101-N3", "T-1401-BTM", "V-502-MH")
    asked = [part for tag in tags for part in ("--joint", tag)]
    result = run("pack", plan, "--out", tmp_path, "--pdf", "--paper", paper, "--units", "both", *asked)

    assert result.exit_code == 0, result.output
    pages = {}
    for path in tmp_path.glob("*.pdf"):
        told = subprocess.run(["pdfinfo", path], check=True, capture_output=True, text=True).stdout
        assert f"({size})" in told
        pages[path.stem.removeprefix("drigrauvex-joints-")] = int(told.split("Pages:")[1].split()[0])
    assert pages["cards"] == 1 + 5 * 2
    assert pages["break-out-cards"] == pages["retightening-cards"] == 2
    assert pages["summary"] == pages["cautions"] == 1
    assert set(pages) == {"cards", "break-out-cards", "retightening-cards", "wrench-sheets", "kit-list", "summary",
                          "cautions"}  # fmt: skip


def test_an_existing_pdf_is_refused_before_anything_is_written(plan: Path, tmp_path: Path) -> None:
    """One that is somebody's own; nothing else of the pack is written beside it."""
    (tmp_path / "L-summary.pdf").write_text("mine")
    wanted = WantedParts(("summary",), printer=lambda source, target: None)

    with (
        pytest.raises(WorkbookError, match="L-summary.pdf: is not overwritten: tautsheet has no note"),
        Outputs(tmp_path, overwrite=True) as outputs,
    ):
        write_parts(read_plan(plan), "L", outputs, wanted, "a")

    assert [path.name for path in tmp_path.iterdir()] == ["L-summary.pdf"]


def test_what_was_not_written_anew_does_not_stay_beside_the_new_plans_parts(plan: Path, tmp_path: Path) -> None:
    def printer(source: Path, target: Path) -> None:
        target.write_bytes(b"pdf")

    def fail(source: Path, target: Path) -> None:
        raise OfficeError("LibreOffice has ended")

    content, parts = read_plan(plan), ("summary", "kit")
    with Outputs(tmp_path) as outputs:
        write_parts(content, "L", outputs, WantedParts(parts, printer=printer), "first plan")
    with Outputs(tmp_path, overwrite=True) as outputs:
        write_parts(content, "L", outputs, WantedParts(parts, printer=fail), "second plan")

    seen = {path.name for path in tmp_path.glob("[!.]*")}
    assert seen == {"L-summary.xlsx", "L-kit-list.xlsx", "kept"}
    assert [line.split(";")[0] for line in outputs.kept()] == [
        "L-kit-list.pdf: is of another plan and was not written again",
        "L-summary.pdf: is of another plan and was not written again",
    ]


def test_cards_are_never_written_over_a_template_or_plan_that_is_read(plan: Path, tmp_path: Path) -> None:
    """Even where the file stands in the folder under the name of a part, and the notes call it ours."""
    run("pack", plan, "--out", tmp_path, "--only", "summary")
    summary = tmp_path / "drigrauvex-joints-summary.xlsx"
    before = summary.read_bytes()

    result = run(
        "pack", plan, "--out", tmp_path, "--only", "summary", "--template", f"summary={summary}", "--overwrite"
    )

    assert result.exit_code == 2
    assert result.output == f"tautsheet: {summary}: is read by this run; results go to another file\n"
    assert summary.read_bytes() == before
