"""A profile's table from inks to colours, read by ICC.1:2010, 10.10 and 10.11, by numpy alone."""

from __future__ import annotations

import struct

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import RegularGridInterpolator

Floats = NDArray[np.float64]


def lab_of_inks(profile: bytes, inks: Floats) -> Floats:
    """Lab (D50) of inks from 0 to 1, by the table A2B1 (relative colorimetric)."""
    (count,) = struct.unpack(">I", profile[128:132])
    tags = {}
    for n in range(count):
        name, offset, size = struct.unpack(">4sII", profile[132 + 12 * n : 144 + 12 * n])
        tags[name] = profile[offset : offset + size]
    data = tags.get(b"A2B1") or tags[b"A2B0"]
    kind, inputs, outputs, grid = data[:4], data[8], data[9], data[10]
    assert inputs == 4 and outputs == 3
    wide = kind == b"mft2"
    assert wide or kind == b"mft1"
    if wide:
        entries, exits = struct.unpack(">HH", data[48:52])
        values = np.frombuffer(data[52:], ">u2").astype(np.float64) / 65535
    else:
        entries = exits = 256
        values = np.frombuffer(data[48:], np.uint8).astype(np.float64) / 255
    first = values[: 4 * entries].reshape(4, entries)
    table = values[4 * entries : 4 * entries + 3 * grid**4].reshape(grid, grid, grid, grid, 3)
    last = values[4 * entries + 3 * grid**4 :][: 3 * exits].reshape(3, exits)
    curved = np.stack([np.interp(inks[:, i], np.linspace(0, 1, entries), first[i])
                       for i in range(4)], axis=1)  # fmt: skip
    axes = [np.linspace(0, 1, grid)] * 4
    found = RegularGridInterpolator(axes, table)(curved)
    out = np.stack([np.interp(found[:, i], np.linspace(0, 1, exits), last[i])
                    for i in range(3)], axis=1)  # fmt: skip
    # ICC.1, 6.3.4.2 and annex A: 16 bit encoding of a v2 profile tops at FF00.
    scale = 65535 / 65280 if wide else 1.0
    lab = out * scale
    return np.stack([lab[:, 0] * 100, lab[:, 1] * 255 - 128, lab[:, 2] * 255 - 128], axis=1)
