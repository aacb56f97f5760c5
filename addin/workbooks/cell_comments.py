"""The comments (notes) that people attach to cells of a sheet, threaded ones too."""

import re

from addin.workbooks.addresses import area
from addin.workbooks.markup import MAIN, Markup, MarkupError
from addin.workbooks.package import Package, Sheet, WorkbookError

LONGEST = 2000
"""Most characters of one comment that are kept."""
_THREADED = re.compile(r"^\[Threaded comment\].*?(?:Comment|Kommentar|Commentaire):\s*", re.DOTALL)


def cell_comments(package: Package, sheet: Sheet) -> dict[tuple[int, int], str]:
    """Row and column, both from 1, to the text of the comment there.

    Raises WorkbookError for a part that cannot be read.
    """
    found: dict[tuple[int, int], str] = {}
    for link in package.relations(sheet.part):
        if link.kind != "comments":
            continue
        try:
            markup = Markup(package.read(link.target), root="comments", namespace=MAIN)
        except MarkupError as error:
            raise WorkbookError(f"{package.path.name}: part {link.target} {error}") from error
        at: tuple[int, int] | None = None
        for tag in markup.tags():
            if tag.name == "comment" and not tag.closing:
                place = area(tag.attributes().get("ref", ""))
                at = (place.top, place.left) if place else None
            elif tag.name == "t" and not tag.closing and not tag.empty and at:
                found[at] = (found.get(at, "") + markup.string(tag.end))[:LONGEST]
    return {at: " ".join(_THREADED.sub("", text).split()) for at, text in found.items()}
