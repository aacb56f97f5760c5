"""Runs inside LibreOffice's own Python, so it uses nothing but the standard library and uno.

Every worksheet function of Calc is a method here. It hands its arguments to a worker, a process of the interpreter that
tautsheet is installed for, as one line of JSON, and shows what comes back. A worker that has died is started again.
"""

import contextlib
import json
import os
import subprocess
import threading

import uno
import unohelper

HERE = os.path.dirname(uno.fileUrlToSystemPath(__file__) if "://" in __file__ else __file__)
with open(os.path.join(HERE, "settings.json"), encoding="utf-8") as _file:
    SETTINGS = json.load(_file)

_CLEAN = ("PYTHONPATH", "PYTHONHOME", "PYTHONSTARTUP", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH", "VIRTUAL_ENV")
"""Variables that LibreOffice sets for its own Python and libraries."""


class Worker:
    """The process that answers; started at the first call and again when it has gone."""

    def __init__(self):
        self.process = None
        self.lock = threading.Lock()

    def ask(self, name, values):
        """Rows of cells for one call; a text that begins with STOP when nobody answers."""
        line = json.dumps([name, values]).encode("ascii") + b"\n"
        with self.lock:
            reason = ""
            for _ in range(2):
                try:
                    if self.process is None or self.process.poll() is not None:
                        self.start()
                    self.process.stdin.write(line)
                    self.process.stdin.flush()
                    reply = self.process.stdout.readline()
                    if reply.endswith(b"\n"):
                        return json.loads(reply.decode("ascii"))
                    reason = "it ended"
                except (OSError, ValueError) as error:
                    reason = str(error)
                self.stop()
        where = SETTINGS["python"]
        return [
            ["STOP: tautsheet's Python, %s, does not answer (%s); run 'tautsheet libreoffice' again" % (where, reason)]
        ]

    def start(self):
        """Start the process, without what LibreOffice has put into the environment for its own Python."""
        environment = {key: value for key, value in os.environ.items() if key not in _CLEAN}
        options = {"creationflags": 0x08000000} if os.name == "nt" else {}  # no console window
        self.process = subprocess.Popen(
            [SETTINGS["python"], *SETTINGS["arguments"]], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL, env=environment, cwd=SETTINGS["folder"], **options
        )  # fmt: skip

    def stop(self):
        """End the process, if there is one."""
        process, self.process = self.process, None
        if process is not None:
            process.kill()
            process.wait()
            process.stdout.close()
            with contextlib.suppress(OSError):  # what it did not take
                process.stdin.close()


WORKER = Worker()


def plain(value):
    """A value of Calc as JSON has it; what has no counterpart is text."""
    if value is None or isinstance(value, (bool, int, float, str)):
        return value
    if isinstance(value, tuple):
        return [plain(part) for part in value]
    return str(value)


def _method(name):
    def call(self, *values):
        rows = WORKER.ask(name, [plain(value) for value in values])
        return tuple(tuple(row) for row in rows)

    return call


_methods = {method: _method(name) for method, name in SETTINGS["functions"].items()}
Functions = type("Functions", (unohelper.Base, uno.getClass(SETTINGS["interface"])), _methods)

g_ImplementationHelper = unohelper.ImplementationHelper()  # noqa: N816  # the loader looks for this name
g_ImplementationHelper.addImplementation(
    lambda context: Functions(), SETTINGS["service"], (SETTINGS["service"], "com.sun.star.sheet.AddIn")
)
