"""Writes `samples/card.png`, the picture of the README: one card of the sample plan, printed through LibreOffice.

Run `python tests/make_card_picture.py` after a change of the samples, of the cards or of their templates. It needs
pdftoppm (poppler-utils).
"""

import subprocess
import tempfile
from pathlib import Path

from addin.cards.issue import WantedParts
from addin.cards.selection import Selection  # noqa: E402
from addin.tasks import plan_list, write_pack

SAMPLES = Path(__file__).parents[1] / "samples"
JOINT, PAGE, DOTS = "V-1101-MH", 2, 90
"""The joint, which of its cards, and how fine the picture is. [1/in]"""


def main() -> None:
    joints, book = (SAMPLES / f"drigrauvex-{name}.xlsx" for name in ("joints", "wrenches"))
    with tempfile.TemporaryDirectory() as folder:
        planned = plan_list(joints, [book], Path(folder))
        wanted = WantedParts(only=("cards",), selection=Selection(joints=(JOINT,)))
        write_pack(planned.plan_file, Path(folder), wanted, pdf=True)
        (pdf,) = Path(folder).glob("*.pdf")
        page = ["-f", str(PAGE), "-l", str(PAGE), "-r", str(DOTS), "-png", "-singlefile"]
        subprocess.run(["pdftoppm", *page, str(pdf), str(SAMPLES / "card")], check=True)


if __name__ == "__main__":
    main()
