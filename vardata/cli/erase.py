"""``vardata erase``: a finished run without its personal columns."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from vardata.cli.guard import guarded, say_json
from vardata.cli.words import count


@click.command("erase")
@click.argument("run", type=click.Path(path_type=Path), metavar="RUN")
@click.option("--json", "as_json", is_flag=True, help="Answer in JSON on standard output.")
@click.option("--quiet", "-q", is_flag=True, help="No summary.")
@click.option("--debug", is_flag=True, help="Show the traceback of an internal error.")
@guarded
def command(run: Path, as_json: bool, quiet: bool, debug: bool) -> int:
    """Strip a finished run of the columns that its job calls personal.

    Values go from its tables; beds, the pick list on paper and pictures, which show them, are
    removed, and so is the read-back beside the run. Serials, slots and counts stay. This cannot
    be undone.
    """
    from vardata.erasing import erase
    from vardata.finished import run_folder_named

    run = run_folder_named(run)
    done = erase(run, datetime.now(UTC))
    if as_json:
        say_json(
            {
                "done": True,
                "folder": str(done.folder),
                "columns": list(done.columns),
                "removed": list(done.removed),
                "readback": None if done.readback is None else str(done.readback),
                "remakes": [str(folder) for folder in done.remakes],
            }
        )
    elif not quiet:
        click.echo(
            f"{run}: {', '.join(map(repr, done.columns))} erased, "
            f"{count(len(done.removed), 'file')} removed"
            + (f", and its read-back {done.readback}" if done.readback is not None else "")
        )
    if done.remakes and not as_json:
        names = ", ".join(folder.name for folder in done.remakes)
        click.echo(f"remakes of this run still show its personal columns: {names}; erase them, too",
                   err=True)  # fmt: skip
    return 0
