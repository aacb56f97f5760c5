"""The commands for single worksheet functions: `functions` tells what there is, `call` calls one."""

import sys
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

import click

from addin.console import CANNOT, CannotRun

CSV_LIMIT = 16 << 20
"""Most that a table may have. [bytes]"""


class _FunctionName(click.ParamType):
    """The name of a worksheet function, in any case; a shell can complete it."""

    name = "name"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The name as the registry has it."""
        from addin.functions.registry import BY_NAME

        found = str(value).lower()
        if found not in BY_NAME:
            import difflib

            near = difflib.get_close_matches(found, BY_NAME, n=3)
            hint = f"; did you mean {' or '.join(near)}?" if near else "; `tautsheet functions` lists them"
            raise CannotRun(f"no function {value}{hint}")
        return found

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[Any]:
        """Names that begin so, each with what it gives."""
        from click.shell_completion import CompletionItem

        from addin.functions.registry import FUNCTIONS

        begun = [each for each in FUNCTIONS if each.name.startswith(incomplete.lower())]
        return [CompletionItem(each.name, help=each.help) for each in begun]


@click.command()
@click.argument("name", type=_FunctionName(), required=False)
def functions(name: str | None) -> None:
    """List the worksheet functions, or tell what one of them takes and gives."""
    from addin.functions.help_page import help_page, overview
    from addin.functions.registry import BY_NAME

    click.echo("\n".join(help_page(BY_NAME[name]) if name else overview()))


class _Call(click.Command):
    """Behind the name of a function, --help is about that function."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Show the help of a function where it is asked for."""
        from addin.functions.registry import BY_NAME

        if args and args[0].lower() in BY_NAME and {"-h", "--help"} & set(args[1:]):
            from addin.functions.help_page import help_page

            click.echo("\n".join(help_page(BY_NAME[args[0].lower()])))
            ctx.exit()
        return super().parse_args(ctx, args)


@click.command(cls=_Call, context_settings={"ignore_unknown_options": True})
@click.argument("name", type=_FunctionName())
@click.argument("arguments", nargs=-1, type=click.UNPROCESSED)
def call(name: str, arguments: tuple[str, ...]) -> None:
    """Call one worksheet function: a plain number is a number, a table is the path of a CSV, "" leaves one out.

    `tautsheet call NAME --help` tells what it takes, `tautsheet functions` which there are.
    """
    from addin.cells.texts import is_stop
    from addin.functions.gate import answer
    from addin.functions.registry import BY_NAME

    function = BY_NAME[name]
    if len(arguments) > len(function.args):
        raise CannotRun(f"{name} takes at most {len(function.args)} arguments, got {len(arguments)}")
    kinds = [arg.kind for arg in function.args]
    if name == "working" and arguments and arguments[0] in BY_NAME:
        listed = [arg.kind for arg in BY_NAME[arguments[0]].args]
        kinds = [kinds[0], *listed, *["words"] * (len(kinds) - 1 - len(listed))]
    values = [_value(kind, text) for kind, text in zip(kinds, arguments, strict=False)]
    result = answer(function, values)
    if is_stop(result):
        click.echo(result, err=True)
        sys.exit(CANNOT)
    for row in result if isinstance(result, list) else [[result]]:
        click.echo("\t".join(_text(cell) for cell in row))


def _value(kind: str, text: str) -> Any:
    if kind in ("table", "block"):
        return _csv(text)
    from addin.cells.numbers import typed_number

    if text == "":
        return None
    number = typed_number(text)
    return text if number is None else number


def _csv(file: str) -> list[list[Any]]:
    import csv
    from pathlib import Path

    from addin.workbooks.plain_file import read_plain

    path = Path(file)
    content = read_plain(path, CSV_LIMIT)
    try:
        lines = content.decode("utf-8-sig").splitlines()
        rows = [[_value("value", text.strip()) for text in row] for row in csv.reader(lines, _dialect(lines))]
    except UnicodeDecodeError as error:
        raise CannotRun(f"{path.name}: is no text in UTF-8 (byte {error.start + 1}); save it as CSV UTF-8") from None
    except csv.Error as error:
        raise CannotRun(f"{path.name}: cannot be read as a CSV: {error}") from None
    if not rows:
        raise CannotRun(f"{path}: is empty")
    wide = max(len(row) for row in rows)
    return [row + [None] * (wide - len(row)) for row in rows]


def _dialect(lines: Sequence[str]) -> Any:
    import csv

    try:
        return csv.Sniffer().sniff(lines[0] if lines else "", delimiters=",;\t|")
    except csv.Error:
        return "excel"


def _text(cell: Any) -> str:
    """A cell as text: a number with nine digits, more than any gauge or tool has, and no exponent.

    >>> _text(152.609804920349), _text(348385.0), _text(0.000123456789012)
    ('152.609805', '348385', '0.000123456789')
    """
    return format(Decimal(f"{cell:.9g}"), "f") if isinstance(cell, float) else str(cell)
