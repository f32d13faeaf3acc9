"""``vardata schema``: JSON Schemas of the TOML files, for editors."""

from __future__ import annotations

from pathlib import Path

import click

from vardata.cli.guard import guarded, say_json


@click.command("schema")
@click.option(
    "--out", type=click.Path(path_type=Path, file_okay=False), help="A folder to write them to."
)
@click.option("--debug", is_flag=True, help="Show the traceback of an internal error.")
@guarded
def command(out: Path | None, debug: bool) -> None:
    """Write JSON Schemas for job, layout, jig and bed files.

    Without --out they are printed as one JSON object.
    """
    from vardata.job.schema import export, schemas

    if out is None:
        say_json(dict(schemas()))
        return
    export(out)
    click.echo(f"schemas written to {out}")
