"""The command ``vardata``. Commands are loaded when they are called, so help is instant."""

from __future__ import annotations

import gc
import importlib
from collections.abc import Iterator
from contextlib import contextmanager
from typing import IO, Any

import click

_COMMANDS = {
    "new": "Write a job file from an order sheet, a layout, a jig and a bed.",
    "check": "Look for problems in a job and its order sheet; write nothing.",
    "build": "Make the beds, the pick list and the list of held records.",
    "preview": "Draw a bed or an item as a PNG picture.",
    "proof": "Show the hardest records, or an order for its customer, to be signed.",
    "approve": "Note that a customer approved an order as its proof shows it.",
    "readback": "Render the beds of a finished run and read them again.",
    "difference": "Show what two finished runs print otherwise, plate by plate.",
    "remake": "Print spoiled pieces of a finished run again.",
    "chart": "Draw a sheet of codes to print, to scan and to choose from.",
    "serials": "Serial numbers of a job: what is used, void and free.",
    "erase": "Strip a finished run of its personal columns.",
    "schema": "Write JSON Schemas for the files of a job, for editors.",
}

EPILOG = """\b
Exit codes:
  0  done
  2  wrong call
  3  done, but some records are held (see held.csv)
  4  a job, layout, jig or bed file is wrong
  5  the order sheet cannot be read
  6  the output cannot be written
  7  read back, and something does not read as it should
  130  interrupted; 143  told to end; 129  the terminal was closed
  141  nobody reads what it prints any more (as in vardata check job.toml | head -1)
  1  internal error
"""


class WrongCall(click.UsageError):
    """A wrong call, said in one line as all other problems are."""

    def show(self, file: IO[Any] | None = None) -> None:
        path = self.ctx.command_path if self.ctx else "vardata"
        what = self.format_message().rstrip(".")
        what = what.replace("is not a valid integer range", "is not a whole number")
        end = "" if what.endswith("?") else ";"
        line = f"{path}: {what[:1].lower()}{what[1:]}{end} see {path} --help"
        click.echo(line, file=file, err=file is None)


@contextmanager
def _in_one_line() -> Iterator[None]:
    try:
        yield
    except click.exceptions.NoArgsIsHelpError:
        raise
    except click.NoSuchOption as error:
        near = " or ".join(map(repr, sorted(error.possibilities or ())))
        hint = f"; did you mean {near}?" if near else ""
        raise WrongCall(f"no such option {error.option_name!r}{hint}", error.ctx) from None
    except click.UsageError as error:
        raise WrongCall(error.format_message(), error.ctx) from None


class Commands(click.Group):
    """A group whose commands live in modules of their own, imported on call."""

    def make_context(
        self, info_name: str | None, args: list[str], parent: click.Context | None = None,
        **extra: Any,
    ) -> click.Context:  # fmt: skip
        with _in_one_line():
            return super().make_context(info_name, args, parent, **extra)

    def invoke(self, ctx: click.Context) -> Any:
        # A run makes small values by the million, next to none of them in circles: looking for
        # circles after every 700 of them, as is the default, would take a twentieth of its time.
        gc.set_threshold(20_000, 20, 50)
        with _in_one_line():
            return super().invoke(ctx)

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        if name not in _COMMANDS:
            return None
        module = importlib.import_module(f"vardata.cli.{name}")
        command = module.command
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(_COMMANDS.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            import difflib

            near = difflib.get_close_matches(args[0], _COMMANDS, 1)
            hint = f"; did you mean {near[0]!r}?" if near else ""
            raise click.UsageError(f"{error.message.rstrip('.')}{hint}", ctx) from None


@click.group(cls=Commands, epilog=EPILOG, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="vardata", message="vardata %(version)s")
def main() -> None:
    """Turn an order sheet into full printer beds.

    A job file names an order sheet, a layout, a jig and a bed. Every record of the sheet ends
    in exactly one slot of a bed, or is held with the reason.
    """


if __name__ == "__main__":
    from vardata.cli.start import arm

    arm()
    main()
