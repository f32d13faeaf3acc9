"""``vardata approve``: a customer's word on a proof, noted in the ledger."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from vardata.cli.build import moment
from vardata.cli.guard import guarded, print_problems, problem_as_json, say_json
from vardata.cli.options import common, job_argument
from vardata.cli.words import count
from vardata.problems import CallError, fail

if TYPE_CHECKING:
    from vardata.proofs.approval import Standing


@click.command("approve")
@job_argument
@click.option("--order", metavar="ORDER", help="The order that was approved.")
@click.option("--by", "who", metavar="NAME", help="Who approved it.")
@click.option("--proof", "mark", metavar="MARK", help="The proof they saw: its mark, at its foot.")
@click.option("--at", metavar="DATE", help="When, in UTC; default: now.")
@click.option("--list", "listed", is_flag=True, help="Show what is approved, and what changed.")
@common
@guarded
def command(
    job: Path, order: str | None, who: str | None, mark: str | None, at: str | None,
    listed: bool, sheet: Path | None, workers: int | None, quiet: bool, as_json: bool,
    debug: bool,
) -> None:
    """Note that an order was approved: its rows and their pictures, layout, fonts, art as they are.

    A build then holds every row of the order that is not as it was approved. Rows that are held
    now are on no proof: they are not approved, and told.
    """
    from vardata.job.load import load_setup
    from vardata.proofs.approval import approve_order, standings

    if listed:
        _list(standings(load_setup(job, sheet)), as_json)
        return
    if order is None or who is None:
        lacking = "--order" if order is None else "--by"
        remedy = "say which order was approved and by whom, or --list to see what is approved"
        raise fail(CallError, "which-order", f"{lacking} is missing", remedy)
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


def _list(found: list[Standing], as_json: bool) -> None:
    """Approved orders, one line each."""
    if as_json:
        say_json({"done": True, "approved": [
            {"order": one.approval.order, "by": one.approval.who,
             "at": one.approval.at.isoformat(), "records": one.records, "changed": one.changed,
             "layout_changed": one.layout_changed} for one in found
        ]})  # fmt: skip
        return
    for one in found:
        now = count(one.records, "record")
        if one.layout_changed:
            now += ", the layout, its fonts or its art changed since: all are held"
        elif one.changed:
            now += f", {one.changed} new, changed or not shown then: held"
        else:
            now += ", as approved" if one.records else ", the order is not in the sheet"
        day = f"{one.approval.at:%Y-%m-%d}"
        click.echo(f"order {one.approval.order}: by {one.approval.who} on {day}, {now}")
    if not found:
        click.echo("no order is approved")
