"""Which blocks of the program each test runs: the program is imported with a mark at the head of every block."""

import ast
import builtins
import importlib.abc
import importlib.machinery
import importlib.util
import sys
from collections.abc import Callable
from pathlib import Path
from types import CodeType, ModuleType
from typing import Any

MARK = "__blocks_seen__"
Block = tuple[str, int, int, str]
"""File, first and last line, and a name that stays while only other functions change."""


def blocks_of(root: Path, files: list[str]) -> list[Block]:
    """Every block, in the order of their marks."""
    found: list[Block] = []
    for file in files:
        _marked(ast.parse((root / file).read_text(encoding="utf-8")), file, found)
    return found


def _marked(tree: ast.Module, file: str, found: list[Block]) -> ast.Module:
    names = _functions(tree, file)
    counted: dict[str, int] = {}
    for node in ast.walk(tree):
        for name in ("body", "orelse", "finalbody"):
            body = getattr(node, name, None)
            if (
                isinstance(node, (ast.Module, ast.ClassDef, ast.Lambda, ast.IfExp))
                or not isinstance(body, list)
                or not body
            ):
                continue
            mark = ast.parse(f"{MARK}[{len(found)}] = 1").body[0]
            for part in ast.walk(mark):
                ast.copy_location(part, body[0])
            at = 1 if isinstance(node, ast.FunctionDef) and ast.get_docstring(node, clean=False) is not None else 0
            function = names[id(node)]
            counted[function] = counted.get(function, 0) + 1
            lines = body[0].lineno, body[-1].end_lineno or body[-1].lineno
            found.append((file, *lines, f"{function}:{counted[function]}"))
            body.insert(at, mark)
    return tree


def _functions(tree: ast.Module, file: str) -> dict[int, str]:
    """The function around every node."""
    found: dict[int, str] = {}

    def visit(node: ast.AST, name: str) -> None:
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
            name = f"{name}.{node.name}"
        found[id(node)] = name
        for child in ast.iter_child_nodes(node):
            visit(child, name)

    visit(tree, file)
    return found


class Program(importlib.abc.MetaPathFinder):
    """Imports files of the program as `make` gives their code; everything else as ever."""

    def __init__(self, root: Path, make: dict[str, Callable[[str], CodeType]]) -> None:
        self.root = root
        self.modules = {module_of(file): (file, code) for file, code in make.items()}

    def find_spec(self, name: str, path: Any = None, target: ModuleType | None = None) -> Any:
        """The place of a file that is imported in another form."""
        if name not in self.modules:
            return None
        file, make = self.modules[name]
        place = str(self.root / file)
        inside = [str(Path(place).parent)] if file.endswith("__init__.py") else None
        return importlib.util.spec_from_file_location(
            name, place, loader=_Loader(name, place, file, make), submodule_search_locations=inside
        )


class _Loader(importlib.machinery.SourceFileLoader):
    def __init__(self, name: str, place: str, file: str, make: Callable[[str], CodeType]) -> None:
        super().__init__(name, place)
        self.file, self.make = file, make

    def get_code(self, fullname: str) -> CodeType:
        return self.make(self.file)


def module_of(file: str) -> str:
    """The module of a file.

    >>> module_of("calc/wrench/__init__.py"), module_of("calc/units.py")
    ('calc.wrench', 'calc.units')
    """
    return file.removesuffix(".py").removesuffix("/__init__").replace("/", ".")


def import_with_marks(root: Path, files: list[str]) -> bytearray:
    """From now on every file is imported with its marks; what they leave stands in the array given back."""
    found: list[Block] = []
    codes = {}
    for file in files:
        tree = _marked(ast.parse((root / file).read_text(encoding="utf-8")), file, found)
        codes[file] = compile(ast.fix_missing_locations(tree), str(root / file), "exec", dont_inherit=True)
    seen = bytearray(len(found))
    setattr(builtins, MARK, seen)
    sys.meta_path.insert(0, Program(root, dict.fromkeys(files, codes.__getitem__)))
    return seen
