"""A profile of LibreOffice in which a document can fetch nothing and run nothing.

A workbook from elsewhere may name pictures, tables and other workbooks on some server, which learns of every opening,
or hold macros. Two locks, each of which would do for what was tried: LibreOffice is told not to follow links of
documents and not to update them, and every way out goes to a port of this computer at which nobody answers.
"""

from pathlib import Path

NOWHERE, PORT = "127.0.0.1", 9
"""Where every request goes; port 9 is the one kept for throwing things away."""

_OFFICE, _INET = "/org.openoffice.Office.", "/org.openoffice.Inet/Settings"
_CHOSEN: tuple[tuple[str, str, str], ...] = (
    (f"{_OFFICE}Common/Security/Scripting", "BlockUntrustedRefererLinks", "true"),
    (f"{_OFFICE}Common/Security/Scripting", "DisableMacrosExecution", "true"),
    (f"{_OFFICE}Common/Security/Scripting", "MacroSecurityLevel", "3"),
    (f"{_OFFICE}Calc/Content/Update", "Link", "1"),
    (f"{_OFFICE}Writer/Content/Update", "Link", "0"),
    (f"{_OFFICE}Common/Misc", "CrashReport", "false"),
    (_INET, "ooInetProxyType", "2"),
    (_INET, "ooInetNoProxy", ""),
    *((_INET, f"ooInet{kind}ProxyName", NOWHERE) for kind in ("HTTP", "HTTPS", "FTP")),
    *((_INET, f"ooInet{kind}ProxyPort", str(PORT)) for kind in ("HTTP", "HTTPS", "FTP")),
)
_ITEM = '<item oor:path="{path}"><prop oor:name="{name}" oor:op="fuse"><value>{value}</value></prop></item>'


def seclude(profile: Path) -> None:
    """Write the settings into a profile that no office has started yet."""
    items = "\n".join(_ITEM.format(path=path, name=name, value=value) for path, name, value in _CHOSEN)
    folder = profile / "user"
    folder.mkdir(parents=True)
    (folder / "registrymodifications.xcu").write_text(
        '<?xml version="1.0" encoding="UTF-8"?>\n<oor:items xmlns:oor="http://openoffice.org/2001/registry" '
        'xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">\n'
        f"{items}\n</oor:items>\n",
        encoding="utf-8",
    )


def environment(given: dict[str, str]) -> dict[str, str]:
    """The environment of a secluded office process: libraries that ask it for a way out get the same answer."""
    ways = {f"{kind}_proxy": f"http://{NOWHERE}:{PORT}" for kind in ("http", "https", "ftp", "all")}
    kept = {key: value for key, value in given.items() if key.lower() not in {*ways, "no_proxy"}}
    return kept | ways
