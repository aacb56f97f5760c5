"""A disk that is full while a pack or a hand-over is written: one line, and the set that stands there stays whole."""

import hashlib
import subprocess
import sys
from pathlib import Path

import pytest
import small_plans

from addin.shipped import folder
from addin.tasks import plan_list, take_records, write_pack

SAMPLES = folder("samples")
FULL = """
import resource, signal, sys
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (4_000, 4_000))
from addin.cli import main
main()
"""


def hashes(place: Path) -> dict[str, str]:
    return {
        str(path.relative_to(place)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(place.rglob("*")) if path.is_file()
    }  # fmt: skip


@pytest.fixture(scope="module")
def old(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A plan, and a folder with its pack and its hand-over."""
    place = tmp_path_factory.mktemp("full")
    small_plans.write_list(place / "list.xlsx", [small_plans.joint(), small_plans.hand()])
    small_plans.write_book(place / "book.xlsx", ("HW-3",))
    plan = plan_list(place / "list.xlsx", [place / "book.xlsx"], place / "plan").plan_file
    write_pack(plan, place / "out")
    take_records(plan, [SAMPLES / "drigrauvex-records.xlsx"], place / "out")
    return plan, place / "out"


@pytest.mark.skipif(sys.platform == "win32", reason="no limit of a file's size there")
@pytest.mark.parametrize(
    "words",
    [
        ["pack"],
        ["pack", "--only", "working"],
        ["pack", "--crew", "*"],
        ["record", SAMPLES / "drigrauvex-records.xlsx"],
    ],
    ids=str,
)
def test_the_old_set_stays_whole(old: tuple[Path, Path], words: list[object]) -> None:
    plan, out = old
    before = hashes(out)

    done = subprocess.run(
        [sys.executable, "-P", "-B", "-c", FULL, words[0], plan, *words[1:], "--out", out, "--overwrite"],
        capture_output=True, text=True, check=False, cwd=folder("samples").parent,
    )  # fmt: skip

    assert done.returncode in (1, 2)
    said = [text for text in (done.stdout + done.stderr).splitlines() if "cannot be written" in text]
    assert said
    assert all(text.endswith(": cannot be written: the file would be too large for this disk") for text in said)
    assert "Traceback" not in done.stderr
    assert hashes(out) == before
