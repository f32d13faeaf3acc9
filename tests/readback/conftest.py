"""Runs that are built once and copied to be spoiled."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from readback_runs import EXAMPLES, build_job, write_codes_job


@pytest.fixture(scope="session")
def tags(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The tags of the examples, 130 rows of them: three beds, QR and Code 128 on black."""
    return _tags(tmp_path_factory.mktemp("tags"), 130)


@pytest.fixture(scope="session")
def few(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Four tags on one bed, to be spoiled."""
    return _tags(tmp_path_factory.mktemp("few"), 4)


def _tags(folder: Path, rows: int) -> Path:
    job = folder / "job"
    shutil.copytree(EXAMPLES / "tags", job, ignore=shutil.ignore_patterns("*.sqlite"))
    sheet = (job / "tags.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    (job / "tags.csv").write_text("".join(sheet[: rows + 1]), encoding="utf-8")
    return build_job(job)


@pytest.fixture(scope="session")
def medals(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The medals of the examples: texts and art, three kinds of blank, no codes."""
    job = tmp_path_factory.mktemp("medals") / "job"
    shutil.copytree(EXAMPLES / "medals", job, ignore=shutil.ignore_patterns("*.sqlite"))
    return build_job(job)


@pytest.fixture(scope="session")
def codes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Every symbology, slots turned by every quarter, plates on pages of their own."""
    return build_job(write_codes_job(tmp_path_factory.mktemp("codes")))
