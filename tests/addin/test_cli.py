"""The commands as a user types them: what they write, what they say, what they leave alone, and their exit codes."""

import hashlib
import json
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import small_plans
from click.testing import CliRunner, Result
from plain_plan import plain_plan

from addin.cli import main
from addin.shipped import folder

SAMPLES = folder("samples")
LIST, REFUSALS, BOOK = (SAMPLES / f"drigrauvex-{name}.xlsx" for name in ("joints", "refusals", "wrenches"))


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


def written(out: Path) -> list[str]:
    """Names of the files that a person sees."""
    return sorted(path.name for path in out.iterdir() if not path.name.startswith("."))


def sha(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Result, list[str]]:
    """The sample list planned with its cards, and the hashes of the inputs before."""
    out = tmp_path_factory.mktemp("out")
    before = [sha(LIST), sha(BOOK)]
    return out, run("plan", LIST, "--wrenches", BOOK, "--out", out, "--pack"), before


def test_the_main_job_on_the_samples(planned: tuple[Path, Result, list[str]]) -> None:
    out, result, before = planned

    assert result.exit_code == 0
    lines = result.output.splitlines()
    assert len(lines) <= 14
    assert lines[-1].startswith(f"Open first: {out / 'drigrauvex-joints-cards.xlsx'}, the cards for the crew")
    assert lines[-6:-5] == [
        "39 rows: 34 planned (28 hydraulic, 6 hand), 5 by another method (of which 1 break-out not planned)"
        " and 0 stopped",
    ]
    assert lines[-4].endswith(
        "drigrauvex-joints-plan.json; yields of the studs: 27 read in a copy, 6 from memory; threads: 27 read in a"
        " copy, 7 from memory; nuts: 5 read in a copy, 26 by formula, 3 from memory; passes from memory"
    )  # A193M B7 from memory; the row without friction judges no yield
    assert lines[0].startswith("note: taken where the list does not say: UNC to 1 in, 8 threads per inch above")
    assert all(line.startswith("CAUTION ") for line in lines[1:-7])
    assert lines[-7].startswith(
        "note: results stand on sheet Joints in AE:AT; the filter A5:AD44 ends before our columns"
    )
    assert written(out) == [
        "drigrauvex-joints-cards.xlsx", "drigrauvex-joints-plan.json", "drigrauvex-joints-planned.xlsx",
        "drigrauvex-joints-retightening-cards.xlsx",
    ]  # fmt: skip
    assert [sha(LIST), sha(BOOK)] == before


def test_the_planned_copy_holds_the_list_and_our_columns(planned: tuple[Path, Result, list[str]]) -> None:
    out, _, _ = planned
    plan = plain_plan(out / "drigrauvex-joints-plan.json")
    before, after = (openpyxl.load_workbook(path)["Joints"] for path in (LIST, out / "drigrauvex-joints-planned.xlsx"))

    for row in before.iter_rows():
        for cell in row:
            assert after[cell.coordinate].value == cell.value
    first = before.max_column + 1
    heads = {after.cell(plan["heading_row"], column).value: column for column in range(first, after.max_column + 1)}
    assert next(iter(heads)) == "Joint | operation"
    for joint in plan["joints"]:
        row = joint["row"]
        assert after.cell(row, first).value == f"{joint['joint']} | {joint['operation']}"
        careful = joint["status"] == "planned" and any(said["level"] == "caution" for said in joint["findings"])
        shown = "break-out not planned" if joint["operation"] == "break" else joint["status"]
        assert after.cell(row, heads["Status"]).value == shown + ", caution" * careful
        torque = after.cell(row, heads["Torque"])
        if joint["status"] == "planned":
            assert torque.value == joint["torque"]["value"]
            assert after.cell(row, heads["Torque unit"]).value == joint["torque"]["unit"]
        elif joint["status"] == "stopped":
            assert (torque.value, torque.data_type) == ("#N/A", "e")
            assert "stop: " in after.cell(row, heads["Message"]).value
        else:
            assert torque.value == "–"


def numbers_beside(path: Path, sheet: str, first: int) -> list[Any]:
    cells = openpyxl.load_workbook(path)[sheet].iter_rows(min_col=first, min_row=5)
    return [cell.value for row in cells for cell in row if isinstance(cell.value, (int, float))]


@pytest.mark.parametrize("sheet", ["No unit", "Ambiguous unit"])
def test_a_list_with_an_open_question_is_not_planned(sheet: str, tmp_path: Path) -> None:
    result = run("plan", REFUSALS, "--wrenches", BOOK, "--out", tmp_path, "--sheet", sheet)

    assert result.exit_code == 2
    assert "column R " in result.output
    assert "drigrauvex-refusals-questions.xlsx, sign it, close it, and plan again" in result.output.splitlines()[-1]
    assert [path.name for path in tmp_path.iterdir() if path.name[0] != "."] == ["drigrauvex-refusals-questions.xlsx"]


@pytest.mark.parametrize("sheet", ["Joints"])
def test_refused_rows_get_a_sentence_and_no_number(sheet: str, tmp_path: Path) -> None:
    result = run("plan", REFUSALS, "--wrenches", BOOK, "--out", tmp_path, "--sheet", sheet)

    plan = plain_plan(tmp_path / "drigrauvex-refusals-plan.json")
    assert result.exit_code == 1
    first = openpyxl.load_workbook(REFUSALS)[sheet].max_column + 1
    assert numbers_beside(tmp_path / "drigrauvex-refusals-planned.xlsx", sheet, first) == []
    for joint in plan["joints"]:
        assert joint["status"] == "stopped"
        assert (joint["torque"], joint["preload"], joint["setpoint"], joint["passes"]) == (None, None, None, [])
        said = [f["text"] for f in joint["findings"] if f["level"] == "stop"]
        assert said
        assert all("\n" not in text and "  " not in text and "{" not in text for text in said)


def test_every_stop_is_printed_with_sheet_and_row(tmp_path: Path) -> None:
    result = run("plan", REFUSALS, "--wrenches", BOOK, "--out", tmp_path, "--sheet", "Joints")

    stops = [line for line in result.output.splitlines() if line.startswith("STOP ")]
    assert result.output.splitlines()[-1].endswith("-planned.xlsx; its column Message says why rows stopped")
    assert len(stops) >= 38
    assert all(re.match(r"STOP (\d+ rows \()?Joints!", line) for line in stops)


def test_text_that_begins_with_an_equals_sign_stays_text(tmp_path: Path) -> None:
    source, book = tmp_path / "list.xlsx", tmp_path / "book.xlsx"
    small_plans.write_list(source, [small_plans.joint("=1+1", remarks="=2+2"), small_plans.joint("B")])
    small_plans.write_book(book, ("HW-3",))

    run("plan", source, "--wrenches", book, "--out", tmp_path / "out", "--pack")

    for path in (tmp_path / "out").glob("*.xlsx"):
        written = openpyxl.load_workbook(path)
        formulas = [c.coordinate for ws in written for row in ws.iter_rows() for c in row if c.data_type == "f"]
        assert formulas == [], path.name
    assert "=1+1" in (tmp_path / "out" / "list-plan.json").read_text(encoding="utf-8")
    cards = openpyxl.load_workbook(tmp_path / "out" / "list-cards.xlsx")
    assert any(c.value == "=1+1" for ws in cards for row in ws.iter_rows() for c in row)


def test_a_plan_is_reproducible_and_cards_come_from_it(planned: tuple[Path, Result, list[str]], tmp_path: Path) -> None:
    out, _, _ = planned
    again = run("plan", LIST, "--wrenches", BOOK, "--out", tmp_path)
    packed = run("pack", out / "drigrauvex-joints-plan.json", "--out", tmp_path, "--joint", "V-1101-MH")

    assert again.exit_code == 0
    assert (tmp_path / "drigrauvex-joints-plan.json").read_bytes() == (out / "drigrauvex-joints-plan.json").read_bytes()
    assert packed.exit_code == 0
    assert "(2 cards)" in packed.output


def test_the_card_revision_does_not_depend_on_the_row(tmp_path: Path) -> None:
    moved = tmp_path / "drigrauvex-joints.xlsx"
    book = openpyxl.load_workbook(LIST)
    book["Joints"].insert_rows(5, 3)
    book.save(moved)
    run("plan", moved, "--wrenches", BOOK, "--out", tmp_path / "a")
    run("plan", LIST, "--wrenches", BOOK, "--out", tmp_path / "b")

    cards = [
        {(j["joint"], j["operation"]): j["card"] for j in plain_plan(path)["joints"]}
        for path in sorted(tmp_path.glob("*/*-plan.json"))
    ]
    assert cards[0] == cards[1]


def test_results_are_not_written_over_unless_asked(planned: tuple[Path, Result, list[str]]) -> None:
    out, _, _ = planned
    before = {path.name: sha(path) for path in out.iterdir()}

    result = run("plan", LIST, "--wrenches", BOOK, "--out", out)

    assert result.exit_code == 2
    assert "is there already" in result.output
    assert {path.name: sha(path) for path in out.iterdir()} == before
    assert run("plan", LIST, "--wrenches", BOOK, "--out", out, "--pack", "--overwrite").exit_code == 0


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["plan", "nowhere.xlsx", "--wrenches", BOOK, "--out", "out"], "nowhere.xlsx"),
        (["plan", LIST, "--wrenches", "nowhere.xlsx", "--out", "out"], "nowhere.xlsx"),
        (["plan", LIST, "--wrenches", BOOK, "--out", "out", "--sheet", "Nothing"], "there is no sheet 'Nothing'"),
        (["plan", LIST, "--wrenches", BOOK, "--out", "out", "--scheme", "quick"], "scheme 'quick' is not known"),
        (["plan", LIST, "--wrenches", BOOK, "--out", "out", "--date", "03/04/2026"], "is not a date like 2026-03-14"),
        (["plan", BOOK, "--wrenches", BOOK, "--out", "out"], "no joint list found"),
        (["pack", "nowhere.json", "--out", "out"], "nowhere.json"),
        (["call", "nothing"], "no function nothing"),
        (["call", "torque_from_preload", "1", "2", "3", "4", "5"], "takes at most 4 arguments"),
        (["call", "setpoint", "1", "nowhere.csv", "US"], "nowhere.csv"),
    ],
)
def test_what_cannot_run_says_why_in_one_line(arguments: list[Any], said: str, tmp_path: Path,
                                              monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)

    result = run(*arguments)

    assert result.exit_code == 2
    assert said in result.output
    assert "Traceback" not in result.output


def test_call_prints_numbers_rows_and_refusals() -> None:
    table = SAMPLES / "HW-3-calibration.csv"

    assert run("call", "nut_across_flats", "1 1/2", "US").output == "2.375\n"
    assert run("call", "tightening_order", "4").output.split() == ["1", "3", "2", "4"]
    assert run("call", "setpoint", "1405", table, "US", "100").exit_code == 0
    spill = run("call", "pass_table", "1405", table, "US", "", "100").output.splitlines()
    assert spill[0].split("\t")[:2] == ["pass", "per cent"]
    refused = CliRunner().invoke(main, ["call", "preload_from_stress", "45", "1 1/2", "US", "tensile"])
    assert refused.exit_code == 2
    assert "STOP: stress 45 psi is below 1000 psi" in refused.stderr
    assert refused.stdout == ""


@pytest.mark.skipif(os.name == "nt", reason="kill is a signal there is none of on Windows")
def test_a_run_killed_half_way_leaves_inputs_and_results_whole(tmp_path: Path, sweeps: bool) -> None:
    """Killed while it writes: inputs unchanged, every result absent or whole, nothing left over after the next run."""
    source, book, out = tmp_path / "list.xlsx", tmp_path / "book.xlsx", tmp_path / "out"
    rows = [small_plans.joint("A"), small_plans.joint("B", "retighten"), small_plans.hand("C")]
    small_plans.write_list(source, rows)
    small_plans.write_book(book, ("HW-3",))
    before = [sha(source), sha(book)]
    command = [sys.executable, "-P", "-m", "addin", "plan", str(source), "--wrenches", str(book), "--out", str(out),
               "--pack", "--overwrite"]  # fmt: skip
    whole = time.monotonic()
    subprocess.run(command, check=False, capture_output=True)
    whole = time.monotonic() - whole
    for k in range(2 if sweeps else 1):  # tests/attack/kills.py tries two hundred
        process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(whole * (0.8 - 0.3 * k))
        process.send_signal(signal.SIGKILL)
        process.wait()
        assert [sha(source), sha(book)] == before
        for path in out.glob("*.xlsx"):
            openpyxl.load_workbook(path, read_only=True).close()
        for path in out.glob("*.json"):
            json.loads(path.read_text(encoding="utf-8"))
    subprocess.run(command, check=False, capture_output=True)
    assert written(out) == [
        "list-cards.xlsx", "list-plan.json", "list-planned.xlsx", "list-retightening-cards.xlsx",
    ]  # fmt: skip


def test_results_in_columns_the_user_names(tmp_path: Path) -> None:
    """Empty columns serve, beside or between; filled ones are refused and nothing is written."""
    run("plan", LIST, "--wrenches", BOOK, "--out", tmp_path / "far", "--results-at", "BA")
    taken = run("plan", LIST, "--wrenches", BOOK, "--out", tmp_path / "taken", "--results-at", "C")
    odd = run("plan", LIST, "--wrenches", BOOK, "--out", tmp_path / "odd", "--results-at", "7")

    far = openpyxl.load_workbook(tmp_path / "far" / "drigrauvex-joints-planned.xlsx")["Joints"]
    assert far["BA5"].value == "Joint | operation"
    assert far["AE5"].value is None
    assert taken.exit_code == 2
    assert "C" in taken.output
    assert not (tmp_path / "taken").exists()
    assert (odd.exit_code, "is not a column like AB" in odd.output) == (2, True)
    again = run("plan", tmp_path / "far" / "drigrauvex-joints-planned.xlsx", "--wrenches", BOOK, "--out",
                tmp_path / "again", "--results-at", "BC")  # fmt: skip
    assert again.exit_code == 2
    assert "results stand from column BA on already" in again.output
