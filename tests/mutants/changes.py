"""Small changes of a program: each turns one thing round, and a test should notice.

`candidates(tree)` finds every place; calling what it yields makes the change in the tree. The order of places is that of
the source, so the number of a change in its file names it as long as the file stays the same.
"""

import ast
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

TURNED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.Gt, ast.LtE: ast.GtE, ast.Gt: ast.Lt, ast.GtE: ast.LtE, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
MOVED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt,
}  # fmt: skip
SIGNS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip
ENDS = {"min": "max", "minimum": "maximum", "fmin": "fmax", "nanmin": "nanmax", "argmin": "argmax", "any": "all"}
ENDS |= {after: before for before, after in ENDS.items()}
NO_MEANING = {
    "strict",
    "slots",
    "frozen",
    "kw_only",
    "eq",
    "maxsize",
    "parents",
    "exist_ok",
    "repr",
    "stacklevel",
    "axis",
}
"""Keywords whose value no row could tell."""
NOT_SWAPPED = {"isinstance", "getattr", "hasattr", "zip", "print", "issubclass", "cast"}


@dataclass(frozen=True)
class Change:
    """One small change: the file, its number there, line and kind, and the line as it was and reads now."""

    file: str
    number: int
    line: int
    kind: str
    before: str
    after: str

    @property
    def name(self) -> str:
        """File and number: what tells it from every other change of this state of the program."""
        return f"{self.file}:{self.number}"


def _quiet(node: ast.AST) -> Iterator[ast.AST]:
    """Children that mean something when the program runs: no annotations, decorators or documentation."""
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "type_comment"):
            continue
        for each in value if isinstance(value, list) else [value]:
            if isinstance(each, ast.Expr) and isinstance(each.value, ast.Constant):
                continue
            if isinstance(each, ast.keyword) and each.arg in NO_MEANING:
                continue
            if isinstance(each, ast.AST):
                yield each


def candidates(node: ast.AST) -> Iterator[tuple[ast.AST, str, Callable[[], None]]]:
    """Every place of a tree, in its order: where, what kind, and the change itself.

    >>> [kind for _, kind, _ in candidates(ast.parse("if not a < 2: raise b"))]
    ['guard removed', "'not' dropped", 'comparison turned', 'boundary moved', 'constant']
    """
    yield from _here(node)
    for child in _quiet(node):
        yield from candidates(child)


def _here(node: ast.AST) -> Iterator[tuple[ast.AST, str, Callable[[], None]]]:
    def put(name: str, value: object) -> Callable[[], None]:
        return lambda: setattr(node, name, value)

    if (
        isinstance(node, ast.If)
        and not node.orelse
        and isinstance(node.body[-1], (ast.Raise, ast.Return, ast.Continue))
    ):
        yield node, "guard removed", put("test", ast.Constant(False))
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.Not, ast.Invert)):
        yield node, "'not' dropped", put("operand", ast.UnaryOp(node.op, node.operand))
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        yield node, "sign", put("op", ast.UAdd())
    elif isinstance(node, ast.Compare):
        for at, op in enumerate(node.ops):
            for kind, table in (("comparison turned", TURNED), ("boundary moved", MOVED)):
                if type(op) in table:
                    yield node, kind, put("ops", [*node.ops[:at], table[type(op)](), *node.ops[at + 1 :]])
    elif isinstance(node, ast.BoolOp):
        yield node, "and, or", put("op", ast.Or() if isinstance(node.op, ast.And) else ast.And())
    elif isinstance(node, ast.BinOp) and type(node.op) in SIGNS:
        if not any(isinstance(side, ast.JoinedStr) or _is_text(side) for side in (node.left, node.right)):
            yield node, "sign", put("op", SIGNS[type(node.op)]())
    elif isinstance(node, ast.Constant):
        if isinstance(node.value, bool):
            yield node, "constant", put("value", not node.value)
        elif isinstance(node.value, (int, float)):
            other = node.value + 1 if isinstance(node.value, int) else node.value * 1.25 or 1.0
            yield node, "constant", put("value", other)
    elif isinstance(node, ast.Call):
        yield from _call(node)


def _is_text(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def _call(node: ast.Call) -> Iterator[tuple[ast.AST, str, Callable[[], None]]]:
    func, args = node.func, node.args
    name = func.id if isinstance(func, ast.Name) else func.attr if isinstance(func, ast.Attribute) else ""
    if name in ENDS:
        where = "id" if isinstance(func, ast.Name) else "attr"
        yield node, "min, max", lambda: setattr(func, where, ENDS[name])
    plain = (ast.Name, ast.Attribute, ast.Subscript)
    named = len(args) >= 2 and all(isinstance(each, plain) for each in args[:2]) and name not in NOT_SWAPPED
    if named and ast.dump(args[0]) != ast.dump(args[1]):
        yield node, "arguments swapped", lambda: setattr(node, "args", [args[1], args[0], *args[2:]])


def changes_of(root: Path, file: str) -> list[Change]:
    """Every change of one file."""
    source = (root / file).read_text(encoding="utf-8")
    found, length = [], sum(1 for _ in candidates(ast.parse(source)))
    tree = ast.parse(source)
    for number, (node, kind, change) in enumerate(list(candidates(tree))):
        before = ast.unparse(node if not isinstance(node, ast.If) else node.test)
        kept = dict(ast.iter_fields(node))
        func = dict(ast.iter_fields(node.func)) if isinstance(node, ast.Call) else {}
        change()
        after = ast.unparse(node if not isinstance(node, ast.If) else node.test)
        for name, value in kept.items():
            setattr(node, name, value)
        for name, value in func.items():
            setattr(node.func, name, value)  # type: ignore[attr-defined]
        found.append(Change(file, number, node.lineno, kind, before, after))  # type: ignore[attr-defined]
    assert len(found) == length
    return found


def changed_tree(source: str, number: int) -> ast.Module:
    """The source with one change made."""
    tree = ast.parse(source)
    for at, (_, _, change) in enumerate(list(candidates(tree))):
        if at == number:
            change()
    return ast.fix_missing_locations(tree)
