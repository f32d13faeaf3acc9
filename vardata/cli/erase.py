"""``vardata erase``: a finished run without its personal columns."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from vardata.cli.guard import guarded, say_json
from vardata.cli.words import count

if TYPE_CHECKING:
    from vardata.erasing import Erased


@click.command("erase")
@click.argument("run", type=click.Path(path_type=Path), metavar="RUN")
@click.option(
    "--job", type=click.Path(path_type=Path), metavar="JOB.toml",
    help="The run's job, if it lies elsewhere: its ledger knows where remakes of the run are.",
)
@click.option("--json", "as_json", is_flag=True, help="Answer in JSON on standard output.")
@click.option("--quiet", "-q", is_flag=True, help="No summary.")
@click.option("--debug", is_flag=True, help="Show the traceback of an internal error.")
@guarded
def command(run: Path, job: Path | None, as_json: bool, quiet: bool, debug: bool) -> int:
    """Strip a finished run of the columns that its job calls personal.

    Values go from its tables; beds, the pick list on paper and pictures, which show them, are
    removed, and so is the read-back beside the run. Serials, slots and counts stay. This cannot
    be undone.
    """
    from vardata.erasing import erase
    from vardata.finished import run_folder_named

    run = run_folder_named(run)
    done = erase(run, datetime.now(UTC), job)
    if as_json:
        say_json(
            {
                "done": True,
                "folder": str(done.folder),
                "columns": list(done.columns),
                "removed": list(done.removed),
                "readback": None if done.readback is None else str(done.readback),
                "remakes": [str(folder) for folder in done.remakes.folders],
                "remakes_not_found": [
                    {"run_id": run_id, "folder": folder} for run_id, folder in done.remakes.lost
                ],
                "ledger": None if done.ledger is None else str(done.ledger),
            }
        )
    elif not quiet:
        click.echo(
            f"{run}: {', '.join(map(repr, done.columns))} erased, "
            f"{count(len(done.removed), 'file')} removed"
            + (f", and its read-back {done.readback}" if done.readback is not None else "")
        )
    if not as_json:
        _say_what_is_left(done, quiet)
    return 0


def _say_what_is_left(done: Erased, quiet: bool) -> None:
    """What still shows what was erased, as far as that is known."""
    if not quiet:
        click.echo("not erased: the order sheet, the ledger, and proofs, pictures and copies made "
                   "elsewhere")  # fmt: skip
    home = done.folder.absolute().parent
    if done.remakes.folders:
        names = ", ".join(
            folder.name if folder.parent == home else str(folder) for folder in done.remakes.folders
        )
        click.echo(f"remakes of this run still show its personal columns: {names}; erase them, too",
                   err=True)  # fmt: skip
    for run_id, folder in done.remakes.lost:
        place = f"is not in {folder}, where it was made" if folder else "is in no folder known here"
        click.echo(f"remake {run_id} of this run {place}; find it, and erase it, too", err=True)
    if done.ledger is None:
        click.echo("no ledger lies here or beside the run, so remakes that lie elsewhere are not "
                   "known; its job has one beside it, which --job names", err=True)  # fmt: skip
