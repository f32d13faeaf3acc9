"""Every test of the command works in a folder of its own, with its own temporary folder."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from badjob import Shop


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """The good job; scratch folders left behind show up beside it."""
    folder, scratch = tmp_path / "shop", tmp_path / "shop" / "scratch"
    scratch.mkdir(parents=True)
    monkeypatch.chdir(folder)
    monkeypatch.setattr(tempfile, "tempdir", str(scratch))
    return Shop(folder)
