"""What takes a model of a whole joint is worked out once for each input in a run of the tests, by whichever worker asks
first; for tests of the ways to a function, not of the function.
"""

import contextlib
import hashlib
import os
import pickle
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from addin.functions.gate import Function
from addin.functions.registry import FUNCTIONS
from addin.functions.steps import heard_by_someone

_MODELS = ("calls_interaction", "calls_procedures", "calls_raised", "calls_measured")
_BY_MODULE = {each.name: each.call.__module__.rpartition(".")[2] for each in FUNCTIONS}


def takes_a_model(function: Function) -> bool:
    """Whether it works out what each stud keeps, in seconds and not in thousandths of one."""
    return _BY_MODULE[function.name] in _MODELS


LONGEST = ("rest_from_measured", "one_pass_settings", "compare_procedures")
"""Nine tenths of the time of all of them."""


@contextlib.contextmanager
def once(kept: Path) -> Iterator[None]:
    """The same inputs in, the same result out, from files in `kept`; while somebody listens, every call is run."""
    models = [each for each in FUNCTIONS if takes_a_model(each)]
    calls = [each.call for each in models]
    for function, call in zip(models, calls, strict=True):
        object.__setattr__(function, "call", _once(function.name, call, kept))
    yield
    for function, call in zip(models, calls, strict=True):
        object.__setattr__(function, "call", call)


def _once(name: str, call: Callable[..., Any], kept: Path) -> Callable[..., Any]:
    def answered(**given: Any) -> Any:
        if heard_by_someone():
            return call(**given)
        place = kept / hashlib.sha256(pickle.dumps((name, sorted(given.items())))).hexdigest()
        with contextlib.suppress(FileNotFoundError):
            return pickle.loads(place.read_bytes())
        made = call(**given)
        with tempfile.NamedTemporaryFile(dir=kept, delete=False) as file:
            pickle.dump(made, file)
        os.replace(file.name, place)
        return made

    return answered
