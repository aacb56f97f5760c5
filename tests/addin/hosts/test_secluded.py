"""A document that asks a server for something gets nowhere: calculated anew, saved, printed, or as a part of a pack."""

import http.server
import sys
import threading
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from addin.cli import main
from addin.hosts.libreoffice.office import Office
from addin.hosts.libreoffice.secluded import environment
from addin.shipped import folder

sys.path.insert(0, str(Path(__file__).parents[2]))  # pytest, looking for doctests, imports this file by its path
import phoning_documents  # noqa: E402


class Listener:
    """A server of this computer that notes what it is asked for."""

    def __init__(self) -> None:
        self.asked: list[str] = []
        asked = self.asked

        class Handler(http.server.BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                asked.append(f"{self.command} {self.path}")
                self.send_response(404)
                self.end_headers()

            do_HEAD = do_OPTIONS = do_PROPFIND = do_POST = do_GET  # noqa: N815  # names of the library

            def log_message(self, *words: Any) -> None:
                pass

        self.server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.address = f"http://127.0.0.1:{self.server.server_port}"
        threading.Thread(target=self.server.serve_forever, daemon=True).start()


@pytest.fixture
def listener() -> Iterator[Listener]:
    running = Listener()
    yield running
    running.server.shutdown()
    running.server.server_close()


def test_documents_ask_when_they_may(office: Office, listener: Listener, tmp_path: Path, sweeps: bool) -> None:
    """The instrument works: in a profile as LibreOffice makes it, they do. It waits 20 s for the object, in a sweep."""
    paths = phoning_documents.write_all(tmp_path, listener.address)
    names = ("linked_picture", "ods_picture", *["ods_object"] * sweeps)
    with Office(profile=tmp_path / "profile") as open_office:
        for name in names:
            book = open_office.open(paths[name])
            book.print_pdf(tmp_path / f"{name}.pdf")
            book.close()
    for name in names:
        assert any(line.startswith(f"GET /{name}") for line in listener.asked), name


def test_nothing_is_fetched(office: Office, listener: Listener, tmp_path: Path) -> None:
    for name, path in phoning_documents.write_all(tmp_path, listener.address).items():
        book = office.open(path)
        book.recalculate()
        book.print_pdf(tmp_path / f"{name}.pdf")
        for kind in ("ods", "xlsx"):
            book.save(tmp_path / f"{name}-copy.{kind}")
        book.close()
        assert listener.asked == [], name
        assert (tmp_path / f"{name}.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize("name", ["linked_picture", pytest.param("ods_picture", marks=pytest.mark.sweep)])
def test_recalc_fetches_nothing(office: Office, listener: Listener, tmp_path: Path, name: str) -> None:
    path = phoning_documents.write_all(tmp_path, listener.address)[name]
    done = CliRunner().invoke(main, ["recalc", str(path), "--out", str(tmp_path / f"copy{path.suffix}"), "--pdf"])
    assert done.exit_code == 0, done.output
    assert (tmp_path / "copy.pdf").exists()
    assert listener.asked == []


def test_a_pack_fetches_nothing(office: Office, listener: Listener, tmp_path: Path) -> None:
    """A company's template with its logo on a server."""
    template, samples = tmp_path / "kit.xlsx", Path(folder("samples"))
    picture = phoning_documents.linked_picture(f"{listener.address}/logo")
    (tmp_path / "picture.xlsx").write_bytes(picture)
    with (
        zipfile.ZipFile(Path(folder("templates")) / "kit list.xlsx") as plain,
        zipfile.ZipFile(tmp_path / "picture.xlsx") as other,
        zipfile.ZipFile(template, "w") as made,
    ):
        for name in plain.namelist():
            part = plain.read(name)
            if name == "[Content_Types].xml":
                part = part.replace(
                    b"</Types>",
                    b'<Override PartName="/xl/drawings/drawing1.xml" ContentType="application/vnd.openxmlformats-'
                    b'officedocument.drawing+xml"/></Types>',
                )
            if name == "xl/worksheets/sheet1.xml":
                kind = b"http://schemas.openxmlformats.org/officeDocument/2006/relationships"
                drawing = b'<drawing xmlns:r="' + kind + b'" r:id="rId1"/>'
                part = part.replace(b"</worksheet>", drawing + b"</worksheet>")
            made.writestr(name, part)
        for name in (
            "xl/drawings/drawing1.xml",
            "xl/drawings/_rels/drawing1.xml.rels",
            "xl/worksheets/_rels/sheet1.xml.rels",
        ):
            made.writestr(name, other.read(name))
    command = [
        "plan",
        str(samples / "drigrauvex-joints.xlsx"),
        "--wrenches",
        str(samples / "drigrauvex-wrenches.xlsx"),
    ]
    run = CliRunner().invoke
    run(main, [*command, "--out", str(tmp_path / "planned")])
    planned = next((tmp_path / "planned").glob("*-plan.json"))
    done = run(main, ["pack", str(planned), "--out", str(tmp_path / "pack"), "--only", "kit", "--template",
                      f"kit={template}", "--pdf"])  # fmt: skip
    assert done.exit_code in (0, 1), done.output
    assert list((tmp_path / "pack").rglob("*.pdf")), done.output
    with zipfile.ZipFile(next((tmp_path / "pack").rglob("*.xlsx"))) as written:
        assert any(listener.address.encode() in written.read(name) for name in written.namelist()), "the logo is kept"
    assert listener.asked == []


def test_every_way_out_ends_on_this_computer() -> None:
    given = {"PATH": "/bin", "HTTP_PROXY": "http://proxy", "no_proxy": "localhost"}
    assert environment(given) == {
        "PATH": "/bin", "http_proxy": "http://127.0.0.1:9", "https_proxy": "http://127.0.0.1:9",
        "ftp_proxy": "http://127.0.0.1:9", "all_proxy": "http://127.0.0.1:9",
    }  # fmt: skip
