"""Columns of the planner's own that are read as a record: which field each is, and which word means "as planned"."""

import pytest

from addin.records.record_files import their_columns
from addin.workbooks.package import WorkbookError


def test_only_a_word_beside_done_means_as_planned() -> None:
    """A state without a word, or a word beside another field, makes no cell, and no blank one, a joint that is done."""
    found = their_columns({"Status": "done", "Date done": "date: complete", "State": "done: Complete"})

    assert found.as_planned == {"complete"}
    assert found.fields == {"status": "done", "date done": "date", "state": "done"}
    assert their_columns({"Status": "done"}).as_planned == frozenset()
    assert their_columns({"Status": "done:  "}).as_planned == frozenset()


def test_a_field_that_a_record_has_not_is_named() -> None:
    with pytest.raises(WorkbookError, match="column 'Colour': a record has no field 'colour'; it has scan, card, done"):
        their_columns({"Colour": "colour"})
