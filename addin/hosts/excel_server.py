"""The process that Excel starts: answers worksheet functions until Excel closes. Runs on Windows only.

Run as `python -P -B -m addin.hosts.excel_server NUMBER`, the number being that of the session, in braces.
"""

import re
import sys

_SESSION = re.compile(r"\{[0-9A-Fa-f]{8}(-[0-9A-Fa-f]{4}){3}-[0-9A-Fa-f]{12}\}")


def main(arguments: list[str]) -> None:
    """Serve the session that is named."""
    if len(arguments) != 1 or not _SESSION.fullmatch(arguments[0]):
        sys.exit("addin.hosts.excel_server is started by Excel, with the number of its session")
    from xlwings.com_server import serve  # there on Windows only

    serve(arguments[0])


if __name__ == "__main__":
    main(sys.argv[1:])
