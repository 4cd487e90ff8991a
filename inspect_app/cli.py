"""The command line `inspect-app`: groups of commands, each loaded when it is asked for."""

import logging
import sys
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import click

from inspect_app import __version__
from inspect_app.config import default_data_dir
from inspect_app.domain.errors import DomainError

# command -> module:attribute, loaded at first use; a row whose module is not there yet is left out of the help.
COMMANDS = {
    "serve": "inspect_app.cli_serve:serve",
    "user": "inspect_app.cli_user:user",
    "house": "inspect_app.cli_house:house",
    "checklist": "inspect_app.cli_checklist:checklist",
    "due": "inspect_app.cli_due:due",
    "report": "inspect_app.cli_report:report",
    "verify": "inspect_app.cli_report:verify",
    "export": "inspect_app.cli_export:export",
    "backup": "inspect_app.cli_export:backup",
    "restore": "inspect_app.cli_export:restore",
    "demo": "inspect_app.cli_demo:demo",
}


class LazyGroup(click.Group):
    """A group that imports a command's module only when that command is called or described."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands whose modules are there."""
        return [name for name, place in COMMANDS.items() if find_spec(place.partition(":")[0])]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load a command."""
        module, _, attribute = COMMANDS.get(cmd_name, "").partition(":")
        if not module or not find_spec(module):
            return None
        command: click.Command = getattr(import_module(module), attribute)
        return command

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command; a broken rule is told in one sentence, with exit status 1."""
        try:
            return super().invoke(ctx)
        except DomainError as error:
            click.echo(error.message, err=True)
            ctx.exit(1)


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.option(
    "--data",
    type=click.Path(path_type=Path, file_okay=False),
    default=default_data_dir,
    help="The data folder; INSPECT_APP_DATA or a folder of your own when left out.",
)
@click.option("--verbose", is_flag=True, help="Log more.")
@click.version_option(__version__, prog_name="inspect-app")  # read here: a checkout is not an installed package
@click.pass_context
def main(ctx: click.Context, data: Path, verbose: bool) -> None:
    """Grid and gallery inspection log.

    Exit status: 0 done, 1 the answer is no, 2 wrong usage.
    """
    logging.basicConfig(
        level=logging.INFO if verbose else logging.WARNING, format="%(levelname)s %(message)s", stream=sys.stderr
    )
    ctx.obj = data  # commands take it by @click.pass_obj and call store.data_folder.open_data_folder(data)
