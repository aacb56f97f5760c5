"""An office in which tests open and save documents as a person does, with the extension in it.

With TAUTSHEET_WINDOWS in the environment documents get windows, which Debian's libreoffice-calc-nogui cannot open.
"""

import contextlib
import json
import os
import subprocess
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import addin.hosts.libreoffice as ours
from addin.hosts.libreoffice import places
from addin.hosts.libreoffice.extension import write_extension

DRIVER = Path(ours.__file__).with_name("inside") / "driver.py"
SCRIPT = Path(__file__).with_name("ordinary_office.py")
Run = Callable[..., list[Any]]


@contextlib.contextmanager
def ordinary(folder: Path, change: Callable[[dict[str, Any]], None] = lambda settings: None) -> Iterator[Run]:
    """An office with the extension, whose settings may be changed; goes through steps and gives what they gave."""
    found = places.find()
    write_extension(folder / "made.oxt")
    with zipfile.ZipFile(folder / "made.oxt") as made, zipfile.ZipFile(folder / "tautsheet.oxt", "w") as archive:
        for name in made.namelist():
            content = made.read(name)
            if name == "settings.json":
                settings = json.loads(content)
                change(settings)
                content = json.dumps(settings).encode()
            archive.writestr(name, content)
    process = subprocess.Popen(
        [found.python, SCRIPT, DRIVER, found.soffice, folder / "profile", folder / "tautsheet.oxt"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert process.stdin
    assert process.stdout

    def steps(*wanted: list[Any]) -> list[Any]:
        assert process.stdin
        assert process.stdout
        for step in wanted:
            if step[0] == "open" and not os.environ.get("TAUTSHEET_WINDOWS"):
                step[3]["Hidden"] = True
        process.stdin.write(json.dumps(wanted) + "\n")
        process.stdin.flush()
        answers = json.loads(process.stdout.readline() or '"LibreOffice has ended"')
        assert not isinstance(answers, str), answers
        return list(answers)

    try:
        yield steps
    finally:
        process.stdin.close()
        process.wait(60)
