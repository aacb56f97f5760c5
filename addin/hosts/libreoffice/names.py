"""What the worksheet functions are called inside LibreOffice."""

from addin.functions.gate import Function
from addin.functions.registry import FUNCTIONS

IDENTIFIER = "tautsheet.calc"
"""The extension."""
MODULE = "tautsheet"
INTERFACE = "XFunctions"
SERVICE = "tautsheet.Functions"
"""Service and implementation. A formula's full name is this and the method's, in capitals."""

DOCUMENTS = "tautsheet.Documents"
"""The service that looks after documents when they are opened and saved."""

MENU = "tautsheet.Menu"
"""The service behind the menu."""
PROTOCOL = "vnd.tautsheet:"
"""What the addresses of the menu's commands begin with."""
COMMANDS = {
    "plan": "Plan this list",
    "records": "Read records",
    "cards": "Cards of the selected rows",
}
"""What the menu holds: the commands and their titles."""


def method(function: Function) -> str:
    """Name of a function's method, which is also what a formula in Calc shows.

    >>> from addin.functions.registry import BY_NAME
    >>> method(BY_NAME["preload_from_stress"])
    'PRELOAD_FROM_STRESS'
    """
    return function.name.upper()


def full_name(function: Function) -> str:
    """Name of a function in files, where it is sure to be found.

    >>> from addin.functions.registry import BY_NAME
    >>> full_name(BY_NAME["unit_convert"])
    'TAUTSHEET.FUNCTIONS.UNIT_CONVERT'
    """
    return f"{SERVICE}.{method(function)}".upper()


def parameters(function: Function) -> list[str]:
    """Names of a function's arguments as an interface may have them.

    >>> from addin.functions.registry import BY_NAME
    >>> parameters(BY_NAME["torque_from_preload"])
    ['preload', 'thread', 'nutfactor', 'units']
    """
    return [arg.name.replace("_", "") for arg in function.args]


FULL = {function.name: full_name(function) for function in FUNCTIONS}
"""Plain name -> full name of every registered function."""
