"""Answers worksheet functions to LibreOffice: a line of JSON in, `[name, arguments]`, a line out, rows of cells.

Run as `python -P -m addin.hosts.libreoffice.worker`.
"""

import json
import os
import sys
from typing import Any, BinaryIO

from addin.functions.gate import answer
from addin.functions.registry import BY_NAME


def reply(line: bytes) -> bytes:
    """The answer to one line, always one line of ASCII.

    >>> reply(b'["unit_convert", [1.0, "kN", "N"]]')
    b'[[1000.0]]\\n'
    """
    name, values = json.loads(line)
    shown = answer(BY_NAME[name], values) if name in BY_NAME else f"STOP: {name} is not a function of this tautsheet"
    rows = shown if isinstance(shown, list) else [[shown]]
    return json.dumps(rows, allow_nan=False).encode("ascii") + b"\n"


def serve(requests: BinaryIO, replies: BinaryIO) -> None:
    """Answer until the other side closes."""
    for line in requests:
        replies.write(reply(line))
        replies.flush()


def main() -> None:
    """Serve on the standard streams; what anything else prints goes to standard error."""
    replies: Any = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    serve(sys.stdin.buffer, replies)


if __name__ == "__main__":
    main()
