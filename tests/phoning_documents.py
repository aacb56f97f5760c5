"""Documents that fetch something when they are opened, calculated or printed, each in a way of its own."""

import io
import zipfile
from collections.abc import Callable
from pathlib import Path

import xlsxwriter

_PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d49484452000000010000000108060000001f15c4890000000d49444154789c6360000002000001e221bc33"
    "0000000049454e44ae426082"
)
_ODS = "application/vnd.oasis.opendocument.spreadsheet"
_SPACES = " ".join(
    f'xmlns:{short}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
    for short, name in (
        ("office", "office"), ("table", "table"), ("text", "text"), ("draw", "drawing"), ("style", "style"),
        ("svg", "svg-compatible"), ("fo", "xsl-fo-compatible"), ("presentation", "presentation"), ("form", "form"),
    )
) + ' xmlns:xlink="http://www.w3.org/1999/xlink" xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2"'  # fmt: skip


def _changed(content: bytes, changes: dict[str, Callable[[str], str]], new: dict[str, str] | None = None) -> bytes:
    result = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as source, zipfile.ZipFile(result, "w", zipfile.ZIP_DEFLATED) as target:
        for name in source.namelist():
            part = source.read(name)
            if name in changes:
                part = changes[name](part.decode("utf-8")).encode("utf-8")
            target.writestr(name, part)
        for name, text in (new or {}).items():
            target.writestr(name, text)
    return result.getvalue()


def _workbook(formula: str = "=1+1", *, picture: bool = False) -> bytes:
    result = io.BytesIO()
    book = xlsxwriter.Workbook(result)
    sheet = book.add_worksheet("Sheet1")
    sheet.write("A1", 1)
    sheet.write_formula("A2", formula)
    sheet.write("B1", "text")
    if picture:
        sheet.insert_image("C3", "dot.png", {"image_data": io.BytesIO(_PNG), "x_scale": 40, "y_scale": 40})
    book.close()
    return result.getvalue()


def linked_picture(url: str) -> bytes:
    """A picture of a drawing that is not in the file."""
    return _changed(
        _workbook(picture=True),
        {
            "xl/drawings/drawing1.xml": lambda text: text.replace("r:embed=", "r:link="),
            "xl/drawings/_rels/drawing1.xml.rels": lambda text: text.replace(
                'Target="../media/image1.png"', f'Target="{url}" TargetMode="External"'
            ),
        },
    )


def picture_fill(url: str) -> bytes:
    """A shape that is filled with a picture from elsewhere."""
    fill = '<a:blipFill xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><a:blip r:link='
    return _changed(
        linked_picture(url),
        {
            "xl/drawings/drawing1.xml": lambda text: text.replace(
                "<a:prstGeom", f'{fill}"rId1"/><a:stretch><a:fillRect/></a:stretch></a:blipFill><a:prstGeom', 1
            )
        },
    )


def other_workbook(url: str) -> bytes:
    """A formula that reads another workbook."""
    kind = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    return _changed(
        _workbook("=[1]Sheet1!A1"),
        {
            "[Content_Types].xml": lambda text: text.replace(
                "</Types>",
                '<Override PartName="/xl/externalLinks/externalLink1.xml" ContentType="application/vnd.'
                'openxmlformats-officedocument.spreadsheetml.externalLink+xml"/></Types>',
            ),
            "xl/_rels/workbook.xml.rels": lambda text: text.replace(
                "</Relationships>",
                f'<Relationship Id="rId77" Type="{kind}/externalLink" Target="externalLinks/externalLink1.xml"/>'
                "</Relationships>",
            ),
            "xl/workbook.xml": lambda text: text.replace(
                "</sheets>",
                f'</sheets><externalReferences><externalReference xmlns:r="{kind}" r:id="rId77"/></externalReferences>',
            ),
        },
        {
            "xl/externalLinks/externalLink1.xml": f'<externalLink xmlns="{main}"><externalBook xmlns:r="{kind}" '
            'r:id="rId1"><sheetNames><sheetName val="Sheet1"/></sheetNames></externalBook></externalLink>',
            "xl/externalLinks/_rels/externalLink1.xml.rels": '<Relationships xmlns="http://schemas.openxmlformats.org/'
            f'package/2006/relationships"><Relationship Id="rId1" Type="{kind}/externalLinkPath" Target="{url}.xlsx" '
            'TargetMode="External"/></Relationships>',
        },
    )


def web_service(url: str) -> bytes:
    """A formula that asks a server."""
    return _workbook(f'=_xlfn.WEBSERVICE("{url}")')


def sheet_by_indirect(url: str) -> bytes:
    """A formula that makes up a reference to another workbook."""
    return _workbook(f"=INDIRECT(\"'{url}.xlsx'#$Sheet1.A1\")")


def web_query(url: str) -> bytes:
    """A table that is fetched on opening."""
    kind = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    types = "application/vnd.openxmlformats-officedocument.spreadsheetml."
    return _changed(
        _workbook(),
        {
            "[Content_Types].xml": lambda text: text.replace(
                "</Types>",
                f'<Override PartName="/xl/connections.xml" ContentType="{types}connections+xml"/><Override PartName='
                f'"/xl/queryTables/queryTable1.xml" ContentType="{types}queryTable+xml"/></Types>',
            ),
            "xl/_rels/workbook.xml.rels": lambda text: text.replace(
                "</Relationships>",
                f'<Relationship Id="rId78" Type="{kind}/connections" Target="connections.xml"/></Relationships>',
            ),
        },
        {
            "xl/connections.xml": f'<connections xmlns="{main}"><connection id="1" name="q" type="4" refreshedVersion='
            f'"4" background="0" refreshOnLoad="1" saveData="1"><webPr sourceData="1" parsePre="1" consecutive="1" '
            f'xl2000="1" url="{url}.htm" htmlTables="1"/></connection></connections>',
            "xl/queryTables/queryTable1.xml": f'<queryTable xmlns="{main}" name="q" refreshOnLoad="1" connectionId="1" '
            'autoFormatId="16" applyNumberFormats="0"/>',
            "xl/worksheets/_rels/sheet1.xml.rels": '<Relationships xmlns="http://schemas.openxmlformats.org/package/'
            f'2006/relationships"><Relationship Id="rId1" Type="{kind}/queryTable" Target="../queryTables/'
            'queryTable1.xml"/></Relationships>',
        },
    )


def _ods(body: str, styles: str = "", automatic: str = "") -> bytes:
    result = io.BytesIO()
    with zipfile.ZipFile(result, "w") as archive:
        archive.writestr("mimetype", _ODS)
        entries = "".join(
            f'<manifest:file-entry manifest:full-path="{name}" manifest:media-type="{kind}"/>'
            for name, kind in (("/", _ODS), ("content.xml", "text/xml"), ("styles.xml", "text/xml"))
        )
        archive.writestr(
            "META-INF/manifest.xml",
            '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
            f"{entries}</manifest:manifest>",
        )
        archive.writestr(
            "content.xml",
            f'<office:document-content {_SPACES} office:version="1.2"><office:automatic-styles>{automatic}'
            f"</office:automatic-styles><office:body><office:spreadsheet>{body}</office:spreadsheet></office:body>"
            "</office:document-content>",
        )
        archive.writestr(
            "styles.xml", f'<office:document-styles {_SPACES} office:version="1.2">{styles}</office:document-styles>'
        )
    return result.getvalue()


def _table(cell: str = "", before: str = "") -> str:
    return f'<table:table table:name="S">{before}<table:table-row>{cell}</table:table-row></table:table>'


_ONE = '<table:table-cell office:value-type="float" office:value="1"><text:p>1</text:p></table:table-cell>'


def ods_picture(url: str) -> bytes:
    """A picture that is not in the file, on the page of cells."""
    shape = (
        '<table:shapes><draw:frame svg:x="1cm" svg:y="1cm" svg:width="2cm" svg:height="2cm"><draw:image '
        f'xlink:href="{url}" xlink:type="simple" xlink:show="embed" xlink:actuate="onLoad"/></draw:frame>'
        "</table:shapes>"
    )
    return _ods(_table(_ONE, shape))


def ods_linked_sheet(url: str) -> bytes:
    """A sheet that is another workbook's."""
    return _ods(
        _table(_ONE, f'<table:table-source xlink:href="{url}.ods" xlink:type="simple" table:table-name="S"/>')
        + _table(_ONE).replace('"S"', '"T"')
    )


def ods_linked_area(url: str) -> bytes:
    """An area that is fetched from another workbook, every few seconds."""
    source = (
        f'<table:cell-range-source table:name="S" xlink:href="{url}.ods" xlink:type="simple" table:filter-name='
        '"calc8" table:last-column-spanned="1" table:last-row-spanned="1" table:refresh-delay="PT00H00M01S"/>'
    )
    return _ods(_table(f'<table:table-cell office:value-type="float" office:value="1">{source}</table:table-cell>'))


def ods_formula(url: str) -> bytes:
    """Formulas that read another workbook and ask a server."""
    cells = "".join(
        f'<table:table-cell table:formula="{formula}" office:value-type="float" office:value="1"/>'
        for formula in (f"of:=['{url}.ods'#$S.A1]", f"of:=COM.MICROSOFT.WEBSERVICE(&quot;{url}&quot;)")
    )
    return _ods(_table(cells))


def ods_background(url: str) -> bytes:
    """A page with a picture behind it."""
    styles = (
        '<office:automatic-styles><style:page-layout style:name="p"><style:page-layout-properties>'
        f'<style:background-image xlink:href="{url}" xlink:type="simple" xlink:actuate="onLoad"/>'
        "</style:page-layout-properties></style:page-layout></office:automatic-styles><office:master-styles>"
        '<style:master-page style:name="Default" style:page-layout-name="p"/></office:master-styles>'
    )
    return _ods(_table(_ONE), styles)


def ods_object(url: str) -> bytes:
    """A frame with a document, and a plug-in, from elsewhere."""
    shape = (
        '<table:shapes><draw:frame svg:x="1cm" svg:y="1cm" svg:width="2cm" svg:height="2cm"><draw:object '
        f'xlink:href="{url}.odt" xlink:type="simple" xlink:show="embed" xlink:actuate="onLoad"/></draw:frame>'
        '<draw:frame svg:x="4cm" svg:y="1cm" svg:width="2cm" svg:height="2cm"><draw:floating-frame '
        f'xlink:href="{url}.htm" xlink:type="simple"/></draw:frame>'
        '<draw:frame svg:x="8cm" svg:y="1cm" svg:width="2cm" svg:height="2cm"><draw:plugin '
        f'xlink:href="{url}.mp4" draw:mime-type="application/vnd.sun.star.media" xlink:type="simple"/></draw:frame>'
        "</table:shapes>"
    )
    return _ods(_table(_ONE, shape))


XLSX = (linked_picture, picture_fill, other_workbook, web_service, sheet_by_indirect, web_query)
ODS = (ods_picture, ods_linked_sheet, ods_linked_area, ods_formula, ods_background, ods_object)


def write_all(folder: Path, address: str) -> dict[str, Path]:
    """Every document, asking `address` under its own name; the paths by name."""
    paths = {}
    for make, ending in [*((make, "xlsx") for make in XLSX), *((make, "ods") for make in ODS)]:
        path = folder / f"{make.__name__}.{ending}"
        path.write_bytes(make(f"{address}/{make.__name__}"))
        paths[make.__name__] = path
    return paths
