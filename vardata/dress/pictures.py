"""Pictures made ready for a PDF: PNG, JPEG, TIFF, WebP, HEIF and pages to ``Picture``.

In: a file or its bytes. Out: ``Picture`` and remarks. Greys stay DeviceGray and print with K
alone; CMYK stays as it is. RGB stays DeviceRGB, which the printer's own software splits into
inks, and embedded profiles are not used (a note says so), unless the framing names a profile
of the machine's inks: then RGB is converted. A JPEG that is upright and whole goes into the PDF
unchanged. Marks are never see-through: alpha becomes a stencil, painted from 50 % on.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from vardata.dress import icc, page, picture_bands, picture_pixels, postscript, softedge
from vardata.dress.drawing import Picture, PlacedPicture
from vardata.dress.framing import COARSE, Framing
from vardata.dress.framing import WHOLE as ALL
from vardata.dress.inklimit import unjudged
from vardata.dress.picture_outline import WHOLE, Outline, outline
from vardata.dress.picture_pixels import Opened, unreadable
from vardata.fit.picture import SUFFIXES
from vardata.job.model import Box
from vardata.problems import JobError, Problem, Severity, Where
from vardata.units import MM_PER_INCH

GOOD = 300.0  # ppi to aim at: common practice, no source
SOFT = 0.1  # share of partly transparent pixels from which a picture is a fade, not an edge
PAGES = (".pdf", ".eps")
RASTERS = tuple(suffix for suffix in SUFFIXES if suffix not in PAGES)
_SPACES: dict[int, Literal["DeviceGray", "DeviceRGB", "DeviceCMYK"]] = {
    1: "DeviceGray",
    3: "DeviceRGB",
    4: "DeviceCMYK",
}
_NOWHERE = Where()
Change = Callable[[NDArray[np.uint8]], NDArray[np.uint8]]  # a band of RGB into inks


class Loaded(NamedTuple):
    """A picture and what is worth knowing about it (notes and warnings)."""

    picture: Picture
    notes: tuple[Problem, ...]


def load_picture(path: Path, framing: Framing = ALL) -> Picture:
    """The picture of a file, without its remarks; see ``read_picture``."""
    return read_picture(path, framing).picture


def read_picture(path: Path, framing: Framing = ALL, where: Where | None = None) -> Loaded:
    """Read a file, as the framing says.

    Raises ``JobError`` (``picture-unreadable``) placed at ``where``, else at the file's name.
    """
    where = where or Where(path.name)
    if path.suffix.lower() not in SUFFIXES:
        found = repr(path.suffix) if path.suffix else "a file without a suffix"
        what = f"a picture is PNG, JPEG, TIFF, WebP, HEIF, PDF or EPS, not {found}"
        raise unreadable(where, what, picture_pixels.AGAIN)
    if path.suffix.lower() in RASTERS:
        return from_bytes(_bytes(path, where), where, framing)
    data = _bytes(path, where)
    if path.suffix.lower() == ".eps":
        data = postscript.page_of(data, where)
    read = page.read_page(data, where, framing)
    return Loaded(_keyed(read.picture), read.notes)


def canonical(path: str, framing: Framing) -> Framing:
    """The framing without what does not matter for a file, so that one picture is read once."""
    if Path(path).suffix.lower() not in RASTERS:
        return framing._replace(min_ppi=0.0)
    return Framing(
        framing.aspect, framing.anchor, ink=framing.ink, soft=framing.soft, fades=framing.fades
    )


class Judged(NamedTuple):
    """Why a file cannot be printed, or None; its pixels per inch in its box, 0 for a page; the
    most ink that it has, as in ``Picture``."""

    fault: Problem | None
    ppi: float = 0.0
    heaviest: float = 0.0


def judged(path: Path, framing: Framing = ALL) -> Judged:
    """Whether a file can be printed. It is decoded to its end, and not kept."""
    try:
        if path.suffix.lower() not in RASTERS:
            return Judged(None, 0.0, read_picture(path, framing).picture.heaviest)
        data = _bytes(path, _NOWHERE)
        size = picture_pixels.opened(data, _NOWHERE).upright_size
        found = too_coarse(size, framing, _NOWHERE)
        ink = from_bytes(data, _NOWHERE, framing).picture.heaviest if framing.limited else 0.0
    except JobError as error:
        return Judged(error.problems[0])
    return Judged(found, ppi_in_box(size, framing), ink)


def _bytes(path: Path, where: Where) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        what = f"the picture cannot be opened ({error.strerror or 'no reason given'})"
        raise unreadable(where, what, "mend the name or the rights of the file") from None


def from_bytes(data: bytes, where: Where, framing: Framing = ALL) -> Loaded:
    """As ``read_picture``, from the bytes of a raster file."""
    opened = picture_pixels.opened(data, where)
    converts = bool(framing.profile) and opened.image.mode not in ("L", "1", "CMYK")
    notes = [] if converts else _profile(opened, where)
    window = _window(opened.upright_size, framing)
    passes = (
        not converts
        and opened.jpeg is not None
        and opened.jpeg.printable
        and opened.orientation == 1
        and window is None
    )
    kept = data[: opened.jpeg.end] if passes and opened.jpeg is not None else b""
    del data  # a large picture is in memory once
    own = opened.image.info.get("icc_profile")
    jpeg_mode = opened.image.mode
    if passes and framing.ink is None:
        whole, alpha = opened.image, None
    else:
        whole, alpha = picture_pixels.upright(opened, where)
    del opened
    if window is not None:
        left, top, right, bottom = window
        whole = whole.crop(window)
        alpha = None if alpha is None else alpha[top:bottom, left:right]
    if framing.ink is not None:
        alpha = picture_bands.inked(whole, alpha, framing.ink)
    kept_soft = None
    if framing.soft and alpha is not None and ((alpha > 0) & (alpha < 255)).any():
        kept_soft = softedge.soft(alpha)._replace(fades=framing.fades)
        if framing.fades:
            whole = softedge.thinned(whole, alpha)
        alpha = np.where(alpha >= softedge.SEEN, 255, 0).astype(np.uint8)
    mask, found = _stencil(alpha, where, notes)
    del alpha
    change = None
    if converts and whole.mode == "RGB":
        change = partial(icc.converted, own=own, profile=framing.profile, where=where)
    if passes:
        made = _passed(kept, jpeg_mode, whole.size)._replace(mask=mask, coverage=found.commands)
    else:
        made = _packed(whole, change, mask, found)
    if framing.limited:
        judge = change
        if judge is None and whole.mode == "RGB" and framing.judged_by:
            judge = partial(icc.converted, own=own, profile=framing.judged_by, where=where)
        if judge is None and whole.mode == "RGB":
            notes.append(unjudged("picture", where))
        made = made._replace(heaviest=picture_bands.heaviest(whole, judge))
    little = picture_bands.small(whole)
    if little is not None:
        small = _small(little, change, mask, made)._replace(soft=kept_soft)
        made = made._replace(small=_keyed(small))
    return Loaded(_keyed(made._replace(soft=kept_soft)), tuple(notes))


def _small(
    little: Image.Image, change: Change | None, mask: bytes, large: Picture
) -> Picture:
    """A picture for papers, its stencil as much smaller."""
    made = _packed(little, change, b"", Outline(large.coverage))
    if mask:
        bits = Image.frombytes("1", (large.width, large.height), mask)
        made = made._replace(mask=bits.resize(little.size, Image.Resampling.NEAREST).tobytes())
    return made


def _window(size: tuple[int, int], framing: Framing) -> tuple[int, int, int, int] | None:
    """(left, top, right, bottom) of the part that is kept; None if it is all."""
    (w, h), aspect = size, framing.aspect
    if aspect is None:
        return None
    new_w, new_h = max(1, round(h * aspect)), max(1, round(w / aspect))
    new_w, new_h = (new_w, h) if new_w < w else (w, min(h, new_h))
    if (new_w, new_h) == (w, h):
        return None
    across, upwards = framing.anchor
    left, top = int((w - new_w) * across), int((h - new_h) * (1 - upwards))
    return left, top, left + new_w, top + new_h


def _profile(opened: Opened, where: Where) -> list[Problem]:
    profile: bytes = opened.image.info.get("icc_profile") or b""
    if not profile or b"sRGB" in profile or "sRGB".encode("utf-16-be") in profile:
        return []
    what, remedy = "the picture's colour profile is not used", "convert it to sRGB before"
    return [Problem("picture-profile", Severity.NOTE, what, remedy, where)]


def _stencil(
    alpha: NDArray[np.uint8] | None, where: Where, notes: list[Problem]
) -> tuple[bytes, Outline]:
    """The mask and its outline; adds what becomes of soft edges to ``notes``."""
    if alpha is None:
        return b"", Outline(WHOLE)
    mask = alpha >= 128
    soft = int(((alpha > 0) & (alpha < 255)).sum())
    if soft:
        share = soft / int((alpha > 0).sum())
        severity = Severity.WARNING if share > SOFT else Severity.NOTE
        what = (
            f"{soft} pixels ({share:.1%} of what shows) are partly transparent; those of 50 % "
            "and more are printed in full, the others not at all"
        )
        remedy = "give the picture hard edges if that does not do"
        notes.append(Problem("picture-soft", severity, what, remedy, where, str(soft)))
    if not mask.any():
        what, remedy = "the picture is wholly transparent", "check that it is the right file"
        notes.append(Problem("picture-empty", Severity.WARNING, what, remedy, where))
    found = outline(mask)
    if found.coarser > 1:
        what = (
            "the picture's transparency is noise; white and gloss follow it only within "
            f"{found.coarser} pixels"
        )
        notes.append(Problem("picture-ragged", Severity.WARNING, what, "clean its edges", where))
    return (b"" if mask.all() else np.packbits(mask, axis=1).tobytes()), found


def _passed(data: bytes, mode: str, size: tuple[int, int]) -> Picture:
    """A JPEG as it is. Adobe's CMYK holds 255 for no ink, which Decode turns round."""
    parts = picture_pixels.MODES[mode]
    decode = (1.0, 0.0) * 4 if parts == 4 else ()
    return Picture("", *size, _SPACES[parts], "DCTDecode", data, decode, b"", WHOLE)


def _packed(image: Image.Image, change: Change | None, mask: bytes, found: Outline) -> Picture:
    space = _SPACES[4 if change is not None else picture_pixels.MODES[image.mode]]
    data = picture_bands.packed(image, change)
    return Picture("", *image.size, space, "FlateDecode", data, (), mask, found.commands)


def _keyed(picture: Picture) -> Picture:
    """With its key: a hash of all that a file stores of it."""
    digest = hashlib.sha256(repr((*picture[1:5], picture.decode)).encode())
    soft = picture.soft.data if picture.soft is not None else b""
    for part in (picture.data, picture.mask, *filter(None, (soft,))):
        digest.update(len(part).to_bytes(8, "big"))
        digest.update(part)
    return picture._replace(key=digest.hexdigest()[:32])


# ------------------------------------------------------------ placing


def effective_ppi(picture: Picture, w_mm: float, h_mm: float) -> float:
    """Pixels per inch of a picture printed this large; the lower of across and up."""
    return min(picture.width / w_mm, picture.height / h_mm) * MM_PER_INCH


def ppi_in_box(size: tuple[int, int], framing: Framing) -> float:
    """Pixels per inch of a picture of so many pixels in its box."""
    window = _window(size, framing)
    w, h = (window[2] - window[0], window[3] - window[1]) if window else size
    across, up = (n / mm * MM_PER_INCH for n, mm in zip((w, h), framing.size))
    return min(across, up) if framing.stretch else max(across, up)


def too_coarse(size: tuple[int, int], framing: Framing, where: Where) -> Problem | None:
    """Why a picture of so many pixels is refused in its box: it has fewer than the least ppi."""
    if not framing.min_ppi:
        return None
    ppi = ppi_in_box(size, framing)
    if ppi >= framing.min_ppi:
        return None
    what = f"it has {ppi:.0f} ppi at its size, and at least {framing.min_ppi:g} are wanted"
    remedy = 'use one with more pixels, or lower "min_ppi"'
    return Problem("picture-too-coarse", Severity.ERROR, what, remedy, where, f"{ppi:.0f}")


def coarse(
    picture: Picture, w_mm: float, h_mm: float, where: Where = _NOWHERE, least: float = 0.0
) -> Problem | None:
    """A warning (``picture-coarse``) if the picture has fewer than 150 ppi at this size; an error
    if it has fewer than ``least``."""
    ppi = effective_ppi(picture, w_mm, h_mm)
    if ppi >= max(COARSE, least) or picture.space == "Page":
        return None
    across, up = (round(side / MM_PER_INCH * GOOD) for side in (w_mm, h_mm))
    what = f"the picture has {ppi:.0f} ppi at {w_mm:.1f} x {h_mm:.1f} mm, so its pixels show"
    remedy = f"use one of {across} x {up} pixels ({GOOD:.0f} ppi)"
    if ppi < least:
        what = f"the picture has {ppi:.0f} ppi at its size, and at least {least:g} are wanted"
    severity = Severity.ERROR if ppi < least else Severity.WARNING
    return Problem("picture-coarse", severity, what, remedy, where, f"{ppi:.0f}")


def place(
    picture: Picture,
    box: Box,
    fit: Literal["contain", "cover", "stretch"],
    rotation: float = 0.0,
) -> PlacedPicture:
    """A picture in a box of item mm, turned about the box's centre.

    "contain" shows all of it, centred. For "cover" the picture has been cropped to the box's
    shape when it was read, so that like "stretch" it fills the box.
    """
    x, y, w, h = box
    if fit == "contain":
        scale = min(w / picture.width, h / picture.height)
        new_w, new_h = picture.width * scale, picture.height * scale
        x, y, w, h = x + (w - new_w) / 2, y + (h - new_h) / 2, new_w, new_h
    return PlacedPicture(picture, x, y, w, h, rotation)
