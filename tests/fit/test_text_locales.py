"""Names of people of many countries, by faker, set in every shipped layout: each is set whole, in
fonts that have every letter, or held with a reason."""

from __future__ import annotations

import tomllib
from collections import Counter
from pathlib import Path

import pytest
from faker import Faker
from faker.config import AVAILABLE_LOCALES
from fit_judges import SHIPPED

from vardata.fit.fontbook import FontBook
from vardata.fit.result import TextFit
from vardata.fit.text import fit_text
from vardata.job.fonts import text_chain
from vardata.job.model import Layout, TextField

LAYOUTS = sorted((SHIPPED.parent / "layouts").glob("*.toml"))
BOOK = FontBook({path.stem: path for path in sorted(SHIPPED.glob("*.[ot]tf"))})
COUNT = 25  # names of each locale
# Written in letters that no shipped font has: Gujarati, Armenian, Japanese, Georgian, Korean, Odia,
# Sinhala, Chinese. Nepali and Marathi are in Devanagari.
LACKING = {"gu_IN", "hy_AM", "ja_JP", "ka_GE", "ko_KR", "or_IN", "si_LK", "zh_CN", "zh_TW"}


def locales() -> list[str]:
    """Locales whose names faker has itself; others fall back to English ones."""
    import importlib

    found = []
    for locale in sorted(AVAILABLE_LOCALES):
        if "_" not in locale or locale == "fr_QC":  # an old name of fr_CA
            continue
        try:
            importlib.import_module(f"faker.providers.person.{locale}")
        except ModuleNotFoundError:
            continue
        found.append(locale)
    return found


LOCALES = locales()


def fields(path: Path) -> tuple[Layout, list[TextField]]:
    layout = Layout.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
    texts = [field for field in layout.fields if isinstance(field, TextField)]
    return layout, texts[:1]  # the first text of each shipped layout is a person's name


def test_there_are_enough_locales() -> None:
    assert len(LOCALES) >= 40
    assert len(LAYOUTS) >= 3


@pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.stem)
def test_names_of_many_countries_are_set_whole_or_held(path: Path) -> None:
    layout, (field,) = fields(path)
    chain = BOOK.sized_chain(text_chain(layout, field), layout.fallback_size)
    told: Counter[str] = Counter()
    for locale in LOCALES:
        fake = Faker(locale)
        fake.seed_instance(40)
        for _ in range(COUNT):
            name = fake.name()
            found = fit_text(name, field, chain)
            if not isinstance(found, TextFit):
                told[found.kind] += 1
                assert found.kind in ("text-too-long", "missing-glyph"), (locale, name, found)
                assert found.kind != "missing-glyph" or locale in LACKING, (locale, name, found)
                continue
            told["set"] += 1
            told["shrunk"] += found.size_pt < field.size
            told["squeezed"] += found.squeeze < 1
            told["broken"] += found.lines > 1
            ids = [run.glyphs[at : at + 2] for run in found.runs
                   for at in range(0, len(run.glyphs), 2)]  # fmt: skip
            assert b"\0\0" not in ids, (locale, name)  # glyph 0 stands for what a font lacks
            assert found.text == name
    print(path.stem, field.name, len(LOCALES), "locales", dict(told))
    assert told["set"] + told["text-too-long"] + told["missing-glyph"] == COUNT * len(LOCALES)
    assert told["set"] > 0.8 * COUNT * (len(LOCALES) - len(LACKING))
