"""The pick list: slot to order and order to slots, for the people at the bench.

How a run makes it, bed by bed and in any number of processes:

- a worker: ``pick_rows`` of its lines, from them ``csv_rows`` and ``rows_xml``; ``build_part``;
- the parent, in the order of the beds: ``write_csv`` and ``write_xlsx`` of those parts;
  ``BlankTally.add`` for each bed; at the end ``build_front``, ``build_orders`` for each of
  ``order_chunks``, and ``join`` of front, beds and orders.

Everything here is a plain function of its arguments: the same lines give the same bytes.
"""

from __future__ import annotations

from vardata.output.blanks import BlankTally
from vardata.output.picklist_front import build_front
from vardata.output.picklist_join import Info, join
from vardata.output.picklist_orders import build_orders, natural_key, order_chunks
from vardata.output.picklist_pages import build_part
from vardata.output.picklist_values import (
    BedFile,
    BedPaper,
    BlankUse,
    FrontPaper,
    Look,
    OrderPieces,
    PaperFonts,
    Piece,
    Pocket,
    RunPaper,
)
from vardata.output.sheetxml import rows_xml
from vardata.output.slotline import SlotLine
from vardata.output.tables import csv_rows, headings, pick_rows, write_csv
from vardata.output.xlsxfile import Form, pick_form, write_xlsx

__all__ = [
    "BedFile",
    "BedPaper",
    "BlankTally",
    "BlankUse",
    "Form",
    "FrontPaper",
    "Info",
    "Look",
    "OrderPieces",
    "PaperFonts",
    "Piece",
    "Pocket",
    "RunPaper",
    "SlotLine",
    "build_front",
    "build_orders",
    "build_part",
    "csv_rows",
    "headings",
    "join",
    "natural_key",
    "order_chunks",
    "pick_form",
    "pick_rows",
    "rows_xml",
    "write_csv",
    "write_xlsx",
]
