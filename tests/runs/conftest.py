"""Runs of the examples, built once by calling the command."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from run_kit import AT, Run, Shared, build, copied
from run_sheets import OrderSheet, csv_sheet, displayed_csv, xlsx_sheet


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Shared:
    base = tmp_path_factory.getbasetemp()
    # Processes of pytest-xdist have folders of their own in one folder of the session.
    return Shared((base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "whole-runs")


def _built(example: str, *options: str, **changed: str):
    def make(place: Path) -> Run:
        return build(copied(example, place / "job"), place / "run", *options, **changed)

    return make


@pytest.fixture(scope="session")
def tags(shared: Shared) -> Run:
    """5,000 tags with codes, by as many workers as there are cores."""
    return shared.run("tags", _built("tags", "--at", AT))


@pytest.fixture(scope="session")
def tags_by_three(shared: Shared) -> Run:
    return shared.run("tags-by-three", _built("tags", "--at", AT, "--workers", "3"))


@pytest.fixture(scope="session")
def medals(shared: Shared) -> Run:
    """Medals with names in several scripts, on three kinds of blanks."""
    return shared.run("medals", _built("medals", "--at", AT, "--workers", "2"))


@pytest.fixture(scope="session")
def medals_apart(shared: Shared) -> Run:
    """The same with a page for each plate."""

    def make(place: Path) -> Run:
        home = copied("medals", place / "job")
        with (home / "job.toml").open("a", encoding="utf-8") as file:
            file.write('pages = "apart"\n')
        return build(home, place / "run", "--at", AT)

    return shared.run("medals-apart", make)


@pytest.fixture(scope="session")
def tag_sheet(tags: Run) -> OrderSheet:
    return csv_sheet(tags)


@pytest.fixture(scope="session")
def medal_sheet(medals: Run, shared: Shared) -> OrderSheet:
    found = shared.make("displayed", lambda place: {"csv": displayed_csv(medals, place)})
    return xlsx_sheet(medals, Path(found["csv"]))
