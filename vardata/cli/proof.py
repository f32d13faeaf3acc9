"""``vardata proof``: pages to look at and to sign before anything is printed."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from vardata.cli.build import moment
from vardata.cli.guard import guarded, print_problems, problem_as_json, say_json
from vardata.cli.options import common, job_argument
from vardata.cli.words import count


@click.command("proof")
@job_argument
@click.option("--out", type=click.Path(path_type=Path), required=True, help="The PDF to write.")
@click.option("--order", metavar="ORDER", help="All items of one order, for its customer to sign.")
@click.option(
    "--specimen", is_flag=True,
    help="The hardest record alone, to be printed first and signed at the machine.",
)
@click.option("--product", metavar="NAME", help="Of a mixed job: this one; default: all.")
@click.option("--png", is_flag=True, help="Write each page as a PNG picture beside the PDF too.")
@click.option("--at", metavar="DATE", help="The date on the pages, in UTC; default: now.")
@common
@guarded
def command(
    job: Path, out: Path, order: str | None, specimen: bool, product: str | None, png: bool,
    at: str | None, sheet: Path | None, workers: int | None, quiet: bool, as_json: bool,
    debug: bool,
) -> None:
    """Show the hardest records of a job, with guides: the longest, the smallest, the rarest.

    Boxes, baselines and the safe edge are drawn over each item as it will look on its blank.
    Nothing is used up: proofs take no serial and leave no trace in the ledger.
    """
    from vardata.cli.bar import progress
    from vardata.job.load import load_setup
    from vardata.proofs.proof import WantedProof, proof

    day = moment(at) or datetime.now(UTC)
    setup = load_setup(job, sheet)
    with progress(quiet or as_json) as bar:
        wanted = WantedProof(order, specimen, png, product)
        made = proof(setup, wanted, out, at=day, workers=workers, progress=bar)
    if as_json:
        say_json({"done": True, "items": made.items, "files": [str(file) for file in made.files],
                  "mark": made.mark, "held": made.held,
                  "problems": [problem_as_json(problem) for problem in made.problems]})  # fmt: skip
        return
    if not quiet:
        mark = f", proof {made.mark}" if made.mark else ""
        click.echo(f"{count(made.items, 'item')}{mark} -> {', '.join(map(str, made.files))}")
    if made.held:
        held = "row is" if made.held == 1 else "rows are"
        click.echo(f"order {order}: {made.held} {held} held and not shown", err=True)
        print_problems(made.problems)
