"""Packages cut, spliced, swapped, too large or of another kind: refused in one line, in little memory."""

import io
import os
import random
import re
import struct
import subprocess
import sys
import zipfile
import zlib
from pathlib import Path
from xml.etree import ElementTree

import openpyxl
import pytest
import xlsxwriter
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from addin.workbooks import package
from addin.workbooks.markup import MAIN
from addin.workbooks.package import MIB, WorkbookError, open_package
from addin.workbooks.sheet_part import scan_sheet
from addin.workbooks.writeback import OutCell, OutColumn, write_columns

DTD = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>'


def refusal(path):
    with pytest.raises(WorkbookError) as caught:
        open_package(path)
    text = str(caught.value)
    assert text.startswith(path.name + ": ")
    assert "\n" not in text
    return text


def zip_of(path, entries):
    """A zip file in which names may repeat and be wrong."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in entries:
            with archive.open(zipfile.ZipInfo(name), "w") as part:
                part.write(content)
    return path


def test_what_the_workbook_says_of_itself(books):
    path = books.folder / "list.xlsx"
    with xlsxwriter.Workbook(path, {"date_1904": True}) as book:
        joints = book.add_worksheet("Joints")
        joints.write(0, 0, "Joint")
        joints.print_area("A1:H40")
        book.add_worksheet("Old list").hide()
        chart = book.add_chart({"type": "line"})
        chart.add_series({"values": "=Joints!$A$1:$A$2"})
        book.add_chartsheet("Curve").set_chart(chart)
        book.set_calc_mode("manual")
    package = open_package(path)
    assert package.sha256 == books.sha256(path)
    assert [(sheet.name, sheet.state, sheet.kind) for sheet in package.sheets] == [
        ("Joints", "visible", "worksheet"),
        ("Old list", "hidden", "worksheet"),
        ("Curve", "visible", "chartsheet"),
    ]
    assert package.date1904
    assert (package.signed, package.shared_revisions, package.macros) == (False, False, False)
    assert package.calculation == "manual"
    assert package.print_areas == {"Joints": "Joints!$A$1:$H$40"}
    assert package.read("xl/workbook.xml") == books.unpack(path)["xl/workbook.xml"]
    assert package.sheet("JOINTS").name == "Joints"
    with pytest.raises(WorkbookError, match="there is no sheet 'Plan'; there are 'Joints', 'Old list', 'Curve'"):
        package.sheet("Plan")
    with pytest.raises(WorkbookError, match=r"sheet 'Curve' is no sheet of cells"):
        scan_sheet(package, "Curve")


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "the file is empty"),
        (b"Joint;Torque\nV-1;600\n", "is a text file"),
        ("Größe;Torque\nV-1;600\n".encode("cp1252"), "is a text file"),
        (b"\x89PNG\r\n\x1a\n\0\0\0", "is not a workbook"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600 + "Workbook".encode("utf-16-le"), "old binary file"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le"), "encrypted"),
        (b"PK\x03\x04" + b"\0" * 100, "cut short or damaged"),
    ],
)
def test_no_workbook_at_all(books, content, words):
    path = books.folder / "list.xlsx"
    path.write_bytes(content)
    assert words in refusal(path)


def test_missing_file_and_folder(books):
    assert "cannot be read" in refusal(books.folder / "none.xlsx")
    assert "it is no plain file" in refusal(books.folder)
    if hasattr(os, "mkfifo"):
        os.mkfifo(books.folder / "pipe.xlsx")
        assert "it is no plain file" in refusal(books.folder / "pipe.xlsx")


@pytest.mark.parametrize(
    "name",
    ["../evil.xml", "/etc/evil.xml", "xl/../../evil.xml", "C:/evil.xml", "xl\\evil.xml", "xl//a.xml", "a\x01.xml"],
)
def test_names_that_lead_out(books, name):
    path = zip_of(books.folder / "list.xlsx", [*books.parts("").items(), (name, b"<a/>")])
    assert "is not allowed" in refusal(path)


@pytest.mark.parametrize("name", ["xl/workbook.xml", "xl/Workbook.xml", "XL/WORKSHEETS/SHEET1.XML"])
def test_parts_that_are_there_twice(books, name):
    with pytest.warns(UserWarning, match="Duplicate") if name == "xl/workbook.xml" else _nothing():
        path = zip_of(books.folder / "list.xlsx", [*books.parts("").items(), (name, b"<a/>")])
    assert "is there twice" in refusal(path)


class _nothing:  # noqa: N801  stands where pytest.warns does
    def __enter__(self):
        return self

    def __exit__(self, *_):
        return None


@pytest.mark.parametrize(
    "part",
    [
        "xl/workbook.xml",
        "xl/worksheets/sheet1.xml",
        "[Content_Types].xml",
        "_rels/.rels",
        "customXml/item1.xml",
        "docs/x.vml",
    ],
)
@pytest.mark.parametrize(
    "content",
    [
        DTD,
        b"\xef\xbb\xbf" + DTD,
        b"  <!-- a --><?x y?>\n" + DTD.partition(b"?>")[2],
        b"\xff\xfe" + DTD.decode().encode("utf-16-le"),
        DTD.decode().encode("utf-16-be"),
    ],
    ids=["plain", "mark", "after a comment", "utf-16", "utf-16 without mark"],
)
def test_a_dtd_in_any_part(books, part, content):
    path = books.pack({**books.parts(""), part: content})
    assert refusal(path) == f"list.xlsx: part {part} has a DTD, which no workbook needs"


@pytest.mark.parametrize(
    "content",
    [
        DTD.decode().encode("utf-32"),
        DTD.decode().encode("cp037"),
        b'<?xml version="1.0" encoding="utf-7"?>+ADwAIQ-DOCTYPE a+AD4-<a/>',
        b"<!--" + b" " * 400_000 + b"-->" + DTD[21:],
        b"no markup",
        b" " * 4097 + DTD[21:],
        b"\n" * 300_000 + DTD[21:],
        b"\xff\xfe" + (" " * 5000 + DTD.decode()[21:]).encode("utf-16-le"),
    ],
    ids=["utf-32", "ebcdic", "utf-7", "long comment", "text", "blanks", "line ends", "blanks in utf-16"],
)
def test_encodings_and_beginnings_in_which_a_dtd_could_hide(books, content):
    assert "part customXml/item1.xml" in refusal(books.pack({**books.parts(""), "customXml/item1.xml": content}))


def test_a_page_of_white_space_is_refused_in_every_part_and_a_little_is_not(books):
    parts = books.parts("")
    for name in ("xl/media/page.bin", "xl/worksheets/sheet1.xml"):
        text = refusal(books.pack({**parts, name: b" " * 4097 + parts["xl/worksheets/sheet1.xml"]}))
        assert text == f"list.xlsx: part {name} begins with more than 4096 blanks or line ends"
    open_package(books.pack({**parts, "customXml/item1.xml": b"\n" * 4096 + b"<a/>"}))


def test_one_part_under_two_sheets(books):
    parts = books.parts("")
    two = parts["xl/workbook.xml"].replace(b"</sheets>", b'<sheet name="Again" sheetId="2" r:id="rId9"/></sheets>')
    links = parts["xl/_rels/workbook.xml.rels"]
    again = re.search(rb"<Relationship [^>]*sheet1[^>]*>", links)[0].replace(b'"rId1"', b'"rId9"')
    both = {**parts, "xl/workbook.xml": two, "xl/_rels/workbook.xml.rels": links.replace(b"</Rel", again + b"</Rel")}
    words = "list.xlsx: sheets 'Joints' and 'Again' are one part (xl/worksheets/sheet1.xml)"
    assert refusal(books.pack(both)) == words
    same = {**both, "xl/workbook.xml": two.replace(b"rId9", b"rId1")}
    assert refusal(books.pack(same)) == words


def test_a_dtd_word_inside_a_part_is_no_dtd(books):
    item = b"<a><!-- <!DOCTYPE html> --><![CDATA[<!DOCTYPE html>]]></a>"
    parts = {**books.parts(""), "customXml/item1.xml": item, "xl/media/page.bin": b"x<!DOCTYPE html>"}
    parts["customXml/item2.xml"] = b"\xff\xfe" + '<?xml version="1.0" encoding="utf-16"?><a/>'.encode("utf-16-le")
    assert "customXml/item1.xml" in open_package(books.pack(parts)).parts


@pytest.mark.parametrize("part", ["xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/worksheets/sheet1.xml"])
def test_only_utf_8_in_the_parts_that_are_read(books, part):
    parts = books.parts("")
    parts[part] = parts[part].replace(b'encoding="UTF-8"', b'encoding="ISO-8859-1"')
    with pytest.raises(WorkbookError, match="only UTF-8 is read here"):
        scan_sheet(open_package(books.pack(parts)), "Joints")


@pytest.mark.parametrize(
    ("part", "words"),
    [
        ("[Content_Types].xml", r"part \[Content_Types\].xml is missing"),
        ("_rels/.rels", "part _rels/.rels is missing"),
        ("xl/workbook.xml", "part xl/workbook.xml is missing"),
        ("xl/_rels/workbook.xml.rels", "part xl/_rels/workbook.xml.rels is missing"),
        ("xl/worksheets/sheet1.xml", "sheet 'Joints': its part is missing"),
        ("xl/styles.xml", "part xl/styles.xml is missing"),
    ],
)
def test_missing_parts(books, part, words):
    parts = books.parts("")
    del parts[part]
    path = books.pack(parts)
    with pytest.raises(WorkbookError, match=words):
        open_package(path)


def test_other_packages(books):
    parts = books.parts("")
    types = parts["[Content_Types].xml"]
    kinds = {
        types.replace(b"spreadsheetml.sheet.main", b"wordprocessingml.document.main"): "is no workbook",
        types.replace(
            b"vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml",
            b"vnd.ms-excel.sheet.binary.macroEnabled.main",
        ): "binary workbook",
    }
    for content, words in kinds.items():
        assert words in refusal(books.pack({**parts, "[Content_Types].xml": content}))
    assert "OpenDocument" in refusal(books.pack({"mimetype": b"x", "content.xml": b"<a/>"}))
    strict = parts["_rels/.rels"].replace(
        b"http://schemas.openxmlformats.org/officeDocument/2006", b"http://purl.oclc.org/ooxml/officeDocument"
    )
    assert "Strict Open XML" in refusal(books.pack({**parts, "_rels/.rels": strict}))
    renamed = parts["xl/workbook.xml"].replace(b"/spreadsheetml/2006/main", b"/spreadsheetml/2099/main")
    assert "spreadsheetml" in refusal(books.pack({**parts, "xl/workbook.xml": renamed}))
    twice = parts["xl/workbook.xml"].replace(b"</sheets>", b'<sheet name="JOINTS" sheetId="2" r:id="rId1"/></sheets>')
    assert "two sheets called 'JOINTS'" in refusal(books.pack({**parts, "xl/workbook.xml": twice}))


def test_encrypted_and_oddly_packed_parts(books):
    raw = books.plain("").read_bytes()
    first, central = raw.index(b"PK\x03\x04"), raw.index(b"PK\x01\x02")
    for offset, value, words in ((6, 1, "is encrypted"), (8, 12, "no workbook uses"), (8, 99, "no workbook uses")):
        odd = bytearray(raw)
        struct.pack_into("<H", odd, first + offset, value)
        struct.pack_into("<H", odd, central + offset + 2, value)
        path = books.folder / "odd.xlsx"
        path.write_bytes(odd)
        assert words in refusal(path)


def test_sizes_are_counted_and_not_believed(books):
    """A directory that declares less, or more, than a part unpacks to."""
    raw = books.plain("<row/>" * 2000).read_bytes()
    for declared in (10, 100 * MIB):
        lying = bytearray(raw)
        place = raw.rindex(b"PK\x01\x02", 0, raw.rindex(b"xl/worksheets/sheet1.xml"))
        struct.pack_into("<L", lying, place + 24, declared)
        path = books.folder / "lying.xlsx"
        path.write_bytes(lying)
        assert "sheet1.xml" in refusal(path)


def test_too_much_unpacked(books, monkeypatch, sweeps):
    """A tenth of what is too much is tried, but for a sweep."""
    assert package.UNPACKED_LIMIT == 512 * MIB
    parts = 25 if sweeps else 3
    monkeypatch.setattr(package, "UNPACKED_LIMIT", 512 * MIB if sweeps else 48 * MIB)
    noise = random.Random(1).randbytes(MIB)
    with zipfile.ZipFile(books.folder / "big.xlsx", "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for name, content in books.parts("").items():
            archive.writestr(name, content)
        for number in range(parts):
            archive.writestr(f"xl/media/{number}.bin", noise + b"\0" * 20 * MIB)
    most = package.UNPACKED_LIMIT // MIB
    said = f"big.xlsx: unpacks to more than {most} MiB (at part xl/media/{parts - 1}.bin)"
    assert refusal(books.folder / "big.xlsx") == said


def test_too_high_a_ratio(books):
    bomb = b"<a>" + b" " * 30 * MIB + b"</a>"
    path = books.pack({**books.parts(""), "xl/sharedStrings.xml": bomb})
    assert "xl/sharedStrings.xml unpacks to more than 200 times its packed size" in refusal(path)


def test_too_much_in_the_parts_that_readers_keep(books):
    words = b"".join(b"<si><t>%d</t></si>" % number for number in range(10**8, 10**8 + 29_000)) * 100
    parts = books.parts("")
    parts["xl/_rels/workbook.xml.rels"] = parts["xl/_rels/workbook.xml.rels"].replace(
        b"</Relationships>",
        b'<Relationship Id="rId9" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings"'
        b' Target="strings.xml"/></Relationships>',
    )
    parts["xl/strings.xml"] = b"<sst>" + words + b"</sst>"
    path = books.folder / "list.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    text = refusal(path)
    assert text.startswith("list.xlsx: shared strings, styles and workbook unpack to ")
    assert text.endswith("MiB together, the limit is 64 MiB")
    parts["xl/strings.xml"] = b"<sst/>"
    some = words[: 9 * MIB]
    parts["xl/workbook.xml"] = parts["xl/workbook.xml"].replace(b"<sheets>", b"<!--" + some + b"--><sheets>")
    assert "part xl/workbook.xml unpacks to more than 8 MiB" in refusal(books.pack(parts))


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="needs Linux to ask for the peak of memory")
def test_a_bomb_costs_little_memory(books):
    """0.2 MB that unpack to 150 MB are refused without being held."""
    path = books.folder / "bomb.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in books.parts("").items():
            archive.writestr(name, content)
        with archive.open("xl/media/image1.bin", "w") as part:
            for _ in range(150):
                part.write(b"\0" * MIB)
    code = (
        "import sys\n"
        "from pathlib import Path\n"
        "from addin.workbooks.package import open_package\n"
        "try:\n    open_package(Path(sys.argv[1]))\n"
        "except Exception as error:\n    print(type(error).__name__)\n"
        "print(next(line.split()[1] for line in open('/proc/self/status') if line.startswith('VmHWM')))\n"
    )
    done = subprocess.run([sys.executable, "-c", code, path], capture_output=True, text=True, check=True)
    name, peak = done.stdout.split()
    assert name == "WorkbookError"
    assert int(peak) < 100 * 1024  # KiB


def test_a_file_that_changes_after_the_gate(books):
    path = books.plain('<row r="1"/>')
    package = open_package(path)
    books.plain('<row r="2"/>')
    with pytest.raises(WorkbookError, match="changed while it was being read"):
        package.read("xl/worksheets/sheet1.xml")
    path.unlink()
    with pytest.raises(WorkbookError, match="changed while it was being read"):
        package.read("xl/workbook.xml")


def test_cuts_and_flipped_bytes_of_a_small_workbook(books, sweeps):
    raw = books.plain('<row r="1"><c r="A1"><v>1</v></c></row>').read_bytes()
    path = books.folder / "cut.xlsx"
    for length in range(0, len(raw), 1 if sweeps else 23):
        path.write_bytes(raw[:length])
        refusal(path)
    generator = random.Random(2)
    for place in range(0, len(raw), 1 if sweeps else 11):
        flipped = bytearray(raw)
        flipped[place] ^= generator.randrange(1, 256)
        path.write_bytes(flipped)
        _use(path)


def _use(path):
    """Everything that is done with a foreign file; only a WorkbookError may come out."""
    target = path.with_name("fuzzed.xlsx")
    target.unlink(missing_ok=True)
    try:
        package = open_package(path)
        scan_sheet(package, package.sheets[0].name)
        write_columns(path, package.sheets[0].name, [OutColumn("G", {2: OutCell(1.5)})], target)
    except WorkbookError as error:
        lines, written = str(error).count("\n"), False
    else:
        lines, written = 0, True
    assert lines == 0
    assert target.exists() == written
    assert not list(path.parent.glob(".tautsheet-*"))
    if written:
        package = open_package(target)
        sheet = ElementTree.fromstring(package.read(package.sheets[0].part))
        assert [cell[0].text for cell in sheet.iter(f"{{{MAIN}}}c") if cell.get("r") == "G2"] == ["1.5"]


FUZZ = settings(
    max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)


@FUZZ
@given(
    content=st.binary(max_size=600), start=st.sampled_from([b"", b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"])
)
def test_random_bytes(books, content, start):
    path = books.folder / "random.xlsx"
    path.write_bytes(start + content)
    _use(path)


@FUZZ
@given(data=st.data())
def test_spliced_bytes(books, data):
    raw = books.joints().read_bytes()
    start = data.draw(st.integers(0, len(raw)))
    end = data.draw(st.integers(start, min(len(raw), start + 400)))
    path = books.folder / "random.xlsx"
    path.write_bytes(raw[:start] + data.draw(st.binary(max_size=40)) + raw[end:])
    _use(path)


@FUZZ
@given(data=st.data())
def test_swapped_and_broken_parts(books, data):
    parts = books.unpack(books.joints())
    names = sorted(parts)
    for _ in range(data.draw(st.integers(1, 3))):
        one, other = data.draw(st.sampled_from(names)), data.draw(st.sampled_from(names))
        action = data.draw(st.sampled_from(["swap", "drop", "copy", "cut", "splice"]))
        if action == "swap":
            parts[one], parts[other] = parts.get(other, b""), parts.get(one, b"")
        elif action == "drop":
            parts.pop(one, None)
        elif action == "copy":
            parts[one] = parts.get(other, b"")
        else:
            content = parts.get(one, b"")
            place = data.draw(st.integers(0, len(content)))
            more = b"" if action == "cut" else data.draw(st.sampled_from(_PIECES)) + content[place:]
            parts[one] = content[:place] + more
    _use(books.pack(parts))


_PIECES = [
    b"<",
    b">",
    b"&",
    b"&a;",
    b'"',
    b"<!--",
    b"-->",
    b"<![CDATA[",
    b"]]>",
    b"<?x ?>",
    b"</c>",
    b"<c/>",
    b"<row/>",
]
_PIECES += [
    b"<row>",
    b"</row>",
    b'<c r="Z9"/>',
    b'<c r="A1" t="e"><v>#N/A</v></c>',
    b"<f/>",
    b"\0",
    b"\xff",
    b' r="1" ',
]


@FUZZ
@given(
    rows=st.lists(
        st.sampled_from(
            [
                "<row>",
                '<row r="3">',
                '<row r="99999999">',
                "</row>",
                "<row/>",
                "<c/>",
                '<c r="B3"/>',
                "<c>",
                "</c>",
                "<v>1</v>",
            ]
            + [
                '<c r="AAAA1"/>',
                '<c t="e"/>',
                "<f>A1</f>",
                '<f t="array" ref="A1:B2"/>',
                "<v/>",
                "<!-- <c> -->",
                "&lt;",
                " ",
            ]
            + ['<c r="ZZZ3"><v>', "<![CDATA[<c/>]]>", '<x xmlns="urn:a"/>', "<is><t>a</t></is>", '<row r="x"/>']
        ),
        max_size=8,
    )
)
def test_random_rows(books, rows):
    _use(books.plain("".join(rows)))


def test_a_zip_made_by_streaming_is_read(books):
    """Sizes behind the data, as writers do that cannot go back."""

    class Stream(io.RawIOBase):
        def __init__(self):
            self.data = b""

        def writable(self):
            return True

        def write(self, data):
            self.data += bytes(data)
            return len(data)

    stream = Stream()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in books.parts('<row r="1"/>').items():
            archive.writestr(name, content)
    path = books.folder / "streamed.xlsx"
    path.write_bytes(stream.data)
    target = books.folder / "planned.xlsx"
    write_columns(path, "Joints", [OutColumn("B", {1: OutCell("x")})], target)
    assert openpyxl.load_workbook(target)["Joints"]["B1"].value == "x"
    assert zlib.crc32(books.unpack(target)["xl/workbook.xml"]) == zlib.crc32(books.unpack(path)["xl/workbook.xml"])
