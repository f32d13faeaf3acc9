"""Builds the output profile that ships, ``vardata/profiles/cgats-tr-001.icc``.

    python tests/profiles/build_profile.py

In: ``tr001-source.icc``, a profile under CC0 1.0 that only tells the colours of inks (CGATS TR 001,
web offset on coated stock: relative to the paper, black point scaled to nothing). Out: an ICC v2.4
printer profile with the same table, byte for byte, and what that one lacks: tables from colours
to inks, found here by inverting it, and which colours have no inks.

The black ink is the least that is needed and a share of what could be used beside it, more of it
the darker the colour; all four inks together stay below 300 %. A colour without inks goes to the
nearest that has, a change of hue counting more than one of lightness or chroma.
Layout of the file: ICC.1:2001-04 (version 2.4), 6.1 header, 6.4 tags, 6.5.8 lut16Type.
"""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

Floats = NDArray[np.float64]

HERE = Path(__file__).parent
SOURCE = HERE / "tr001-source.icc"
OUT = HERE.parents[1] / "vardata" / "profiles" / "cgats-tr-001.icc"
NAME = b"CGATS TR 001, coated web offset"
GRID = 21  # nodes along L, a and b; a = b = 0 lies on one of them
MOST = 3.0  # full inks together: 300 %, as that printing condition is usually kept (from memory)
BLACKS = np.linspace(0.0, 1.0, 41)
SHARE = 0.6  # of the black that could be used beside the least that is needed
HUE = 2.0  # weight of a change of hue
NEAR = 0.4  # of the colour difference of two blacks that count as equal
CURVE = 256  # entries of the tables behind the grid


class Forward:
    """The colours of inks by a lut16Type table with four inputs."""

    def __init__(self, profile: bytes) -> None:
        self.tag = tag_of(profile, b"A2B0")
        grid, (entries, exits) = self.tag[10], struct.unpack(">HH", self.tag[48:52])
        values = np.frombuffer(self.tag[52:], ">u2").astype(np.float64)
        assert self.tag[:4] == b"mft2" and exits == 2  # nothing behind the grid
        self.curves = values[: 4 * entries].reshape(4, entries) / 65535
        nodes = values[4 * entries : 4 * entries + 3 * grid**4].reshape(-1, 3)
        self.grid = grid
        # Annex A of ICC.1:2001: FF00 is 100 of L, 8000 is 0 of a and b.
        self.nodes = np.stack(
            [nodes[:, 0] / 652.8, nodes[:, 1] / 256 - 128, nodes[:, 2] / 256 - 128], axis=1
        )

    def lab(self, places: Floats) -> tuple[Floats, Floats]:
        """Colours at places (n, 4) in the grid, from 0 to 1, and their slopes (n, 3, 4)."""
        at = np.clip(places, 0.0, 1.0) * (self.grid - 1)
        low = np.minimum(at.astype(np.int64), self.grid - 2)
        part = at - low
        strides = self.grid ** np.arange(3, -1, -1)
        lab = np.zeros((len(at), 3))
        slope = np.zeros((len(at), 3, 4))
        for corner in range(16):
            up = np.array([corner >> bit & 1 for bit in (3, 2, 1, 0)])
            found = self.nodes[((low + up) * strides).sum(axis=1)]
            weights = np.where(up == 1, part, 1 - part)
            lab += found * weights.prod(axis=1)[:, None]
            for ink in range(4):
                others = np.delete(weights, ink, axis=1).prod(axis=1)
                sign = 1.0 if up[ink] else -1.0
                slope[:, :, ink] += found * (sign * (self.grid - 1) * others)[:, None]
        return lab, slope

    def inks(self, places: Floats) -> Floats:
        """How much ink places in the grid are: the curves before it, backwards."""
        return np.stack([self.back(ink, places[:, ink]) for ink in range(4)], axis=1)

    def back(self, ink: int, places: Floats) -> Floats:
        curve = self.curves[ink]
        return np.interp(places, curve, np.linspace(0.0, 1.0, len(curve)))


def tag_of(profile: bytes, wanted: bytes) -> bytes:
    for n in range(int.from_bytes(profile[128:132], "big")):
        name, offset, size = struct.unpack(">4sII", profile[132 + 12 * n : 144 + 12 * n])
        if name == wanted:
            return profile[offset : offset + size]
    raise KeyError(wanted)


def axes_of(lab: Floats) -> Floats:
    """Weighted directions (n, 3, 3) in which a difference from a colour is judged."""
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    unit = lab[:, 1:] / np.maximum(chroma, 1e-6)[:, None]
    unit = np.where(chroma[:, None] > 1e-6, unit, [1.0, 0.0])
    hue = 1.0 + (HUE - 1.0) * np.clip(chroma / 10.0, 0.0, 1.0)
    rows = np.zeros((len(lab), 3, 3))
    rows[:, 0, 0] = 1.0
    rows[:, 1, 1:] = unit
    rows[:, 2, 1:] = np.stack([-unit[:, 1], unit[:, 0]], axis=1) * hue[:, None]
    return rows


def solve(forward: Forward, lab: Floats, black: Floats, start: Floats) -> tuple[Floats, Floats]:
    """The places of C, M, Y that come nearest to colours with black given; how far they are.

    Gauss and Newton with damping (Levenberg), each step kept inside the grid.
    """
    axes, places = axes_of(lab), np.column_stack([start, black])
    damping = np.full(len(lab), 1.0)
    error, residual, slope = _judged(forward, lab, axes, places)
    for _ in range(60):
        j = slope[:, :, :3]
        normal = np.einsum("nij,nik->njk", j, j) + damping[:, None, None] * np.eye(3)
        gradient = np.einsum("nij,ni->nj", j, residual)
        inks = places[:, :3]
        fixed = (inks <= 0.0) & (gradient > 0.0) | (inks >= 1.0) & (gradient < 0.0)
        normal = np.where((fixed[:, :, None] | fixed[:, None, :]), np.eye(3), normal)
        step = np.linalg.solve(normal, np.where(fixed, 0.0, gradient)[:, :, None])[:, :, 0]
        tried = places.copy()
        tried[:, :3] = np.clip(places[:, :3] - step, 0.0, 1.0)
        new_error, new_residual, new_slope = _judged(forward, lab, axes, tried)
        better = new_error < error
        places[better], error[better] = tried[better], new_error[better]
        residual[better], slope[better] = new_residual[better], new_slope[better]
        damping = np.clip(np.where(better, damping / 3.0, damping * 4.0), 1e-3, 1e6)
    return places, np.sqrt(error)


def _judged(
    forward: Forward, lab: Floats, axes: Floats, places: Floats
) -> tuple[Floats, Floats, Floats]:
    found, slope = forward.lab(places)
    residual = np.einsum("nij,nj->ni", axes, found - lab)
    slope = np.einsum("nij,njk->nik", axes, slope)
    inks = forward.inks(places)
    over = np.maximum(inks.sum(axis=1) - MOST, 0.0) * 200.0
    steep = np.where(over > 0.0, 200.0, 0.0)[:, None] * np.ones((1, 4))
    residual = np.concatenate([residual, over[:, None]], axis=1)
    slope = np.concatenate([slope, steep[:, None, :]], axis=1)
    return (residual**2).sum(axis=1), residual, slope


def invert(forward: Forward) -> tuple[Floats, Floats]:
    """Places of inks at the nodes of a grid over Lab, and how far their colours are off."""
    side = np.linspace(0.0, 1.0, GRID) * 65535
    light, other = side / 652.8, side / 256 - 128
    lab = np.stack(np.meshgrid(light, other, other, indexing="ij"), axis=-1).reshape(-1, 3)
    lab[:, 0] = np.minimum(lab[:, 0], 100.0)
    start = np.column_stack([1.0 - lab[:, 0] / 100.0] * 3) * 0.7
    errors: list[Floats] = []
    for amount in BLACKS:
        black = np.full(len(lab), amount)
        places, error = solve(forward, lab, black, start)
        start = places[:, :3]
        errors.append(error)
    error = np.stack(errors)
    good = error <= error.min(axis=0) + NEAR
    least = np.where(good, BLACKS[:, None], 2.0).min(axis=0)
    most = np.where(good, BLACKS[:, None], -1.0).max(axis=0)
    ease = np.clip((most - 0.1) / 0.9, 0.0, 1.0)
    wanted = least + (most - least) * SHARE * ease * ease * (3 - 2 * ease)
    smooth = gaussian_filter(wanted.reshape((GRID,) * 3), 0.7, mode="nearest").ravel()
    black = np.clip(smooth, least, most)
    start = np.column_stack([1.0 - lab[:, 0] / 100.0] * 3) * 0.7
    return solve(forward, lab, black, start)


def lut16(inputs: int, grid: int, first: Floats, nodes: Floats, last: Floats) -> bytes:
    """A lut16Type (ICC.1:2001-04, 6.5.8); all values from 0 to 1."""
    head = struct.pack(">4sxxxxBBBx9i", b"mft2", inputs, len(last), grid,
                       65536, 0, 0, 0, 65536, 0, 0, 0, 65536)  # fmt: skip
    head += struct.pack(">HH", first.shape[1], last.shape[1])
    parts = (first, nodes, last)
    return head + b"".join(np.round(part * 65535).astype(">u2").tobytes() for part in parts)


def assembled(tags: dict[bytes, bytes], white: bytes) -> bytes:
    """The file: equal tags share their place."""
    places: dict[bytes, int] = {}
    table, body = b"", b""
    start = 132 + 12 * len(tags)
    for name, data in tags.items():
        if data not in places:
            body += bytes(-(start + len(body)) % 4)
            places[data] = start + len(body)
            body += data
        table += struct.pack(">4sII", name, places[data], len(data))
    head = struct.pack(">I4xI4s4s4s6H4s", start + len(body), 0x02400000, b"prtr", b"CMYK",
                       b"Lab ", 2000, 1, 1, 0, 0, 0, b"acsp")  # fmt: skip
    head += bytes(24) + struct.pack(">I", 1) + white + bytes(48)  # relative colorimetric
    return head + struct.pack(">I", len(tags)) + table + body


def main() -> None:
    source = SOURCE.read_bytes()
    forward = Forward(source)
    places, error = invert(forward)
    assert len(places) == GRID**3
    back = np.linspace(0.0, 1.0, CURVE)
    last = np.stack([forward.back(ink, back) for ink in range(4)])
    straight = np.array([[0.0, 1.0]] * 3)
    inks = lut16(3, GRID, straight, places, last)
    outside = np.clip((error - 1.0) / 20.0, 0.0, 1.0)  # 6.4.16: 0 where a colour has inks
    gamut = lut16(3, GRID, straight, outside[:, None], np.array([[0.0, 1.0]]))
    text = struct.pack(">4sxxxxI", b"desc", len(NAME) + 1) + NAME + bytes(1 + 8 + 3 + 67)
    white = tag_of(source, b"wtpt")
    tags = {b"desc": text, b"cprt": b"text\0\0\0\0CC0 1.0\0", b"wtpt": white}
    tags |= {b"A2B%d" % n: forward.tag for n in range(3)}
    tags |= {b"B2A%d" % n: inks for n in range(3)}
    tags[b"gamt"] = gamut
    OUT.write_bytes(assembled(tags, white[8:20]))
    print(f"{OUT.name}: {OUT.stat().st_size} bytes")


if __name__ == "__main__":
    main()
