"""``vardata difference``: what two runs print otherwise."""

from __future__ import annotations

from pathlib import Path

import click

from vardata.cli.guard import guarded, say_json
from vardata.cli.words import count

_PATH = click.Path(path_type=Path)


@click.command("difference")
@click.argument("run", type=_PATH, metavar="RUN")
@click.argument("other", type=_PATH, metavar="OTHER")
@click.option("--out", type=_PATH, required=True, help="The PNG to write, if anything differs.")
@click.option(
    "--bed", type=click.IntRange(1), help="The bed to draw; default: the first that differs."
)
@click.option(
    "--dpi", type=click.IntRange(50, 600), default=150, help="Dots per inch; default: 150."
)
@click.option("--quiet", is_flag=True, help="Print nothing but problems.")
@click.option("--json", "as_json", is_flag=True, help="An answer for machines.")
@click.option("--debug", is_flag=True, help="Show the traceback of an internal error.")
@guarded
def command(
    run: Path, other: Path, out: Path, bed: int | None, dpi: int, quiet: bool, as_json: bool,
    debug: bool,
) -> None:
    """Compare the bed files of two finished runs, plate by plate.

    Prints the area that each plate has more or less in OTHER, and draws one bed: grey where both
    print, blue where only OTHER does, red where it does not any more. Both runs stay as they are.
    """
    from vardata.difference import difference
    from vardata.finished import run_folder_named

    run, other = run_folder_named(run), run_folder_named(other)
    found = difference(run, other, out, bed=bed, dpi=dpi)
    if as_json:
        changes = [
            {key: value for key, value in change._asdict().items() if key != "side" or value}
            for change in found.changes
        ]
        say_json({
            "done": True, "beds": found.beds, "alone": list(found.alone), "changes": changes,
            "file": str(out) if found.shown else None, "shown": found.shown or None,
        })
        return
    if quiet:
        return
    for change in found.changes:
        named = f"{change.bed} {change.side}".rstrip()
        click.echo(
            f"bed {named}, {change.plate}: {change.added:g} mm2 more, "
            f"{change.taken:g} mm2 less"
        )
    for number in found.alone:
        click.echo(f"bed {number} is in one of the runs only")
    if not found.beds:
        click.echo("no bed is in both runs: nothing is compared")
    elif not found.changes:
        those = " of the beds in both runs" if found.alone else ""
        click.echo(f"{count(found.beds, 'bed')} compared: every plate{those} is the same")
    if found.shown:
        click.echo(f"bed {found.shown} -> {out}")
