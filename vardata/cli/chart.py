"""``vardata chart``: a sheet of codes to print, to scan and to choose from."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from vardata.cli.build import moment
from vardata.cli.guard import guarded, say_json
from vardata.cli.options import job_argument
from vardata.cli.words import count

_PATH = click.Path(path_type=Path)


@click.command("chart")
@job_argument
@click.option("--text", required=True, help="What the codes say: as long as your real ones.")
@click.option("--field", metavar="NAME", help="Which code of the layout; needed if it has more.")
@click.option("--product", metavar="NAME", help="Of a mixed job; default: its first product.")
@click.option("--blank", metavar="KEY", help="The blank to print on; default: the job's first.")
@click.option("--out", type=_PATH, required=True, help="The PDF to write.")
@click.option("--at", metavar="DATE", help="The date in the file, in UTC; default: now.")
@click.option("--sheet", type=_PATH, help="Another order sheet than the job names.")
@click.option("--json", "as_json", is_flag=True, help="Answer in JSON on standard output.")
@click.option("--debug", is_flag=True, help="Show the traceback of an internal error.")
@guarded
def command(
    job: Path, text: str, field: str | None, product: str | None, blank: str | None, out: Path,
    at: str | None, sheet: Path | None, as_json: bool, debug: bool,
) -> None:
    """Draw a code in rising module sizes and bar width reductions, dark and light.

    Print it on the material, scan every code, and write the keys that stand beside the best one
    into the layout. The order sheet is not read.
    """
    from vardata.chart import chart
    from vardata.job.load import load_setup
    from vardata.products import product_number

    setup = load_setup(job, sheet)
    part = setup.parts()[product_number(setup, product) or 0]
    day = moment(at) or datetime.now(UTC)
    made = chart(part, field, text, out, at=day, blank=blank)
    if as_json:
        cells = [cell._asdict() for cell in made.cells]
        say_json({"done": True, "file": str(out), "codes": cells})
    else:
        size = f"{made.width:.0f} x {made.height:.0f} mm"
        click.echo(f"{count(len(made.cells), 'code')} on {size} -> {out}")
