"""The mark of a card: read back by another library from the page as it prints."""

import shutil
import subprocess

import numpy as np
import pytest
import zxingcpp
from printing import print_pdf
from small_plans import changed

from addin.cards.issue import WantedParts, issue
from addin.cards.sheets import write_pack


def grey(path):
    """A page as grey values, from a portable graymap."""
    kind, size, most, pixels = path.read_bytes().split(b"\n", 3)
    assert (kind, most) == (b"P5", b"255")
    width, height = map(int, size.split())
    return np.frombuffer(pixels, np.uint8, width * height).reshape(height, width)


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="needs pdftoppm")
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_mark_is_read_from_the_page(tmp_path, template, plan, joint, hand, several, office, paper):
    tags = ["E-1204 channel", "P|310", "Düse N4", "R-4"]
    content = plan(joint(tags[0]), hand(tags[1]), joint(tags[2], "retighten", 36), several(tags[3], 36, count=4))
    report = write_pack(content, template, tmp_path / "c.xlsx", paper=paper)
    print_pdf(office, tmp_path / "c.xlsx")
    pages = ["pdftoppm", "-r", "200", "-gray", tmp_path / "c.pdf", tmp_path / "page"]
    subprocess.run(pages, check=True, capture_output=True, timeout=120)

    read = [zxingcpp.read_barcodes(grey(path)) for path in sorted(tmp_path.glob("page*.pgm"))]
    first, second = read[::2], read[1::2]
    assert [[mark.text for mark in page] for page in first] == [["|".join(card[:3])] for card in report.cards]
    assert [page[0].text.rsplit("|", 2)[0] for page in first] == tags
    assert not any(second)


@pytest.mark.parametrize("mark", ["\t", "\n"])
def test_a_tag_that_a_scanner_would_type_as_keys_is_refused(tmp_path, plan, joint, mark):
    issued = issue(
        changed(plan(joint("A"), joint("B")), 0, joint=f"E{mark}1"), "list", tmp_path, WantedParts(("cards",))
    )

    assert issued.refused == [
        (f"E{mark}1", "final make-up", "the tag has a tab or a line break, which a scanner would type as a key")
    ]
