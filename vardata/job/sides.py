"""The table ``[side_b]`` of a job: how the other side of every piece is dressed, and turned.

One definition validates TOML, types the code and exports the JSON Schema; the text under a key
is its description there. What a turn does to slots is ``job.turning``'s.
"""

from __future__ import annotations

from typing import Literal

from vardata.job.frozen import Model
from vardata.job.values import Mm

Axis = Literal["vertical", "horizontal"]
Reads = Literal["book", "calendar"]


class SideB(Model):
    """The second side of two-sided pieces: the same records in matching slots."""

    layout: str
    """the layout of side B, written as that side is seen: a layout file, or a shipped one's name"""
    turn: Literal["pieces", "jig"] = "pieces"
    """what is turned at the machine: each piece in its pocket, or the whole jig with its pieces"""
    axis: Axis = "vertical"
    """vertical: left and right change places; horizontal: top and bottom do; of the piece as side A shows it, or of the bed where the jig is turned"""  # noqa: E501
    axis_at: Mm | None = None
    """turn = "jig": where the axis lies, from the left of the bed (vertical) or from its front; by default in the middle"""  # noqa: E501
    reads: Reads = "book"
    """how whoever holds a piece turns it to read side B: as the page of a book, so that both tops are one; or as that of a wall calendar, so that the top of one is the foot of the other"""  # noqa: E501
    jig: str | None = None
    """turn = "pieces": a jig of its own for side B, with slots of the same names; by default the jig of side A"""  # noqa: E501
