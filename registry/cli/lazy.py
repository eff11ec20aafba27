"""A group that looks its commands up in a table and imports only the one that is called."""

import importlib
from typing import Any, ClassVar

import click

#: Command -> (module here, attribute, one line for the overview). The line stands in the table so that `--help` imports
#: nothing.
Table = dict[str, tuple[str, str, str]]


class LazyGroup(click.Group):
    """A group over a `Table`, in the order of the table."""

    table: ClassVar[Table] = {}

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.table)

    def get_command(self, ctx: click.Context, name: str) -> Any:
        if name not in self.table:
            return None
        module, attribute, _line = self.table[name]
        return getattr(importlib.import_module(f"registry.cli.{module}"), attribute)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_module, _attribute, line) in self.table.items()])
