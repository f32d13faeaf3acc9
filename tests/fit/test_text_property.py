"""Random names, fonts, boxes and limits: the ink lies in the box by fontTools' reckoning, and a
fitter that tries every size in turn finds the same setting, or none where the text is held."""

from __future__ import annotations

import pytest
from faker import Faker
from fit_judges import BOOK, FILES, SlowFitter, chain, field, grain_font, ink_of, plainly
from hypothesis import given, settings
from hypothesis import strategies as st

from vardata.fit.fontbook import FontBook
from vardata.fit.result import TextFit
from vardata.fit.text import fit_text
from vardata.job.model import TextField
from vardata.problems import Problem

NAMES = [path.stem for path in FILES]
_FAKE = Faker(["en_GB", "fr_FR", "de_DE", "es_ES"])
_FAKE.seed_instance(20)
LATIN = [_FAKE.name() for _ in range(150)] + [_FAKE.company() for _ in range(50)]
LATIN += ["f", "Ty", "jj", "g j", "Qq", "'", "AVAVAV", "ffi ffl", "W W W", "- -", "No. 7"]
OTHER = []
for locale in ("el_GR", "ru_RU", "cs_CZ", "pl_PL", "vi_VN"):
    _FAKE = Faker(locale)
    _FAKE.seed_instance(20)
    OTHER += [_FAKE.name() for _ in range(30)]
OTHER += ["x\u0302\u0301", "q\u0323\u0301 A\u030a\u0301", "Ё\u0301лка", "ﬁ", "Zo\u0308e Ÿ"]

in_tenths = st.integers(0, 400).map(lambda tenths: tenths / 10)


@st.composite
def fields(draw: st.DrawFn, most_lines: int = 4) -> TextField:
    size = draw(st.sampled_from([4, 7, 9.5, 12, 14, 24, 36.25]))
    keys: dict[str, object] = {
        "box": (0, 0, draw(in_tenths) + 2, draw(in_tenths) / 2 + 1),
        "size": f"{size}pt",
        "size_step": draw(st.sampled_from(["0.25pt", "0.5pt", "1pt", "0.1pt", "0.3pt"])),
        "shrink_to": draw(st.sampled_from([100, 90, 75, 60.5])),
        "lines": draw(st.integers(1, most_lines)),
        "leading": draw(st.sampled_from([1.2, 1, 0.9, 1.5])),
        "squeeze": draw(st.sampled_from([100, 90, 85, 70.25])),
        "align": draw(st.sampled_from(["left", "centre", "right"])),
        "valign": draw(st.sampled_from(["top", "middle", "bottom"])),
        "align_by": draw(st.sampled_from(["ink", "metrics"])),
    }
    if draw(st.booleans()):
        keys["min_size"] = f"{draw(st.sampled_from([3, 5.1, 8]))}pt"
    return field(**keys)


def check_inside(fit: TextFit, one: TextField, book: FontBook = BOOK, near: float = 1e-3) -> None:
    x0, y0, x1, y1 = ink_of(fit, book)
    assert x0 >= 0
    assert y0 >= 0
    assert x1 <= one.box[2]
    assert y1 <= one.box[3]
    assert fit.ink == pytest.approx((x0, y0, x1, y1), abs=1e-3)
    lowest = min(one.size, one.min_size or one.size / 2)
    assert lowest - 1e-6 <= fit.size_pt <= one.size
    steps = (one.size - fit.size_pt) / one.size_step
    assert steps == pytest.approx(round(steps), abs=1e-4)
    assert one.squeeze / 100 <= fit.squeeze <= 1
    assert 1 <= fit.lines <= one.lines


@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from(LATIN + OTHER), fields(),
    st.lists(st.sampled_from(NAMES), min_size=1, max_size=3, unique=True),
)  # fmt: skip
def test_ink_lies_in_the_box(text: str, one: TextField, names: list[str]) -> None:
    found = fit_text(text, one, chain(*names))
    if isinstance(found, TextFit):
        check_inside(found, one)
    elif found.kind == "missing-glyph":
        for name in names:  # no font of the chain has the whole cluster
            assert 0 in [glyph for glyph, *_ in plainly(chain(name)[0].path, found.value)]
    else:
        assert found.kind == "text-too-long"


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(LATIN), fields(), st.sampled_from(NAMES))
def test_no_better_setting_is_found_by_trying(text: str, one: TextField, name: str) -> None:
    if "-" in text:
        text = text.replace("-", "")  # the slow fitter breaks at spaces only
    if not text.strip():
        return
    text = " ".join(text.split())
    found = fit_text(text, one, chain(name))
    path = chain(name)[0].path
    # With more room to spare than rounding takes the slow fitter can do no better, and with
    # none no worse.
    cautious = next(SlowFitter(path, text, one, 0.0017).solutions(), None)
    bold = next(SlowFitter(path, text, one, 0.0).solutions(), None)
    if isinstance(found, Problem):
        assert found.kind in ("text-too-long", "missing-glyph")
        if found.kind == "text-too-long":
            assert cautious is None
        return
    setting = (found.size_pt, found.squeeze, found.lines)
    assert bold is not None
    if cautious is not None and cautious == pytest.approx(bold):
        # A limit between two thousandths (70.25 %) is used as it stands.
        assert setting == pytest.approx(cautious, abs=1e-3)
    else:
        assert setting[0] <= bold[0] + 1e-9 or setting[2] != bold[2]


@pytest.fixture(scope="module")
def grain(tmp_path_factory: pytest.TempPathFactory) -> FontBook:
    """A font of 2048 units an em, whose advances have no end in decimals."""
    path = grain_font(tmp_path_factory.mktemp("fonts") / "Grain.ttf", 2048)
    return FontBook({"grain": path})


def test_rounded_advances_do_not_push_ink_out(grain: FontBook) -> None:
    fake = Faker("en_GB")
    fake.seed_instance(3)
    set_in_box = 0
    for number in range(120):
        # Long lines in great letters, where thousandths of an em add up.
        text = " ".join(fake.name() for _ in range(1 + number % 6))
        one = field(box=(0, 0, 300 + number, 60), size="200pt", min_size="3pt", align="right")
        found = fit_text(text, one, grain.chain(["grain"]))
        if isinstance(found, TextFit):
            check_inside(found, one, grain)
            set_in_box += 1
    assert set_in_box > 100
