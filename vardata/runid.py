"""The run id: a hash of everything that goes into a run.

Same files, settings and packages: same id, same bytes. Nothing of the clock enters.
"""

from __future__ import annotations

import hashlib
import json
import zlib
from collections.abc import Mapping
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from vardata import __version__
from vardata.job.model import Setup

# What can change a byte of the output.
PACKAGES = (
    "fonttools", "jinja2", "openpyxl", "pikepdf", "pillow", "python-barcode", "qrcode",
    "reportlab", "shapely", "svglib", "uharfbuzz",
)


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


def identify(setup: Setup, pictures: Mapping[str, str]) -> str:
    """The id of a run of ``setup`` with the pictures that its records name.

    Files count by role and content, not by where they lie; pictures by their name below the
    job's folder.
    """
    folder = setup.job_file.parent.resolve()
    files = {"job": sha256_of(setup.job_file), "sheet": sha256_of(setup.sheet_file)}
    files |= {f"file {name}": sha256_of(path) for name, path in setup.files.items()}
    files |= {f"font {name}": sha256_of(path) for name, path in setup.fonts.items()}
    for path, digest in pictures.items():
        inside = Path(path).is_relative_to(folder)
        files[f"picture {Path(path).relative_to(folder) if inside else path}"] = digest
    settings = {
        "layout": setup.layout.model_dump(mode="json"),
        "jig": setup.jig.model_dump(mode="json"),
        "bed": setup.bed.model_dump(mode="json"),
        "sheet": setup.sheet_file.name,
    }
    return run_id(files, settings)


def sha256_of(path: Path) -> str:
    """The sha256 of a file's bytes, in hex."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
