"""``vardata approve``: a customer's word on a proof, noted in the ledger."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from vardata.cli.build import moment
from vardata.cli.guard import guarded, say_json
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
    """Note that an order was approved: its rows, the layout, its fonts and its art as they are.

    A build then holds every row of the order that is not as it was approved.
    """
    from vardata.job.load import load_setup
    from vardata.proofs.proof import approve_order

    day = moment(at) or datetime.now(UTC)
    found = approve_order(load_setup(job, sheet), order, who, mark, day)
    if as_json:
        say_json({"done": True, "order": order, "by": who, "mark": found})
    elif not quiet:
        click.echo(f"order {order}, proof {found}: approved by {who} on {day:%Y-%m-%d}")
