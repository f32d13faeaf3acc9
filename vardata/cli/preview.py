"""``vardata preview``: a picture of a bed or of one item."""

from __future__ import annotations

from pathlib import Path

import click

from vardata.cli.guard import guarded, say_json
from vardata.cli.options import common, job_argument


@click.command("preview")
@job_argument
@click.option("--out", type=click.Path(path_type=Path), required=True, help="The PNG to write.")
@click.option("--bed", type=click.IntRange(1), default=1, help="Which bed; default: the first.")
@click.option("--record", metavar="KEY", help="One item instead, such as 'Sheet1!12#1'.")
@click.option("--slot", metavar="NAME", help="One item instead: what lies in this slot of --bed.")
@click.option(
    "--product", metavar="NAME", help="Of a mixed job: beds are counted among this product's."
)
@click.option("--side", type=click.Choice(["A", "B"]), help="Of two-sided pieces; default: A.")
@click.option(
    "--plates", metavar="A,B", help="Only these plates, by their names in the layout."
)
@click.option("--substrate", metavar="#RRGGBB", help="Show every blank in this colour.")
@click.option(
    "--photo", type=click.Path(path_type=Path), help="Show every blank as in this picture of one: "
    "it fills the item's box, its middle kept, and is cut to the outline.",
)
@click.option("--lit", is_flag=True, help="As a panel looks in the dark with light behind it.")
@click.option(
    "--dpi", type=click.IntRange(20, 1200), help="Dots per inch of the picture; default: 100 for a "
    "bed, 300 for an item.",
)
@click.option(
    "--as", "way", type=click.Choice(["seen", "printed"]), default="seen",
    help="Plates that are printed mirrored: as they are seen, or as they lie on the bed.",
)
@common
@guarded
def command(
    job: Path, out: Path, bed: int, record: str | None, slot: str | None,
    product: str | None, side: str | None, plates: str | None, substrate: str | None,
    photo: Path | None, lit: bool, dpi: int | None, way: str, sheet: Path | None,
    workers: int | None,
    quiet: bool, as_json: bool, debug: bool,
) -> None:
    """Draw a bed or an item as a PNG picture, as it will look on its blanks.

    With --plates only those plates are shown: white on the blank's colour, any other on paper.
    Nothing is used up: previews leave no trace in the ledger.
    """
    from vardata.cli.bar import progress
    from vardata.job.load import load_setup
    from vardata.preview import Wanted, preview

    setup = load_setup(job, sheet)
    names = tuple(name.strip() for name in plates.split(",")) if plates else ()
    wanted = Wanted(
        bed, record, slot, names, substrate, dpi, way == "printed", product, photo, lit, side
    )
    with progress(quiet or as_json) as bar:
        shown = preview(setup, wanted, out, workers=workers, progress=bar)
    if as_json:
        say_json({"done": True, "file": str(out), **shown._asdict()})
    elif not quiet:
        click.echo(f"{shown.what}, {shown.width} x {shown.height} pixels -> {out}")
