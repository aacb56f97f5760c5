"""Holes in what is written and printed, replayed like those of `holes.py`, which are run with them.

python tests/attack/holes_outputs.py PATH/TO/tautsheet [WORD...]
"""

import hashlib
import shlex
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

from holes import BOOK, LIST, Field, Seen, attack, main, refused  # beside this file


def sha(path: Path) -> str:
    """The hash of a file."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def shell(field: Field, line: str) -> Seen:
    """Plan the sample with its cards through a shell; PLAN stands for that command."""
    plan = [field.command, "plan", LIST, "--wrenches", BOOK, "--out", field.out, "--pack"]
    script = field.folder / "run.sh"
    script.write_text(line.replace("PLAN", " ".join(shlex.quote(str(word)) for word in plan)))
    said = subprocess.run(["bash", script], capture_output=True, text=True, errors="replace", check=False, timeout=120)
    return Seen(said.returncode, said.stdout + said.stderr, 0, 0)


def cards_there(field: Field, seen: Seen) -> str:
    """ "" when the sample was planned with its cards as always."""
    if fault := seen.crashed:
        return fault
    missing = [name for name in ("plan.json", "planned.xlsx", "cards.xlsx")
               if not (field.out / f"drigrauvex-joints-{name}").exists()]  # fmt: skip
    if missing:
        return f"not written: {', '.join(missing)}"
    usual = field.run("plan", LIST, "--wrenches", BOOK, "--out", field.folder / "usual", "--pack").code
    return "" if seen.code == usual and "Exception ignored" not in seen.text else f"exit {seen.code}, usually {usual}"


@attack("printing: standard output and error closed")
def closed_streams(field: Field) -> str:
    """Nobody listens."""
    return cards_there(field, shell(field, "PLAN >&- 2>&- <&-"))


@attack("printing: onto a full disk")
def full_streams(field: Field) -> str:
    """The console is a file on a full disk."""
    return cards_there(field, shell(field, "PLAN >/dev/full 2>/dev/full"))


@attack("printing: the reader goes after one line")
def reader_gone(field: Field) -> str:
    """As with `| head -1`; the reader is gone for sure before the second line."""
    reader = f"{sys.executable} -c 'import os; os.read(0, 1); os.close(0)'"
    return cards_there(field, shell(field, f"PLAN | {reader}; exit ${{PIPESTATUS[0]}}"))


@attack("overwriting: the wrench book stands where the planned copy goes")
def book_overwritten(field: Field) -> str:
    """Whatever its name, what is read is not written over."""
    field.out.mkdir()
    book = field.out / "drigrauvex-joints-planned.xlsx"
    shutil.copy(BOOK, book)
    before = sha(book)
    seen = field.run("plan", LIST, "--wrenches", book, "--out", field.out, "--overwrite")
    return "the wrench book is lost" if sha(book) != before else refused(seen, "is read by this run")


@attack("overwriting: somebody's file of a card's name")
def foreign_overwritten(field: Field) -> str:
    """Not ours, and never was."""
    field.out.mkdir()
    mine = field.out / "drigrauvex-joints-cards.xlsx"
    mine.write_bytes(b"mine")
    seen = field.plan(LIST, "--pack", "--overwrite")
    if mine.read_bytes() != b"mine":
        return "somebody's file is lost"
    return refused(seen, "is not overwritten") or (
        "written beside it" if len(list(field.out.glob("[!.]*"))) > 1 else ""
    )


@attack("overwriting: the old plan that is compared with")
def old_plan_overwritten(field: Field) -> str:
    """The plan given with --since stands where the new one goes."""
    field.plan()
    old = field.out / "drigrauvex-joints-plan.json"
    before = sha(old)
    field.plan(LIST, "--since", old, "--overwrite", "--tolerance", "2")
    return "" if sha(old) == before else "the old plan is lost"


@attack("overwriting: what was typed into the planned copy")
def typed_lost(field: Field) -> str:
    """Planning anew loses what a person typed beside the list."""
    field.plan()
    copy = field.out / "drigrauvex-joints-planned.xlsx"
    with copy.open("ab") as file:
        file.write(b"typed")
    typed = sha(copy)
    seen = field.plan(LIST, "--overwrite")
    left = [path for path in field.out.rglob("*.xlsx") if sha(path) == typed]
    return "" if left and left[0].name in seen.text else "what was typed is lost"


@attack("overwriting: a planned copy into its own folder")
def own_folder(field: Field) -> str:
    """It is planned anew, and the one that was read is kept or comes out as it was."""
    field.plan()
    copy = field.out / "drigrauvex-joints-planned.xlsx"
    before = sha(copy)
    seen = field.plan(copy, "--overwrite")
    kept = [path for path in field.out.rglob("*.xlsx") if sha(path) == before]
    return "" if seen.code in (0, 1) and kept else f"exit {seen.code}: {seen.text.strip()[-100:]}"


@attack("sets: two runs into one folder")
def two_runs(field: Field) -> str:
    """The second must wait or go elsewhere."""
    command = [field.command, "plan", LIST, "--wrenches", BOOK, "--out", field.out, "--overwrite", "--pack"]
    first = subprocess.Popen([str(word) for word in command], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    while first.poll() is None and not (field.out.exists() and any(field.out.iterdir())):
        time.sleep(0.001)
    time.sleep(0.1)
    first.send_signal(signal.SIGSTOP)
    try:
        seen = field.plan(LIST, "--overwrite")
    finally:
        first.send_signal(signal.SIGCONT)
        first.wait()
    return refused(seen, "another run is writing into this folder")


@attack("sets: a part that cannot be written")
def half_a_set(field: Field) -> str:
    """A kit list of somebody's own stands in the way: no new part beside it."""
    field.plan()
    plan, out = field.out / "drigrauvex-joints-plan.json", field.folder / "pack"
    out.mkdir()
    (out / "drigrauvex-joints-kit-list.xlsx").write_bytes(b"mine")
    seen = field.run("pack", plan, "--out", out)
    new = [path.name for path in out.glob("[!.]*")]
    return refused(seen, "kit-list.xlsx: is there already") or (f"beside it: {new}" if len(new) > 1 else "")


@attack("sets: killed at twelve moments")
def killed(field: Field) -> str:
    """A killed run leaves the old set or the new one."""
    begun = time.monotonic()
    field.plan(LIST, "--pack")
    whole = time.monotonic() - begun
    base = field.folder / "base"
    shutil.copytree(field.out, base)
    before = {path.name: sha(path) for path in base.glob("[!.]*")}
    command = [field.command, "plan", LIST, "--wrenches", BOOK, "--out", field.out, "--overwrite", "--pack",
               "--tolerance", "2"]  # fmt: skip
    for moment in range(12):
        shutil.rmtree(field.out)
        shutil.copytree(base, field.out)
        run = subprocess.Popen([str(word) for word in command], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(whole * (0.5 + 0.045 * moment))
        run.kill()
        run.wait()
        after = {path.name: sha(path) for path in field.out.glob("[!.]*")}
        old = [name for name in before if after.get(name) == before[name]]
        if old and len(old) < len(before):
            return f"old beside new: {', '.join(sorted(old))}"
    return ""


if __name__ == "__main__":
    sys.exit(main())
