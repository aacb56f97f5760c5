"""The plan of the sample list, made by the command once for each set of options in a run of the tests, and copied."""

import shutil
import tempfile
from contextlib import suppress
from pathlib import Path

from click.testing import CliRunner

from addin.cli import main
from addin.shipped import folder

LIST, BOOK = (folder("samples") / f"drigrauvex-{name}.xlsx" for name in ("joints", "wrenches"))
NAME = "drigrauvex-joints-plan.json"


def planned_sample(shared: Path, out: Path, *options: object) -> Path:
    """The plan file in `out`, beside the planned copy and what else was asked; made in `shared`, whoever asks first."""
    kept = shared / " ".join(["planned", *map(str, options)])
    if not kept.exists():
        with tempfile.TemporaryDirectory(dir=shared) as place:
            words = ["plan", LIST, "--wrenches", BOOK, "--out", place, *options]
            done = CliRunner().invoke(main, [str(word) for word in words], catch_exceptions=False)
            assert done.exit_code == 0, done.output
            with suppress(OSError):  # another worker was first
                shutil.copytree(place, f"{place} whole")
                Path(f"{place} whole").rename(kept)
    shutil.copytree(kept, out, dirs_exist_ok=True)
    return out / NAME
