"""Hands the registry to xlwings: the module that Excel's Python process imports.

Every function of the registry becomes a function of this module. Arguments come raw, as Excel delivers them, because
xlwings' own converters turn error cells into blanks; what comes back is a number, a text or rows of them. Off Windows
xlwings leaves the functions as they are.
"""

import inspect
from collections.abc import Callable
from typing import Any

import xlwings as xw

from addin.functions.gate import REQUIRED, Function, answer
from addin.functions.registry import FUNCTIONS

CATEGORY = "tautsheet"


def wrapped(function: Function) -> Callable[..., Any]:
    """A function of the registry as xlwings takes it: a signature without annotations, and help for the wizard."""

    def call(*values: Any) -> Any:
        return answer(function, values)

    call.__name__ = call.__qualname__ = function.name
    call.__doc__ = function.help
    call.__annotations__ = {}  # xlwings would take them for converters
    call.__signature__ = inspect.Signature(  # type: ignore[attr-defined]  # what inspect reads before anything else
        [
            inspect.Parameter(
                arg.name,
                inspect.Parameter.POSITIONAL_OR_KEYWORD,
                default=inspect.Parameter.empty if arg.default is REQUIRED else None,
            )
            for arg in function.args
        ]
    )
    known: Callable[..., Any] = call
    for arg in function.args:
        known = xw.arg(arg.name, "raw", doc=arg.help)(known)
    return xw.func(category=CATEGORY)(known)  # last: the others set the category back


globals().update({function.name: wrapped(function) for function in FUNCTIONS})
