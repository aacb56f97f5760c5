"""The command line: which command stands in which file. Exit codes are in `addin.console`."""

from importlib import import_module

import click

from addin.console import Program

PLACES = {
    "addin.list_commands": ("plan", "columns", "pack", "card", "record", "book", "job"),
    "addin.host_commands": ("recalc", "freeze", "excel", "libreoffice", "desktop"),
    "addin.function_commands": ("functions", "call"),
}
"""The commands by their files; a file is imported when one of its commands is asked for."""


class _Commands(Program):
    """The commands, each taken in when it is first asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Every name."""
        return sorted(name for names in PLACES.values() for name in names)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name; None where there is none."""
        place = next((place for place, names in PLACES.items() if cmd_name in names), None)
        if place and cmd_name not in self.commands:
            self.add_command(getattr(import_module(place), cmd_name))
        return super().get_command(ctx, cmd_name)


def _version(context: click.Context, parameter: click.Parameter, wanted: bool) -> None:
    if wanted and not context.resilient_parsing:
        from addin.shipped import program

        click.echo(program())
        context.exit()


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.option("--version", is_flag=True, is_eager=True, expose_value=False, callback=_version,
              help="Show the version and exit.")  # fmt: skip
def main() -> None:
    """Controlled tightening of bolted pressure joints: plan a joint list, print its cards, call one function."""
