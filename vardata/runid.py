"""The run id: a hash of everything that goes into a run.

Same files, settings and packages: same id, same bytes. Nothing of the clock enters.
"""

from __future__ import annotations

import hashlib
import json
import zlib
from collections.abc import Mapping
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from vardata import __version__
from vardata.job.model import Setup

# What can change a byte of the output.
PACKAGES = (
    "deflate", "fonttools", "icu4py", "jinja2", "openpyxl", "pikepdf", "pillow",
    "python-barcode", "python-stdnum", "qrcode", "reportlab", "shapely", "svglib", "uharfbuzz",
)


@cache
def versions() -> dict[str, str]:
    """Versions of ourselves and of every package that draws, shapes or writes."""
    found = {"vardata": __version__, "zlib": zlib.ZLIB_RUNTIME_VERSION}
    for name in PACKAGES:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "missing"
    return found


def run_id(files: Mapping[str, str], settings: Mapping[str, object]) -> str:
    """12 hex digits. ``files`` maps a role and name to a sha256; ``settings`` is JSON-able."""
    body = json.dumps(
        {"files": dict(files), "settings": dict(settings), "versions": versions()},
        sort_keys=True,
        ensure_ascii=True,
    )
    return hashlib.sha256(body.encode()).hexdigest()[:12]


def identify(
    setup: Setup, pictures: Mapping[str, str], serials: Mapping[str, object] | None = None,
    state: str = "", sizes: str = "",
) -> str:
    """The id of a run of ``setup`` with the pictures that its records name and its serials.

    Files count by role and content, not by where they lie; pictures by their name below the
    job's folder; ``state`` is what earlier runs say of the sheet's rows, ``sizes`` what groups
    of texts are set with.
    """
    settings = _settings(setup) | ({"serials": dict(serials)} if serials else {})
    settings |= {"earlier": state} if state else {}
    settings |= {"sizes": sizes} if sizes else {}
    return run_id(_files(setup) | _pictures(setup, pictures), settings)


def inputs_key(setup: Setup, pictures: str = "") -> str:
    """A hash of what a person puts in: the same input keeps its serials for ever.

    Unlike the run id it does not change with versions of packages, nor with the pictures that
    records name, which are known only when serials are; ``pictures`` is their hash where the
    numbers of this key belong to other pictures already.
    """
    body = json.dumps([_files(setup), _settings(setup), pictures], sort_keys=True)
    return hashlib.sha256(body.encode()).hexdigest()


def pictures_key(setup: Setup, pictures: Mapping[str, str]) -> str:
    """A hash of the pictures that records name."""
    body = json.dumps(_pictures(setup, pictures), sort_keys=True)
    return hashlib.sha256(body.encode()).hexdigest()


def _files(setup: Setup) -> dict[str, str]:
    files = {"job": sha256_of(setup.job_file), "sheet": sha256_of(setup.sheet_file)}
    for part in setup.all_sides():
        of = f"{part.layout.name}: " if setup.products else ""
        of += "side B: " if part.side == "B" else ""
        files |= {f"{of}file {name}": sha256_of(path) for name, path in part.files.items()}
        files |= {f"{of}font {name}": sha256_of(path) for name, path in part.fonts.items()}
    if setup.profile is not None:
        files["profile"] = sha256_of(setup.profile)
    return files


def _pictures(setup: Setup, pictures: Mapping[str, str]) -> dict[str, str]:
    folder = setup.job_file.parent.resolve()
    files = {}
    for path, digest in pictures.items():
        inside = Path(path).is_relative_to(folder)
        files[f"picture {Path(path).relative_to(folder) if inside else path}"] = digest
    return files


def _settings(setup: Setup) -> dict[str, object]:
    mixed = {"products": product_facts(setup)} if setup.products else {}
    return {
        **mixed,
        "layout": setup.layout.model_dump(mode="json"),
        "jig": setup.jig.model_dump(mode="json"),
        "bed": setup.bed.model_dump(mode="json"),
        "sheet": setup.sheet_file.name,
        **side_facts(setup),
    }


def product_facts(setup: Setup) -> dict[str, dict[str, object]]:
    """What each product of a mixed job is made from, by its name."""
    return {
        part.layout.name: {
            "layout": part.layout.model_dump(mode="json"),
            "jig": part.jig.model_dump(mode="json"),
            "bed": part.bed.model_dump(mode="json"),
            "print_mode": part.job.print_mode,
            **side_facts(part),
        }
        for part in setup.products
    }


def side_facts(setup: Setup) -> dict[str, object]:
    """What side B of a product is made from; nothing where pieces have one side."""
    back = setup.side_b
    if back is None:
        return {}
    layout, jig = back.layout.model_dump(mode="json"), back.jig.model_dump(mode="json")
    return {"side_b": {"layout": layout, "jig": jig}}


def sha256_of(path: Path) -> str:
    """The sha256 of a file's bytes, in hex."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
