"""Parts of the pick list joined into one file."""

from __future__ import annotations

import io
import tracemalloc
from collections.abc import Iterator
from pathlib import Path

import pikepdf
import pytest
from paperkit import (
    AT,
    EIGHT,
    FONTS,
    SIXTY_FOUR,
    check_pdf,
    layout_text,
    make_bed,
    run_tool,
    words,
)

from vardata.output.blanks import BlankTally
from vardata.output.picklist_front import build_front
from vardata.output.picklist_join import Info, join
from vardata.output.picklist_orders import build_orders
from vardata.output.picklist_pages import build_part
from vardata.output.picklist_values import BedFile, BlankUse, FrontPaper, PaperFont, PaperFonts
from vardata.problems import OutputError

INFO = Info("name-tags: pick list, slot to order", "run 3f9c2a7be1d0 (\\Ω)", AT)


def part(bed: int, look: bool = True) -> bytes:
    names = (f"Änne {bed}", "Ωμέγα", "Ida (x) \\")
    return build_part([make_bed(SIXTY_FOUR, 64, bed, look=look, names=names)], SIXTY_FOUR)


def test_pages_follow_in_order_and_say_what_the_parts_say(tmp_path: Path) -> None:
    parts = [part(1), part(2, look=False), build_orders([("7", [(1, "A1", "Jo")])], SIXTY_FOUR)]
    alone = []
    for data in parts:
        (tmp_path / "part.pdf").write_bytes(data)
        alone += words(tmp_path / "part.pdf")
    out = tmp_path / "joined.pdf"
    assert join(parts, out, INFO) == 5
    check_pdf(out)
    assert words(out) == alone
    run_tool(
        "gs",
        "-q",
        "-dSAFER",
        "-dBATCH",
        "-dNOPAUSE",
        "-sDEVICE=nullpage",
        "-dPDFSTOPONERROR",
        str(out),
    )


def test_pictures_look_as_in_the_part(tmp_path: Path) -> None:
    (tmp_path / "part.pdf").write_bytes(part(1))
    join([part(9), part(1)], tmp_path / "joined.pdf", INFO)
    for name, page in (("part", 1), ("joined", 3)):
        run_tool("pdftoppm", "-r", "50", "-f", str(page), "-l", str(page), "-png", "-singlefile",
                 str(tmp_path / f"{name}.pdf"), str(tmp_path / name))  # fmt: skip
    assert (tmp_path / "part.png").read_bytes() == (tmp_path / "joined.png").read_bytes()


def test_title_bookmarks_and_page_tree(tmp_path: Path) -> None:
    out = tmp_path / "joined.pdf"
    join([part(1), part(2)], out, INFO)
    told = run_tool("pdfinfo", str(out))
    assert "name-tags: pick list, slot to order" in told and "(\\Ω)" in told
    assert "2025" in told and "vardata" in told
    with pikepdf.open(out) as pdf:
        with pdf.open_outline() as outline:
            assert [item.title for item in outline.root] == ["Bed 1", "Bed 2"]
            assert [item.destination[0].objgen for item in outline.root] == [
                pdf.pages[0].objgen, pdf.pages[2].objgen,
            ]  # fmt: skip
        assert pdf.Root.Pages.Count == 4
        assert all(node.Parent == pdf.Root.Pages for node in pdf.Root.Pages.Kids)


def test_files_and_bytes_give_the_same_file(tmp_path: Path) -> None:
    data = [part(1), part(2)]
    paths = [tmp_path / "1.pdf", tmp_path / "2.pdf"]
    for path, one in zip(paths, data):
        path.write_bytes(one)
    join(data, tmp_path / "a.pdf", INFO)
    join(iter(paths), tmp_path / "b.pdf", INFO)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()
    join(paths[:1], tmp_path / "c.pdf", INFO)
    ids = [pikepdf.open(tmp_path / f"{name}.pdf").trailer.ID[0] for name in "abc"]
    assert ids[0] == ids[1] != ids[2]


def test_fonts_that_parts_share_are_written_once(tmp_path: Path) -> None:
    join([part(bed) for bed in range(1, 9)], tmp_path / "joined.pdf", INFO)
    with pikepdf.open(tmp_path / "joined.pdf") as pdf:
        files = {
            item.FontFile2.objgen
            for item in pdf.objects
            if isinstance(item, pikepdf.Dictionary) and "/FontFile2" in item
        }
        # Two weights; a first subset alike in all, and one with the Greek of each weight.
        assert 2 <= len(files) <= 4


def test_memory_does_not_grow_with_the_parts(tmp_path: Path) -> None:
    path = tmp_path / "part.pdf"
    path.write_bytes(part(1))
    peaks = []
    for count in (10, 120):
        tracemalloc.start()
        join((path for _ in range(count)), tmp_path / "joined.pdf", INFO)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] < peaks[0] + 120_000  # bytes; 120 parts are some 12,000,000


def test_parts_are_asked_for_one_by_one(tmp_path: Path) -> None:
    sizes = []

    def parts() -> Iterator[bytes]:
        for bed in range(1, 5):
            sizes.append((tmp_path / "joined.pdf").stat().st_size)
            yield part(bed)

    join(parts(), tmp_path / "joined.pdf", INFO)
    assert sizes[1] > 0 and sizes == sorted(sizes)


def test_objects_that_quote_references_in_texts_are_left_alone(tmp_path: Path) -> None:
    """A text that looks like a reference is not renumbered."""
    with pikepdf.open(io.BytesIO(part(1))) as pdf:
        pdf.pages[0].obj["/PieceInfo"] = pdf.make_indirect(
            pikepdf.Dictionary(A=pikepdf.String("(1 0 R) \\ 5 0 R)"), B=[pikepdf.Name("/x#28"), 7])
        )
        buffer = io.BytesIO()
        pdf.save(buffer)
    join([part(2), buffer.getvalue()], tmp_path / "joined.pdf", INFO)
    check_pdf(tmp_path / "joined.pdf")
    with pikepdf.open(tmp_path / "joined.pdf") as pdf:
        info = pdf.pages[2].obj["/PieceInfo"]
        assert str(info.A) == "(1 0 R) \\ 5 0 R)" and info.B[0] == "/x#28" and info.B[1] == 7


def front(
    files: int, blanks: tuple[BlankUse, ...], totals: tuple[tuple[str, int], ...]
) -> FrontPaper:
    names = [
        BedFile(f"name-tags-3f9c-bed-{i:04d}-of-{files:04d}.pdf", i, i) for i in range(1, files + 1)
    ]
    return FrontPaper(12_345, 17, 4, 678, totals, blanks, names)


def test_the_first_sheet_tells_the_run(tmp_path: Path) -> None:
    tally = BlankTally()
    for bed in range(1, 13):
        tally.add(bed, ["black"] * 64 if bed < 5 else ["black"] * 10 + ["clear"] * 54)
    path = tmp_path / "front.pdf"
    path.write_bytes(build_front(SIXTY_FOUR, front(12, tally.uses, tally.totals)))
    check_pdf(path)
    (page,) = layout_text(path)
    lines = [" ".join(line.split()) for line in page.split("\n")]
    assert "12 345 12 678 17 4" in " ".join(lines).replace("\u202f", " ")
    assert "pieces to print beds orders rows held rows skipped" in lines
    assert "432 clear" in lines and "336 black" in lines
    assert "beds 1 to 4 64 black each" in lines and "beds 5 to 12 10 black, 54 clear each" in lines
    for word in ("gloves", "shields closed", "carriage", "safety data sheet"):
        assert word in page
    told = " ".join(lines)
    assert all(f" {i} name-tags-3f9c-bed-{i:04d}-of-0012.pdf" in told for i in range(1, 13))


@pytest.mark.parametrize("files", [0, 1, 24, 25, 300, 1563])
def test_every_bed_file_is_listed_once(tmp_path: Path, files: int) -> None:
    path = tmp_path / "front.pdf"
    path.write_bytes(build_front(SIXTY_FOUR, front(files, (), (("black", 64),))))
    told = [word.text for page in words(path) for word in page]
    tails = [f"{i:04d}-of-{files:04d}.pdf" for i in range(1, files + 1)]
    if files > 24:
        assert "name-tags-3f9c-bed-" in told
        assert [text for text in told if text in set(tails)] == tails or (
            sorted(text for text in told if text in set(tails)) == tails
        )
    else:
        assert all(told.count(f"name-tags-3f9c-bed-{tail}") == 1 for tail in tails)
    for page in words(path):
        assert max(w.x1 for w in page) < 561 and max(w.y1 for w in page) < 830


def test_a_mixture_that_changes_all_the_time_is_left_to_the_beds(tmp_path: Path) -> None:
    tally = BlankTally()
    for bed in range(1, 1000):
        tally.add(bed, ["black"] * (bed % 60 + 1) + ["clear"])
    assert len(tally.uses) <= 201
    assert dict(tally.totals)["clear"] == 999
    path = tmp_path / "front.pdf"
    path.write_bytes(build_front(SIXTY_FOUR, front(12, tally.uses, tally.totals)))
    assert "each bed's first sheet says what it takes" in layout_text(path)[0]


@pytest.mark.parametrize("name", ["none.ttf", "DancingScript-Regular.otf"])
def test_a_font_that_cannot_serve_is_one_clear_line(name: str) -> None:
    run = EIGHT._replace(fonts=PaperFonts(FONTS.regular, FONTS.bold.with_name(name)))
    with pytest.raises(OutputError) as caught:
        build_part([make_bed(EIGHT, 2)], run)
    (problem,) = caught.value.problems
    assert problem.kind == "paper-font" and name in str(problem)
    assert "\n" not in str(problem) and problem.remedy


def test_a_fallback_that_is_missing_or_no_font_is_told(tmp_path: Path) -> None:
    run = EIGHT._replace(fonts=PaperFonts(*FONTS[:2], (PaperFont(tmp_path / "none.ttf"),)))
    with pytest.raises(OutputError, match=r"none\.ttf"):
        build_part([make_bed(run, 1)], run)
    (tmp_path / "torn.otf").write_bytes(b"OTTO" + bytes(40))
    run = EIGHT._replace(fonts=PaperFonts(*FONTS[:2], (PaperFont(tmp_path / "torn.otf"),)))
    (tmp_path / "sheet.pdf").write_bytes(build_part([make_bed(run, 1, names=("a\u65e5",))], run))
    assert "a[U+65E5]" in layout_text(tmp_path / "sheet.pdf")[0]
