"""Names in capitals: what is changed, and what is left alone. Names by common practice, no source;
dotted and dotless i after Unicode's SpecialCasing.txt, final sigma after its Final_Sigma rule."""

from __future__ import annotations

from pathlib import Path

import pytest
from jobkit import JobBench

from vardata.resolve.titlecase import kept_words, title_case


@pytest.mark.parametrize(
    "text",
    ["McDonald", "van der Berg", "O'Neil", "Ada King", "ada king", "iPrint", "Weiß", "Işık",
     "ılgaz", "deForest", "LaTeX Club", "A", "42", "محمد", "山田", "", "J."],
)  # fmt: skip
def test_what_is_not_all_capitals_is_left_alone(text: str) -> None:
    assert title_case(text, "tr_TR") == text
    assert title_case(text, "en_GB") == text


@pytest.mark.parametrize(
    ("text", "locale", "found"),
    [
        ("ADA KING", "en", "Ada King"),
        ("SEAN O'NEIL", "en", "Sean O'Neil"),
        ("FERNHOLLOW'S", "en", "Fernhollow's"),
        ("JEAN-LUC D’ARCY", "fr", "Jean-Luc D’Arcy"),
        ("RONALD MCDONALD", "en", "Ronald McDonald"),
        ("LEO VAN DER BERG", "nl", "Leo van der Berg"),
        ("THANH LE", "en", "Thanh Le"),
        ("ANNA Y", "en", "Anna Y"),
        ("LUDWIG VAN\nBEETHOVEN", "de", "Ludwig van\nBeethoven"),
        (" VAN GOGH ", "nl", " Van Gogh "),
        ("VAN DER BERG", "nl", "Van der Berg"),
        ("IJSBRAND BLOM", "nl", "IJsbrand Blom"),
        ("HENRY VIII TUDOR", "en", "Henry VIII Tudor"),
        ("J.P. MORROW", "en", "J.P. Morrow"),
        ("GROẞMANN", "de", "Großmann"),
        ("IŞIK İNAN", "tr_TR", "Işık İnan"),
        ("IŞIK", "de", "Işik"),
        ("ALİ İNAN", "en", "Ali İnan"),  # one dot, and no mark of its own over the i
        ("GROßMANN", "de", "Großmann"),
        ("MEIßNER-WEIß", "de", "Meißner-Weiß"),
        ("Mª JOSÉ", "es", "Mª José"),
        ("XI YUMING", "en", "Xi Yuming"),
        ("ΛΕΩΝΊΔΑΣ ΨΑΡΆΣ", "el", "Λεωνίδας Ψαράς"),
        ("ЯРОСЛАВА ВИШНЕВСКАЯ", "ru", "Ярослава Вишневская"),
        ("ǄEMAL", "hr", "ǅemal"),
        ("TEAM 7B", "en", "Team 7B"),
        ("ÅSE  ØRN", "nb", "Åse  Ørn"),
    ],
)
def test_all_capitals_become_capitals_and_small_letters(
    text: str, locale: str, found: str
) -> None:
    assert title_case(text, locale) == found


def test_words_that_are_known_better_are_kept() -> None:
    kept = kept_words(["DJ", "MacLeod", "McLoud"], ["deForest", "Mcloud", "BBC"])
    for text, found in (
        ("DJ OTTILIE", "DJ Ottilie"),
        ("IONA MACLEOD", "Iona MacLeod"),
        ("IONA MACLEOD-KING, DJ.", "Iona MacLeod-King, DJ."),
        ("LEE DEFOREST (BBC)", "Lee deForest (BBC)"),
        ("MCLOUD", "Mcloud"),  # the later list wins
        ("MCDONALD", "McDonald"),
        ("iona macleod", "iona macleod"),  # not all capitals: nothing is touched
    ):
        assert title_case(text, "en", kept) == found


def test_a_run_lists_what_it_changed(tmp_path: Path) -> None:
    files = {
        "layout.toml": 'name = "t"\nkeep_case = ["MacLeod"]\nwidth = 60\nheight = 20\n'
                       '[[fields]]\ntype = "text"\n'
                       'name = "reader"\ntext = "{{ reader }}"\nfont = "NotoSans-Regular"\n'
                       'box = [2, 2, 56, 16]\nsize = "12pt"\ncase = "title"\ntracking = 30\n',
        "jig.toml": 'name = "j"\n[grid]\nrows = 1\ncolumns = 2\npitch = [65, 25]\n'
                    "offset = [40, 20]\n",
        "bed.toml": 'name = "b"\nwidth = 150\nheight = 60\nmodes.fine.dpi = [720, 720]\n',
        "job.toml": 'name = "t"\nlayout = "layout.toml"\njig = "jig.toml"\nbed = "bed.toml"\n'
                    'print_mode = "fine"\nlocale = "en_GB"\nkeep_case = ["DJ"]\n'
                    'sheet.file = "r.csv"\n',
        "r.csv": "reader\nOTTILIE BRANDVOLD\nJory McKay\nDJ IONA MACLEOD\nDJ IONA MACLEOD\n",
    }  # fmt: skip
    bench = JobBench(tmp_path, files)
    done = bench.call("build", "job.toml", "--out", "run")
    assert done.code == 0, done.err
    assert (
        "field 'reader': 3 texts were in all capitals and got small letters; look through them: "
        "slots.jsonl of the run has each as it was (written); what is wrong goes into keep_case"
    ) in done.err
    texts = [slot["texts"][0] for slot in bench.slots()]
    assert [(text["text"], text.get("written")) for text in texts] == [
        ("Ottilie Brandvold", "OTTILIE BRANDVOLD"), ("Jory McKay", None),
        *[("DJ Iona MacLeod", "DJ IONA MACLEOD")] * 2,
    ]  # fmt: skip
    assert [text["tracking"] for text in texts] == [30] * 4  # what was done to each text
