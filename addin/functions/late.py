"""Calculations that are imported when they are first asked for, so that one function does not load them all."""

from collections.abc import Callable
from importlib import import_module
from typing import Any


class Late:
    """A module whose functions can be named before it is imported; a test looks whether each of them is there.

    >>> Late("addin.functions.calls_units").unit_convert.__module__
    'addin.functions.calls_units'
    """

    def __init__(self, module: str) -> None:
        self._module = module

    def __getattr__(self, name: str) -> Callable[..., Any]:
        """The function of that name: its module is imported when it is called."""
        if name.startswith("_"):  # what Python itself looks for
            raise AttributeError(name)
        module = self._module

        def late(*given: Any, **named: Any) -> Any:
            return getattr(import_module(module), name)(*given, **named)

        late.__module__, late.__name__ = module, name
        return late
