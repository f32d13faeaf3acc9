"""Pictures of beds, put into a finished part of the pick list.

In: a PDF whose pages say ``/Look3 Do``, and the ``Look`` of each such page. Out: the PDF with
those form XObjects (ISO 32000-1, 8.10) in the pages' resources.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

from vardata.output.picklist_values import Look


def place_looks(data: bytes, looks: Sequence[tuple[int, str, Look]]) -> bytes:
    """Adds to the page at each index, from 0, the form that it names; a page may have many."""
    import pikepdf

    with pikepdf.open(io.BytesIO(data)) as pdf:
        shared: dict[Any, Any] = {}
        pages = pdf.pages
        for index, name, look in looks:
            if look.resources not in shared:
                shared[look.resources] = look.resources(pdf)
            form = pdf.make_stream(
                look.content,
                Type=pikepdf.Name.XObject,
                Subtype=pikepdf.Name.Form,
                BBox=list(look.bbox),
                Resources=shared[look.resources],
            )
            resources = pages[index].obj.Resources
            if "/XObject" not in resources:
                resources.XObject = pikepdf.Dictionary()
            resources.XObject["/" + name] = form
        buffer = io.BytesIO()
        pdf.save(
            buffer,
            static_id=True,  # the joined file gets an ID of its own
            object_stream_mode=pikepdf.ObjectStreamMode.disable,
            compress_streams=True,
        )
        return buffer.getvalue()
