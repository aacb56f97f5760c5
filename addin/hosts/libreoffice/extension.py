"""The extension as one file (.oxt): texts written from the registry, and the component."""

import json
import sys
import zipfile
from collections.abc import Iterable
from pathlib import Path
from typing import BinaryIO
from xml.sax.saxutils import escape, quoteattr

from addin.functions.gate import REQUIRED, Arg, Function
from addin.functions.registry import FUNCTIONS
from addin.hosts.libreoffice.names import (
    COMMANDS,
    DOCUMENTS,
    IDENTIFIER,
    INTERFACE,
    MENU,
    MODULE,
    PROTOCOL,
    SERVICE,
    method,
    parameters,
)
from addin.shipped import program

WORKER = ("-P", "-m", "addin.hosts.libreoffice.worker")
LIMIT, LONG_LIMIT = 60, 600
"""Seconds after which a call is given up; the second for what calculates whole joints."""
_LONG = (
    "interaction_table",
    "one_pass_settings",
    "fewest_moves",
    "residual_preload",
    "pass_progress",
    "joint_plan",
    "working",
)
_EVENTS = ("OnLoadFinished", "OnSaveDone", "OnSaveAsDone", "OnCopyTo", "OnCopyToDone", "OnUnload")
"""What happens to a document and the component wants to hear of."""

_MANIFEST = """<?xml version="1.0" encoding="UTF-8"?>
<manifest:manifest xmlns:manifest="http://openoffice.org/2001/manifest">
 <manifest:file-entry manifest:full-path="functions.idl"
  manifest:media-type="application/vnd.sun.star.uno-typelibrary;type=RDB"/>
 <manifest:file-entry manifest:full-path="functions.components"
  manifest:media-type="application/vnd.sun.star.uno-components"/>
 <manifest:file-entry manifest:full-path="CalcAddIns.xcu"
  manifest:media-type="application/vnd.sun.star.configuration-data"/>
 <manifest:file-entry manifest:full-path="Jobs.xcu"
  manifest:media-type="application/vnd.sun.star.configuration-data"/>
 <manifest:file-entry manifest:full-path="ProtocolHandler.xcu"
  manifest:media-type="application/vnd.sun.star.configuration-data"/>
 <manifest:file-entry manifest:full-path="Addons.xcu"
  manifest:media-type="application/vnd.sun.star.configuration-data"/>
</manifest:manifest>
"""
_JOBS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<oor:component-data xmlns:oor="http://openoffice.org/2001/registry" oor:name="Jobs" '
    'oor:package="org.openoffice.Office">\n'
    f'<node oor:name="Jobs"><node oor:name="{DOCUMENTS}" oor:op="replace">'
    f'<prop oor:name="Service"><value>{DOCUMENTS}</value></prop></node></node>\n<node oor:name="Events">\n'
    + "\n".join(
        f'<node oor:name="{event}" oor:op="fuse"><node oor:name="JobList">'
        f'<node oor:name="{DOCUMENTS}" oor:op="replace"/></node></node>'
        for event in _EVENTS
    )
    + "\n</node>\n</oor:component-data>\n"
)
_PROTOCOL = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<oor:component-data xmlns:oor="http://openoffice.org/2001/registry" oor:name="ProtocolHandler" '
    'oor:package="org.openoffice.Office">\n'
    f'<node oor:name="HandlerSet"><node oor:name="{MENU}" oor:op="replace"><prop oor:name="Protocols" '
    f'oor:type="oor:string-list"><value>{PROTOCOL}*</value></prop></node></node>\n</oor:component-data>\n'
)
_ADDONS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<oor:component-data xmlns:oor="http://openoffice.org/2001/registry" oor:name="Addons" '
    'oor:package="org.openoffice.Office">\n<node oor:name="AddonUI"><node oor:name="OfficeMenuBar">'
    f'<node oor:name="{IDENTIFIER}" oor:op="replace">'
    '<prop oor:name="Context" oor:type="xs:string"><value>com.sun.star.sheet.SpreadsheetDocument</value></prop>'
    '<prop oor:name="Title" oor:type="xs:string"><value xml:lang="en-US">Tautsheet</value></prop>'
    '<node oor:name="Submenu">'
    + "".join(
        f'<node oor:name="m{at}" oor:op="replace"><prop oor:name="URL" oor:type="xs:string"><value>{PROTOCOL}{command}'
        '</value></prop><prop oor:name="Target" oor:type="xs:string"><value>_self</value></prop>'
        f'<prop oor:name="Title" oor:type="xs:string"><value xml:lang="en-US">{title}</value></prop></node>'
        for at, (command, title) in enumerate(COMMANDS.items(), start=1)
    )
    + "</node></node></node></node>\n</oor:component-data>\n"
).replace('xmlns:oor="', 'xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:oor="', 1)
_COMPONENTS = f"""<?xml version="1.0" encoding="UTF-8"?>
<components xmlns="http://openoffice.org/2010/uno-components">
 <component loader="com.sun.star.loader.Python" uri="component.py">
  <implementation name="{SERVICE}">
   <service name="{SERVICE}"/>
   <service name="com.sun.star.sheet.AddIn"/>
  </implementation>
  <implementation name="{DOCUMENTS}">
   <service name="{DOCUMENTS}"/>
   <service name="com.sun.star.task.Job"/>
  </implementation>
  <implementation name="{MENU}">
   <service name="{MENU}"/>
   <service name="com.sun.star.frame.ProtocolHandler"/>
  </implementation>
 </component>
</components>
"""
_DESCRIPTION = """<?xml version="1.0" encoding="UTF-8"?>
<description xmlns="http://openoffice.org/extensions/description/2006"
 xmlns:dep="http://openoffice.org/extensions/description/2006" xmlns:xlink="http://www.w3.org/1999/xlink">
 <identifier value="{identifier}"/>
 <version value="{version}"/>
 <display-name><name lang="en">tautsheet: controlled tightening of bolted joints</name></display-name>
</description>
"""


def parts(python: str | Path = sys.executable, functions: Iterable[Function] = FUNCTIONS) -> dict[str, str]:
    """Every file of the extension by its name.

    `python`: the interpreter that answers, one that has tautsheet installed.
    """
    functions = tuple(functions)
    return {
        "META-INF/manifest.xml": _MANIFEST,
        "description.xml": _DESCRIPTION.format(identifier=IDENTIFIER, version=program().split()[-1]),
        "functions.idl": idl(functions),
        "functions.components": _COMPONENTS,
        "CalcAddIns.xcu": configuration(functions),
        "Jobs.xcu": _JOBS,
        "ProtocolHandler.xcu": _PROTOCOL,
        "Addons.xcu": _ADDONS,
        "settings.json": settings(python, functions),
        "component.py": Path(__file__).with_name("inside").joinpath("component.py").read_text(encoding="utf-8"),
    }


def write_extension(file: BinaryIO | Path, python: str | Path = sys.executable) -> None:
    """Write the extension. The same input gives the same bytes."""
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts(python).items():
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), text.encode("utf-8"))


def idl(functions: Iterable[Function]) -> str:
    """The interface: any argument may be a number, a text or a range, and every result is a table of cells.

    The wizard takes an argument of type `any` for optional. So one that must be given is a table of cells, as which
    Calc hands over a number or a text too.
    """
    lines = [f"module {MODULE} {{", f"interface {INTERFACE} {{"]
    for function in functions:
        arguments = ", ".join(
            f"[in] {'sequence<sequence<any> >' if arg.default is REQUIRED else 'any'} {name}"
            for name, arg in zip(parameters(function), function.args, strict=True)
        )
        lines.append(f"sequence<sequence<any> > {method(function)}({arguments});")
    return "\n".join([*lines, "};", "};", ""])


def configuration(functions: Iterable[Function]) -> str:
    """What the function wizard shows, and the name each function has in Excel's files."""
    nodes = []
    for function in functions:
        arguments = "".join(_argument(name, arg) for name, arg in zip(parameters(function), function.args, strict=True))
        nodes.append(
            f'<node oor:name="{method(function)}" oor:op="replace">'
            + _text("DisplayName", method(function))
            + _text("Description", function.help)
            + '<prop oor:name="Category"><value>Add-In</value></prop>'
            + _text("CompatibilityName", function.name)
            + f'<node oor:name="Parameters">{arguments}</node></node>'
        )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<oor:component-data xmlns:oor="http://openoffice.org/2001/registry" '
        'xmlns:xs="http://www.w3.org/2001/XMLSchema" oor:name="CalcAddIns" oor:package="org.openoffice.Office">\n'
        f'<node oor:name="AddInInfo"><node oor:name="{SERVICE}" oor:op="replace"><node oor:name="AddInFunctions">\n'
        + "\n".join(nodes)
        + "\n</node></node></node>\n</oor:component-data>\n"
    )


def settings(python: str | Path, functions: Iterable[Function]) -> str:
    """What the component needs to know: who answers, and which method is which function."""
    content = {
        "python": str(python),
        "arguments": WORKER,
        "folder": str(Path(python).parent),
        "service": SERVICE,
        "documents": DOCUMENTS,
        "menu": MENU,
        "protocol": PROTOCOL,
        "commands": COMMANDS,
        "interface": f"{MODULE}.{INTERFACE}",
        "limits": {function.name: LONG_LIMIT if function.name in _LONG else LIMIT for function in functions},
        "functions": {method(function): function.name for function in functions},
    }
    return json.dumps(content, indent=1)


def _text(name: str, text: str) -> str:
    return f'<prop oor:name="{name}"><value xml:lang="en">{escape(text)}</value></prop>'


def _argument(name: str, arg: Arg) -> str:
    return (
        f'<node oor:name={quoteattr(name)} oor:op="replace">'
        + _text("DisplayName", arg.name)
        + _text("Description", arg.help)
        + "</node>"
    )
