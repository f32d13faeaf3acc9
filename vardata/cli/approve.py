"""``vardata approve``: a customer's word on a proof, noted in the ledger."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from vardata.cli.build import moment
from vardata.cli.guard import guarded, print_problems, problem_as_json, say_json
from vardata.cli.options import common, job_argument


@click.command("approve")
@job_argument
@click.option("--order", required=True, metavar="ORDER", help="The order that was approved.")
@click.option("--by", "who", required=True, metavar="NAME", help="Who approved it.")
@click.option("--proof", "mark", metavar="MARK", help="The proof they saw: its mark, at its foot.")
@click.option("--at", metavar="DATE", help="When, in UTC; default: now.")
@common
@guarded
def command(
    job: Path, order: str, who: str, mark: str | None, at: str | None, sheet: Path | None,
    workers: int | None, quiet: bool, as_json: bool, debug: bool,
) -> None:
    """Note that an order was approved: its rows and their pictures, layout, fonts, art as they are.

    A build then holds every row of the order that is not as it was approved. Rows that are held
    now are on no proof: they are not approved, and told.
    """
    from vardata.job.load import load_setup
    from vardata.proofs.approval import approve_order

    day = moment(at) or datetime.now(UTC)
    found = approve_order(load_setup(job, sheet), order, who, mark, day, workers)
    if as_json:
        problems = [problem_as_json(problem) for problem in found.problems]
        say_json({"done": True, "order": order, "by": who, "mark": found.mark, "held": found.held,
                  "problems": problems})  # fmt: skip
        return
    if not quiet:
        click.echo(f"order {order}, proof {found.mark}: approved by {who} on {day:%Y-%m-%d}")
    if found.held:
        held = "row is held, was" if found.held == 1 else "rows are held, were"
        click.echo(f"order {order}: {found.held} {held} not shown and not approved; build holds "
                   "what nobody saw until a new proof of it is approved", err=True)  # fmt: skip
        print_problems(found.problems)
