"""Runs what a usual run of the tests leaves to sweeps, file by file, and keeps the result in `tests/sweeps.csv`.

    python tests/sweeps.py [FILE ...]

Each row: the file, what its cases are held against (its first line), how many passed and failed, seconds of processor,
the day and the commit. Files that are not named keep the rows they have.
"""

import ast
import csv
import datetime
import re
import resource
import subprocess
import sys
from pathlib import Path

TESTS = Path(__file__).parent
TARGET = TESTS / "sweeps.csv"
FIELDS = ("file", "held against", "passed", "failed", "processor seconds", "day", "commit")


def with_sweeps() -> list[Path]:
    """Files of tests that have long cases, or a longer way through theirs."""
    return [
        path
        for path in sorted(TESTS.rglob("test_*.py"))
        if re.search(r"\bmarks?\.sweep\b|\bsweeps\b", path.read_text(encoding="utf-8"))
    ]


def spent() -> float:
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    return children.ru_utime + children.ru_stime


def swept(path: Path, commit: str) -> dict[str, object]:
    """The row of a file."""
    before = spent()
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "--sweeps", str(path)], capture_output=True, text=True, cwd=TESTS.parent
    )
    counts = {word: number for number, word in re.findall(r"(\d+) (passed|failed|error)", done.stdout)}
    if done.returncode:
        print(done.stdout[-2000:])
    about = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    values = (
        path.relative_to(TESTS).as_posix(), about.split("\n")[0], counts.get("passed", 0),
        int(counts.get("failed", 0)) + int(counts.get("error", 0)), round(spent() - before),
        datetime.date.today().isoformat(), commit,
    )  # fmt: skip
    return dict(zip(FIELDS, values, strict=True))


def main() -> None:
    commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True).stdout.strip()
    rows: dict[str, dict[str, object]] = {}
    if TARGET.exists():
        with TARGET.open(encoding="utf-8", newline="") as file:
            rows = {row["file"]: dict(row) for row in csv.DictReader(file)}
    for path in [Path(name).resolve() for name in sys.argv[1:]] or with_sweeps():
        row = swept(path, commit)
        rows[str(row["file"])] = row
        print(*row.values(), sep="; ", flush=True)
        with TARGET.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, FIELDS, lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows[name] for name in sorted(rows))


if __name__ == "__main__":
    main()
