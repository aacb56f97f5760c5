"""The component that runs inside LibreOffice, here on stand-ins for uno, with a real worker process."""

import json
import os
import runpy
import signal
import sys
import types
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from worked_out import takes_a_model

from addin.functions.examples import EXAMPLES
from addin.functions.gate import answer
from addin.functions.registry import BY_NAME, FUNCTIONS
from addin.hosts.libreoffice import extension


@pytest.fixture
def component(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[Path | str], dict[str, Any]]:
    """Unpacks the extension for an interpreter, and loads its component as LibreOffice does."""
    uno, unohelper = types.ModuleType("uno"), types.ModuleType("unohelper")
    uno.getClass = lambda name: type(name, (), {})  # type: ignore[attr-defined]
    unohelper.Base = type("Base", (), {})  # type: ignore[attr-defined]
    unohelper.ImplementationHelper = lambda: types.SimpleNamespace(  # type: ignore[attr-defined]
        addImplementation=lambda *_args: None
    )
    task = types.ModuleType("com.sun.star.task")
    task.XJob = type("XJob", (), {})  # type: ignore[attr-defined]
    frame, lang = types.ModuleType("com.sun.star.frame"), types.ModuleType("com.sun.star.lang")
    frame.XDispatch = type("XDispatch", (), {})  # type: ignore[attr-defined]
    frame.XDispatchProvider = type("XDispatchProvider", (), {})  # type: ignore[attr-defined]
    lang.XInitialization = type("XInitialization", (), {})  # type: ignore[attr-defined]
    for name in ("com", "com.sun", "com.sun.star"):
        monkeypatch.setitem(sys.modules, name, types.ModuleType(name))
    for module in (frame, lang):
        monkeypatch.setitem(sys.modules, module.__name__, module)
    monkeypatch.setitem(sys.modules, "com.sun.star.task", task)
    monkeypatch.setitem(sys.modules, "uno", uno)
    monkeypatch.setitem(sys.modules, "unohelper", unohelper)
    loaded: list[dict[str, Any]] = []

    def load(python: Path | str) -> dict[str, Any]:
        for name, text in extension.parts(python).items():
            path = tmp_path / name
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8")
        loaded.append(runpy.run_path(str(tmp_path / "component.py")))
        return loaded[-1]

    yield load
    for module in loaded:
        module["WORKER"].stop()


def test_every_function_has_its_method(component: Callable[..., Any]) -> None:
    functions = component(sys.executable)["Functions"]()
    for function in FUNCTIONS:
        values = [tuple(map(tuple, v)) if isinstance(v, tuple) else v for v in EXAMPLES[function.name]]
        if takes_a_model(function) and function.name != "residual_preload":  # test_calc has the others whole
            values[1] = "STOP: the first cause"
        rows = getattr(functions, function.name.upper())(*values)
        shown = answer(function, values)
        assert rows == (tuple(map(tuple, shown)) if isinstance(shown, list) else ((shown,),))


def test_a_killed_worker_is_started_again(component: Callable[..., Any]) -> None:
    module = component(sys.executable)
    functions, worker = module["Functions"](), module["WORKER"]
    wanted = ((1000.0,),)
    assert functions.UNIT_CONVERT(1.0, "kN", "N") == wanted
    first = worker.process.pid
    os.kill(first, signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM)
    assert functions.UNIT_CONVERT(1.0, "kN", "N") == wanted
    assert worker.process.pid != first


def test_a_worker_that_does_not_answer_is_ended(component: Callable[..., Any], tmp_path: Path) -> None:
    """After its limit, which is said in the cell; the next call finds a new one."""
    silent, note = tmp_path / "silent", tmp_path / "started"
    silent.write_text(f"#!/bin/sh\necho $$ >> '{note}'\nexec sleep 600\n")
    silent.chmod(0o755)
    module = component(silent)
    module["SETTINGS"]["limits"]["unit_convert"] = 0.3
    functions = module["Functions"]()
    shown = functions.UNIT_CONVERT(1.0, "kN", "N")[0][0]
    assert shown.startswith("STOP: tautsheet's Python, ")
    assert "it took longer than 0 s for unit_convert and was ended" in shown
    assert module["WORKER"].process is None
    with pytest.raises(ProcessLookupError):
        os.kill(int(note.read_text().split()[0]), 0)
    functions.UNIT_CONVERT(1.0, "kN", "N")
    assert len(note.read_text().split()) == 2


def test_whole_joints_may_take_longer() -> None:
    limits = json.loads(extension.parts()["settings.json"])["limits"]
    assert limits["unit_convert"] == 60
    assert limits["fewest_moves"] == limits["joint_plan"] == limits["interaction_table"] == 600
    assert set(limits) == set(BY_NAME)


def test_one_cell_is_no_table(component: Callable[..., Any]) -> None:
    module = component(sys.executable)
    assert module["alone"](((1.0,),)) == 1.0
    assert module["alone"](((1.0,), (2.0,))) == ((1.0,), (2.0,))
    assert module["Functions"]().UNIT_CONVERT(((1.0,),), (("kN",),), "N") == ((1000.0,),)


def test_what_names_us_plainly(component: Callable[..., Any]) -> None:
    plain = component(sys.executable)["_PLAIN"]
    for text in ("=unit_convert(1)", "=2*Unit_Convert (1)", "{=tightening_order(8;2)}"):
        assert plain.search(text)
    for text in ("=TAUTSHEET.FUNCTIONS.UNIT_CONVERT(1)", "=my_unit_convert(1)", "=unit_converts(1)", "=A1"):
        assert not plain.search(text)


def test_an_interpreter_that_is_not_there_gives_a_sentence(component: Callable[..., Any], tmp_path: Path) -> None:
    functions = component(tmp_path / "gone" / "python")["Functions"]()
    shown = functions.UNIT_CONVERT(1.0, "kN", "N")[0][0]
    assert shown.startswith("STOP: tautsheet's Python, ")
    assert "gone" in shown
    assert "tautsheet libreoffice" in shown


def test_an_interpreter_without_tautsheet_gives_a_sentence(component: Callable[..., Any], tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.write_text("#!/bin/sh\nexit 1\n")
    other.chmod(0o755)
    shown = component(other)["Functions"]().UNIT_CONVERT(1.0, "kN", "N")[0][0]
    assert shown.startswith("STOP: tautsheet's Python, ")


def test_the_same_extension_twice(tmp_path: Path) -> None:
    for name in ("one", "two"):
        extension.write_extension(tmp_path / name)
    assert (tmp_path / "one").read_bytes() == (tmp_path / "two").read_bytes()


def test_settings_name_every_function() -> None:
    content = json.loads(extension.parts()["settings.json"])
    assert content["functions"] == {function.name.upper(): function.name for function in FUNCTIONS}
    assert set(content["functions"].values()) == set(BY_NAME)
