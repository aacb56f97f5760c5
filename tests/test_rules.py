"""Rules of the house: imports point one way, the registry, the quantities and the sentences agree, names are clear."""

import ast
import functools
import importlib
import inspect
import keyword
import re
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

import click
import pytest

from addin.cells.sentences import SENTENCES
from addin.cells.words import codes
from addin.cli import PLACES
from addin.functions.gate import REQUIRED
from addin.functions.registry import FUNCTIONS
from calc.quantities import QUANTITIES

ROOT = Path(__file__).resolve().parents[1]
SOURCES = sorted([*(ROOT / "calc").rglob("*.py"), *(ROOT / "addin").rglob("*.py")])

# who may import whom: each room, and the rooms it may import from besides itself
BASE = {"calc.findings", "calc.quantities", "calc.units", "calc.tables"}
MAY = {
    "calc.findings": set(),
    "calc.quantities": set(),
    "calc.units": {"calc.findings", "calc.quantities"},
    "calc.tables": {"calc.units"},
    "calc.hardware": BASE - {"calc.units"},
    "calc.preload": {"calc.hardware", *BASE} - {"calc.units"},
    "calc.wrench": {"calc.preload", "calc.hardware", *BASE} - {"calc.units"},
    "calc.procedure": {"calc.wrench", "calc.preload", "calc.hardware", *BASE} - {"calc.units"},
    "calc.interaction": {"calc.procedure", "calc.wrench", "calc.preload", "calc.hardware", *BASE} - {"calc.units"},
    "calc.plan": {"calc.procedure", "calc.interaction", "calc.wrench", "calc.preload", "calc.hardware", *BASE}
    - {"calc.units"},
    "calc.review": {"calc.plan", "calc.procedure", "calc.wrench", "calc.preload", "calc.hardware", *BASE}
    - {"calc.units"},
}
LADDER = (
    "addin.shipped", "addin.error_log", "addin.cells", "addin.workbooks", "addin.reading", "addin.wrenches",
    "addin.functions", "addin.plan", "addin.forms", "addin.hosts", "addin.cards", "addin.records", "addin.tasks",
    "addin.job", "addin.several_lists",
    "addin.console", "addin.reports", "addin.function_commands", "addin.host_commands", "addin.list_commands",
    "addin.cli", "addin.__main__",
)  # fmt: skip
"""Rooms of addin: each may import from those before it, and from all of calc."""
APART = {"addin.reading": {"addin.wrenches"}, "addin.wrenches": {"addin.reading"}, "addin.records": {"addin.cards"}}
"""Rooms beside each other."""
FORMS = {"addin.workbooks", "addin.shipped"}
"""All that the template engine knows."""


def module_name(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def room(module: str) -> str:
    if module in ("calc", "addin"):
        return module
    return ".".join(module.split(".")[:2])


@dataclass
class Source:
    """What the rules ask of a file, from one walk over it."""

    imports: list[tuple[str, bool]] = field(default_factory=list)
    """Modules it imports, and whether at its top level."""
    calls: list[ast.Call] = field(default_factory=list)
    texts: set[str] = field(default_factory=set)
    """Texts it writes as literals."""
    named: set[str] = field(default_factory=set)
    """Names and attributes it uses."""
    classes: list[str] = field(default_factory=list)
    public: list[tuple[str, bool]] = field(default_factory=list)
    """Public functions and classes at its top level, and whether it is a function without a docstring."""


@functools.cache
def source(path: Path) -> Source:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found = Source()
    top = set(tree.body)
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found.imports += [(alias.name, node in top) for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.imports.append((node.module, node in top))
            found.imports += [(f"{node.module}.{alias.name}", node in top) for alias in node.names]
        elif isinstance(node, ast.Call):
            found.calls.append(node)
        elif isinstance(node, ast.Constant):
            if isinstance(node.value, str):
                found.texts.add(node.value)
        elif isinstance(node, ast.Name):
            found.named.add(node.id)
        elif isinstance(node, ast.Attribute):
            found.named.add(node.attr)
        elif isinstance(node, ast.ClassDef):
            found.classes.append(node.name)
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            found.public.append((node.name, isinstance(node, ast.FunctionDef) and not ast.get_docstring(node)))
    return found


def imports(path: Path) -> list[tuple[str, bool]]:
    """Modules a file imports, and whether at its top level."""
    return source(path).imports


def allowed(own: str) -> set[str]:
    """The rooms that a room may import from."""
    if own.startswith("calc") or own == "addin":
        return MAY.get(own, set())
    if own == "addin.forms":
        return FORMS
    assert own in LADDER, f"{own} is no room of the house"
    return {*MAY, *LADDER[: LADDER.index(own)]} - APART.get(own, set())


def test_imports_point_one_way() -> None:
    wrong = []
    for path in SOURCES:
        own = room(module_name(path))
        may = allowed(own)
        wrong += [
            f"{module_name(path)} imports {name}"
            for name, _ in imports(path)
            if name.split(".")[0] in ("calc", "addin") and name not in ("calc", "addin")
            if room(name) != own and room(name) not in may
        ]

    assert len(SOURCES) > 300
    assert not wrong


def test_no_circle_of_imports() -> None:
    """Within a room too, and imports for types alone count."""
    known = {module_name(path) for path in SOURCES}
    needs = {
        module_name(path): {name for name, _ in imports(path) if name in known and name != module_name(path)}
        for path in SOURCES
    }
    while True:
        free = {module for module, wanted in needs.items() if not wanted & needs.keys()}
        if not free:
            break
        needs = {module: wanted for module, wanted in needs.items() if module not in free}

    assert not needs, f"in a circle, or importing one: {sorted(needs)}"


def test_joints_and_plans_stand_apart() -> None:
    """What goes into a plan knows nothing of what comes out, so that its parts may import the one, make the other."""
    names = {name for name, _ in imports(ROOT / "calc" / "plan" / "joints.py")}

    assert not {name for name in names if name.startswith("calc.plan")}


def test_slow_packages_are_imported_where_they_are_used() -> None:
    wrong = []
    for path in SOURCES:
        module = module_name(path)
        slow = {"pint", "openpyxl", "xlwings", "scipy"}
        if module == "addin.hosts.excel":  # read by Excel alone, for which xlwings is the way in
            slow -= {"xlwings"}
        if module.startswith("calc.interaction"):
            slow -= {"scipy"}
        at_top = {name.split(".")[0] for name, top in imports(path) if top}
        wrong += [f"{module} imports {name} at its top level" for name in sorted(at_top & slow)]

    assert not wrong


def test_days_are_written_in_a_way_that_windows_knows_too() -> None:
    """A hyphen behind the per cent sign of a format of days is an error there."""
    assert not [module_name(path) for path in SOURCES if "%-d" in path.read_text(encoding="utf-8")]


def test_calc_knows_no_files_and_no_workbooks() -> None:
    for path in (ROOT / "calc").rglob("*.py"):
        found = {name.split(".")[0] for name, _ in imports(path)}
        assert not found & {"openpyxl", "xlwings", "zipfile", "os", "pathlib", "click", "addin"}, module_name(path)


def test_importing_the_registry_leaves_the_slow_packages_out() -> None:
    never = ("pint", "scipy", "openpyxl", "addin.workbooks")
    code = f"import sys, addin.functions.registry; print([m for m in {never} if m in sys.modules])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)

    assert run.stdout.strip() == "[]"


def test_every_calculation_that_is_imported_late_is_there() -> None:
    for function in FUNCTIONS:
        module, name = function.call.__module__, function.call.__name__
        if name == "<lambda>":
            continue
        calculation = getattr(importlib.import_module(module), name)
        assert inspect.isfunction(calculation), function.name
        taken = inspect.signature(calculation).parameters
        free = any(each.kind is each.VAR_KEYWORD for each in taken.values())
        assert free or {each.name for each in function.args} <= taken.keys(), function.name
        needed = {
            each.name for each in taken.values() if each.default is each.empty and each.kind is not each.VAR_KEYWORD
        }
        assert needed <= {each.name for each in function.args}, function.name


def test_one_function_loads_what_it_needs_and_no_other_room() -> None:
    """A start of `tautsheet call` costs little more than numpy."""
    code = (
        "import sys; from addin.cli import main\n"
        "try: main(['call', 'torque_from_preload', '45000', '1 1/4', '0.15', 'US'])\n"
        "except SystemExit: print(sorted(name for name in sys.modules if name.startswith(('addin.', 'calc.'))))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    shown, loaded = run.stdout.splitlines()

    assert shown == "703.125"
    assert {room(name) for name in ast.literal_eval(loaded)} == {
        "addin.cells", "addin.cli", "addin.console", "addin.function_commands", "addin.functions", "calc.findings",
        "calc.hardware", "calc.preload", "calc.quantities", "calc.tables", "calc.units",
    }  # fmt: skip
    assert not {"addin.cells.table", "addin.functions.interaction_inputs"} & {*ast.literal_eval(loaded)}


def test_every_command_is_named_with_its_file() -> None:
    for place, names in PLACES.items():
        held = {name for name, each in vars(importlib.import_module(place)).items() if isinstance(each, click.Command)}
        assert held == {*names}, place


CODE_AT = {"stop": 0, "Finding": 0, "Reason": 0, "caution": 0, "reason": 0, "Rule": 0, "each": 1, "add": 1,
           "say": 0, "note": 0, "_note": 0, "_ask": 1, "_say": 3}  # fmt: skip
"""What is called with the code of a finding, and at which place; a collector takes the rows first."""
SAY = ("say", "note", "_note", "_ask", "_say")
"""Names that elsewhere are called with texts."""
CODE = re.compile(r"[a-z]+(?:_[a-z0-9]+)+")


@functools.cache
def codes_used() -> dict[str, str]:
    """Every finding code that the program writes as a literal, with a file that does."""
    used = {}
    for path in SOURCES:
        for node in source(path).calls:
            name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
            at = CODE_AT.get(name, len(node.args))
            given = node.args[at] if at < len(node.args) else None
            for code in (given.body, given.orelse) if isinstance(given, ast.IfExp) else (given,):
                text = code.value if isinstance(code, ast.Constant) else None
                if isinstance(text, str) and (name not in SAY or CODE.fullmatch(text)):
                    used[text] = module_name(path)
    return used


def test_codes_are_found_however_they_are_given() -> None:
    """A literal in each way of giving one: raised, collected, asked, as a reason, as a rule, as one of two."""
    assert {"thread_unknown", "yield_exceeded", "table_ask_up_down", "pressure_above_rating", "gauge_class",
            "remark_grade", "limit_above", "limit_below", "wrench_drift"} <= codes_used().keys()  # fmt: skip


def test_every_code_has_one_sentence() -> None:
    without = {code: where for code, where in codes_used().items() if code not in codes()}

    assert not without
    assert len(set(codes())) == len(codes())


def test_every_sentence_has_a_code_that_says_it() -> None:
    """A code is written once at least outside the sentences, so that no caution falls silent unseen."""
    literals = {text for path in SOURCES if not path.stem.startswith("sentences") for text in source(path).texts}

    assert not [code for code in codes() if code not in literals]


def test_sentences_promise_nothing_about_a_joint() -> None:
    for code, sentence in SENTENCES.items():
        words = re.findall(r"[a-z]+", sentence.lower())
        assert not {"safe", "tight", "acceptable", "approved"} & set(words), code


def test_every_quantity_has_a_meaning_and_a_range() -> None:
    for name, quantity in QUANTITIES.items():
        assert name == quantity.name
        assert quantity.meaning
        assert quantity.low < quantity.high


VBA = {
    "and", "as", "boolean", "byref", "byval", "call", "case", "const", "currency", "date", "decimal", "declare",
    "dim", "do", "double", "each", "else", "elseif", "empty", "end", "enum", "erase", "error", "event", "exit",
    "false", "for", "friend", "function", "get", "global", "gosub", "goto", "if", "implements", "in", "input",
    "integer", "is", "let", "like", "long", "loop", "lset", "me", "mod", "new", "next", "not", "nothing", "null",
    "object", "on", "open", "option", "optional", "or", "paramarray", "preserve", "print", "private", "property",
    "public", "put", "raiseevent", "redim", "rem", "resume", "return", "rset", "seek", "select", "set", "single",
    "static", "step", "stop", "string", "sub", "then", "to", "true", "type", "typeof", "until", "variant", "wend",
    "while", "with", "write", "xor",
}  # fmt: skip


def test_names_of_functions_and_arguments_serve_every_host() -> None:
    names = [function.name for function in FUNCTIONS]

    assert len(set(names)) == len(names)
    for function in FUNCTIONS:
        arguments = [arg.name for arg in function.args]
        assert len(set(arguments)) == len(arguments), function.name
        assert not {function.name, *arguments} & VBA, function.name
        assert not re.fullmatch(r"[a-z]{1,3}\d{1,7}|r\d*c\d*", function.name)
        for name in (function.name, *arguments):
            assert re.fullmatch(r"[a-z][a-z0-9]*(_[a-z0-9]+)*", name), name
            assert not keyword.iskeyword(name)
        optional = [arg.default is not REQUIRED for arg in function.args]
        assert optional == sorted(optional), f"{function.name}: optional arguments come last"
        assert 0 < len(function.help) <= 255
        assert all(0 < len(arg.help) <= 255 for arg in function.args), function.name
        assert function.source


def test_no_two_classes_share_a_name_and_files_tell_what_they_hold() -> None:
    places: dict[str, list[str]] = {}
    for path in SOURCES:
        for name in source(path).classes:
            if not name.startswith("_"):
                places.setdefault(name, []).append(module_name(path))

    assert not {name: where for name, where in places.items() if len(where) > 1}
    assert not {path.stem for path in SOURCES} & {"beside", "common", "current", "helpers", "misc", "parts", "utils"}


def test_every_public_function_of_calc_is_used_by_the_program() -> None:
    named = set().union(*(source(path).named for path in SOURCES))
    public = {
        f"{module_name(path)}.{name}" for path in (ROOT / "calc").rglob("*.py") for name, _ in source(path).public
    }

    assert not {name for name in public if name.rpartition(".")[2] not in named}


def test_public_functions_of_calc_say_what_they_do() -> None:
    missing = [
        f"{module_name(path)}.{name}"
        for path in (ROOT / "calc").rglob("*.py")
        for name, mute in source(path).public
        if mute
    ]

    assert not missing


def test_top_level_holds_what_it_may() -> None:
    tracked = subprocess.run(["git", "ls-files"], capture_output=True, text=True, cwd=ROOT, check=False)
    if tracked.returncode:
        pytest.skip("not a git checkout")
    top = {line.split("/")[0].strip('"') for line in tracked.stdout.splitlines()}
    may = {"README.md", "DEVELOPERS.md", "pyproject.toml", "addin", "calc", "templates", "tests", "samples"}

    assert {name for name in top if not name.startswith(".")} <= may
