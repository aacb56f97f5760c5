"""Rich workbooks written in the look of the list, again and again: what is not ours stays the same to the byte."""

import zipfile
from pathlib import Path

from addin.workbooks.sheet_look import Beside
from addin.workbooks.writeback import write_columns


def unpack(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_every_part_that_is_not_ours_stays_to_the_byte_three_times(rich: list[Path], results: list) -> None:
    for source in rich:
        before = unpack(source)
        path = source
        written = []
        for number in (1, 2, 3):
            target = source.with_name(f"{source.stem}-{number}{source.suffix}")
            beside = Beside(7, 1, (1,))
            report = write_columns(path, "Joints", results, target, replace=number > 1, beside=beside)
            after = unpack(target)
            assert list(after) == list(before)
            changed = {name for name in before if after[name] != before[name]}
            formulas = [text for text in report.warnings if text.startswith("formulas that depend on our columns")]
            allowed = {"xl/styles.xml", "xl/workbook.xml"} | {n for n in before if n.startswith("xl/worksheets/sheet")}
            assert changed <= allowed, (source.name, changed - allowed)
            if not formulas:
                assert changed <= {"xl/styles.xml", "xl/worksheets/sheet1.xml"}, source.name
            written.append(after)
            path = target
        assert written[1] == written[2], f"{source.name}: a third time changes nothing"
