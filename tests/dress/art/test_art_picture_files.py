"""Files that are no pictures, broken or hostile, and the exact line that says so."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import pytest
from art_judges import AT, photo, saved
from PIL import Image

from vardata.dress import pictures
from vardata.problems import JobError


def apng() -> bytes:
    frames = [photo(), photo().rotate(180)]
    return saved(frames[0], save_all=True, append_images=frames[1:])


def bomb() -> bytes:
    """A PNG of a few hundred bytes that claims 60,000 x 60,000 pixels."""
    head = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    chunks = [(b"IHDR", head), (b"IDAT", zlib.compress(bytes(1000))), (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        for kind, body in chunks
    )


def without_adobe() -> bytes:
    data = saved(Image.new("CMYK", (8, 8)), "JPEG")
    at = data.index(b"Adobe") - 4
    return data[:at] + data[at + 16 :]


def flipped() -> bytes:
    data = bytearray(saved(photo()))
    data[data.index(b"IDAT") + 8] ^= 0xFF
    return bytes(data)


PNG, JPEG = saved(photo()), saved(photo(), "JPEG")
NO_PICTURE = "the file is none of PNG, JPEG, TIFF, WebP and HEIF; save it again as PNG or JPEG"
REFUSED = {
    b"": "the file is empty; put the whole file in its place",
    b"hello": NO_PICTURE,
    saved(photo("P"), "GIF"): NO_PICTURE,
    saved(photo(), "TIFF", save_all=True, append_images=[photo()]):
        "the TIFF has several pages; save one of them",
    b"\0\0\0\x18ftypheic" + bytes(40): NO_PICTURE,
    PNG[: len(PNG) // 2]: "the picture is cut short; copy or export the file again",
    JPEG[: len(JPEG) // 2]: "the picture is cut short; copy or export the file again",
    PNG[:20]: "the picture is cut short; copy or export the file again",
    flipped(): "the picture is damaged; export it again as PNG or JPEG",
    apng(): "the picture moves; save one frame of it as PNG",
    bomb(): "the picture has far more pixels; at most 89 million are read; "
    "scale it down to 300 ppi at its printed size",
    without_adobe(): "the CMYK JPEG has no Adobe marker, so its inks may be inverted; "
    "save it again as JPEG, or as PNG in RGB",
}  # fmt: skip


@pytest.mark.parametrize("data", REFUSED, ids=range(len(REFUSED)))
def test_is_refused(data: bytes) -> None:
    with pytest.raises(JobError) as caught:
        pictures.from_bytes(data, AT)
    assert str(caught.value) == "photo.png: " + REFUSED[data]
    assert caught.value.problems[0].kind == "picture-unreadable"


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("logo.gif", "logo.gif: a picture is PNG, JPEG, TIFF, WebP, HEIF, PDF or EPS, not '.gif'; "
         "save it again as PNG or JPEG"),
        ("logo", "logo: a picture is PNG, JPEG, TIFF, WebP, HEIF, PDF or EPS, not a file without a "
         "suffix; "
         "save it again as PNG or JPEG"),
        ("gone.png", "gone.png: the picture cannot be opened (No such file or directory); "
         "mend the name or the rights of the file"),
        ("folder.png", "folder.png: the picture cannot be opened (Is a directory); "
         "mend the name or the rights of the file"),
    ],
)  # fmt: skip
def test_files_that_are_no_pictures(tmp_path: Path, name: str, line: str) -> None:
    (tmp_path / "folder.png").mkdir()
    with pytest.raises(JobError) as caught:
        pictures.load_picture(tmp_path / name)
    assert str(caught.value) == line


@pytest.mark.parametrize("where", range(0, len(PNG), 7))
def test_a_flipped_byte_is_read_or_refused(where: int) -> None:
    for data in (PNG, JPEG):
        broken = bytearray(data)
        broken[where % len(data)] ^= 0x5A
        try:
            pictures.from_bytes(bytes(broken), AT)
        except JobError as error:
            assert "\n" not in str(error)
