"""Writing and reading a plan of 20,000 joints, beside the json module on the same plan as version 1 held it.

`python tests/speed/plan_file_speed.py [JOINTS]`: ratios of one run, sizes, and the most memory that reading took.
"""

import json
import sys
import tempfile
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from msgspec.structs import replace  # noqa: E402
from plain_plan import plain, plain_joint  # noqa: E402

from addin.plan.file import entry_line, read_plan, write_plan  # noqa: E402
from addin.shipped import folder  # noqa: E402
from addin.tasks import plan_list  # noqa: E402


def timed(what: Callable[[], Any]) -> tuple[float, Any]:
    start = time.process_time()
    found = what()
    return time.process_time() - start, found


def main(count: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        out = Path(name)
        joints, book = (folder("samples") / f"drigrauvex-{each}.xlsx" for each in ("joints", "wrenches"))
        plan = read_plan(plan_list(joints, [book], out).plan_file)
        some = [joint for joint in plan.joints if joint.planned]
        head = replace(plan.head, totals=replace(plan.head.totals, rows=count))
        entries = [some[n % len(some)] for n in range(count)]
        old = {**plain(head), "joints": [plain_joint(head, joint) for joint in entries]}

        def write_old() -> None:
            (out / "old.json").write_text(json.dumps(old, ensure_ascii=False), encoding="utf-8")

        wrote, _ = timed(lambda: write_plan(head, (entry_line(joint) for joint in entries), out / "new.json"))
        wrote_old, _ = timed(write_old)
        old.clear()
        read, _ = timed(lambda: sum(1 for _ in read_plan(out / "new.json").joints))
        read_old, _ = timed(lambda: json.loads((out / "old.json").read_text(encoding="utf-8")))
        tracemalloc.start()
        sum(1 for _ in read_plan(out / "new.json").joints)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.reset_peak()
        kept = json.loads((out / "old.json").read_text(encoding="utf-8"))
        old_peak = tracemalloc.get_traced_memory()[1]
        assert len(kept["joints"]) == count
        sizes = [(out / each).stat().st_size for each in ("new.json", "old.json")]
    print(f"{count} joints: size {sizes[0] / 1e6:.0f} MB, {sizes[0] / sizes[1]:.2f} of {sizes[1] / 1e6:.0f} MB")
    print(f"writing {wrote:.2f} s, {wrote / wrote_old:.2f} of {wrote_old:.2f} s")
    print(f"reading with every check, twice decoded {read:.2f} s, {read / read_old:.2f} of {read_old:.2f} s")
    print(f"memory of reading {peak / 1e6:.0f} MB, {peak / old_peak:.2f} of {old_peak / 1e6:.0f} MB")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
