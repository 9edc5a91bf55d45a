"""PDF: pages, fonts, text, metadata, size; the songbook. pypdf reads what Typst wrote."""

from __future__ import annotations

import io
import re

import pypdf
import pytest
from msgspec.structs import replace

import rollstave
from rollstave.writing.book import BookPlan, write_book
from rollstave.writing.options import PAPERS, SheetOptions
from rollstave.writing.paper import sheet_pages, svg_size
from tests import tunes


def _pdf(name: str, options: SheetOptions | None = None) -> pypdf.PdfReader:
    (data,) = rollstave.write(tunes.case(name), "pdf", options)
    return pypdf.PdfReader(io.BytesIO(data))


def _fonts(reader: pypdf.PdfReader) -> dict[str, bool]:
    """Font names of all pages, forms included, and whether a font file is inside."""
    found: dict[str, bool] = {}

    def walk(resources: pypdf.generic.DictionaryObject) -> None:
        for font in (resources.get("/Font") or {}).values():
            font = font.get_object()
            for child in font.get("/DescendantFonts", []):
                descriptor = child.get_object()["/FontDescriptor"].get_object()
                embedded = any(k in descriptor for k in ("/FontFile", "/FontFile2", "/FontFile3"))
                found[str(font["/BaseFont"])] = embedded
        for form in (resources.get("/XObject") or {}).values():
            inner = form.get_object().get("/Resources")
            if inner is not None:
                walk(inner.get_object())

    for page in reader.pages:
        walk(page["/Resources"].get_object())
    return found


def test_one_page_for_each_page_of_the_sheet(sample_name: str) -> None:
    pages = tunes.written(sample_name, "svg")
    assert len(_pdf(sample_name).pages) == len(pages)


# Points: 72 an inch, 25.4 mm an inch. A4: ISO 216. Letter: ANSI/ASME Y14.1, 8.5 by 11 inches.
@pytest.mark.parametrize(
    ("paper", "width", "height"), [("a4", 210 / 25.4 * 72, 297 / 25.4 * 72), ("letter", 612, 792)]
)
def test_page_sizes(paper: str, width: float, height: float) -> None:
    reader = _pdf("nettle-hill", SheetOptions(paper=PAPERS[paper]))
    for page in reader.pages:
        assert float(page.mediabox.width) == pytest.approx(width, abs=0.1)
        assert float(page.mediabox.height) == pytest.approx(height, abs=0.1)


@pytest.mark.parametrize("name", ["nettle-hill", "slate-roof-rain"])
def test_a_sheet_for_paper_is_as_high_as_the_paper(name: str) -> None:
    # A4 is 210 by 297 mm (ISO 216). Typst has the face as a file, and would keep it twice.
    pages = sheet_pages(tunes.case(name), SheetOptions())
    assert [(size.width, size.height) for size in map(svg_size, pages)] == [(21000, 29700)] * len(
        pages
    )
    assert not any(b"@font-face" in page for page in pages)


def test_metadata() -> None:
    meta = _pdf("ferry-landing").metadata
    assert meta is not None
    assert meta.title == "Ferry Landing"
    assert meta.author == "Larkspur Ferry school"


def test_only_our_font_and_all_of_it_inside() -> None:
    fonts = _fonts(_pdf("slate-roof-rain"))
    assert fonts
    assert all(fonts.values())
    assert all("RollstaveSerif" in name for name in fonts)


def test_text_is_found() -> None:
    words = "".join(page.extract_text() for page in _pdf("slate-roof-rain").pages)
    plain = re.sub(r"\s+", " ", words)
    for expected in (
        "Slate Roof Rain",
        "Tuning: double C, gCGCD (G4 C3 G3 C4 D4)",
        "Capo 2, fifth string raised to A",
        "Frets are counted from the capo. Chord names are as they sound.",
        "Part A",
        "Bm",
    ):
        assert expected in plain


def test_the_same_tune_gives_the_same_bytes() -> None:
    first = rollstave.write(tunes.case("nettle-hill"), "pdf")
    assert rollstave.write(tunes.case("nettle-hill"), "pdf") == first


def test_titles_with_signs_of_typst() -> None:

    title = 'The "Quoted" #ferry $5 \\ back'
    score = replace(tunes.case("compound"), title=title, composer='A #b "c"')
    (data,) = rollstave.write(score, "pdf")
    meta = pypdf.PdfReader(io.BytesIO(data)).metadata
    assert meta is not None
    assert (meta.title, meta.author) == (title, 'A #b "c"')


@pytest.fixture(scope="module")
def book() -> pypdf.PdfReader:
    scores = [tunes.case(path.stem) for path in tunes.SAMPLES]
    data = write_book(scores, "Larkspur Ferry, book one", "The school")
    return pypdf.PdfReader(io.BytesIO(data))


@pytest.fixture(scope="module")
def said(book: pypdf.PdfReader) -> list[str]:
    """The words of each page of the book."""
    return [page.extract_text() for page in book.pages]


def _outline(reader: pypdf.PdfReader) -> list[tuple[int, str, int]]:
    found: list[tuple[int, str, int]] = []

    def walk(items: list[object], depth: int) -> None:
        for item in items:
            if isinstance(item, list):
                walk(item, depth + 1)
            else:
                page = reader.get_destination_page_number(item)  # type: ignore[arg-type]
                found.append((depth, str(item.title), int(page or 0)))  # type: ignore[attr-defined]

    walk(list(reader.outline), 0)
    return found


def test_a_book_has_cover_contents_tunes_and_index(book: pypdf.PdfReader, said: list[str]) -> None:
    marks = [(title, page) for depth, title, page in _outline(book) if depth == 0]
    assert [title for title, _ in marks[:3]] == ["Contents", "Signs", "Chord shapes"]
    assert marks[-1][0] == "Index"
    assert "Larkspur Ferry, book one" in said[0]
    for title, page in [*marks[:3], marks[-1]]:
        assert title in said[page]
    assert "Index by key and tuning" in said[-1]


def test_a_tune_of_two_pages_lies_open(book: pypdf.PdfReader, said: list[str]) -> None:
    # Pages of a bound book: the first is on the right, so even ones are on the left (common
    # practice, no source).
    starts = sorted((page, title) for depth, title, page in _outline(book) if depth == 1)
    several = 0
    for page, title in starts:
        if f"{title} · 1 of" in said[page]:
            several += 1
            assert (page + 1) % 2 == 0
            assert f"{title} · 2 of" in said[page + 1]
    assert several


def _words_at(page: pypdf.PageObject) -> list[tuple[str, float, float]]:
    """Words of a page and where they start, in points from its lower left corner."""
    found: list[tuple[str, float, float]] = []

    def see(words: str, cm: list[float], tm: list[float], *_: object) -> None:
        x, y = tm[4], tm[5]
        at = cm[0] * x + cm[2] * y + cm[4], cm[1] * x + cm[3] * y + cm[5]
        found.append((words.strip(), *at))

    page.extract_text(visitor_text=see)
    return found


def test_page_numbers_stand_outside(book: pypdf.PdfReader) -> None:
    starts = sorted(page for depth, _, page in _outline(book) if depth == 1)
    sides: set[bool] = set()
    for page in starts:
        width = float(book.pages[page].mediabox.width)
        height = float(book.pages[page].mediabox.height)
        found = _words_at(book.pages[page])
        # The folio stands in the top 10 mm.
        x = next(x for words, x, y in found if words == str(page + 1) and y > height - 30)
        right = (page + 1) % 2 == 1
        assert (x > width / 2) is right
        sides.add(right)
    assert sides == {True, False}


def test_signs_are_told_once(said: list[str]) -> None:
    assert sum("index finger" in text for text in said) == 1
    assert sum("in italics are suggestions" in text for text in said) == 1


def test_orders_of_a_book() -> None:
    scores = [
        replace(tunes.case("compound"), title=title)
        for title in ("The Weir", "Anchor", "A Lamp", "Tune 10", "Tune 9")
    ]

    def titles(order: str) -> list[str]:
        data = write_book(scores, plan=BookPlan(order=order, chords=False))
        marks = _outline(pypdf.PdfReader(io.BytesIO(data)))
        return [title for depth, title, _ in marks if depth == 1]

    # Articles are set aside, numbers go by their size (common practice, no source).
    assert titles("title") == ["Anchor", "A Lamp", "Tune 9", "Tune 10", "The Weir"]
    assert titles("tuning") == titles("title")
    assert titles("given") == [score.title for score in scores]


def test_foreword_first_lines_and_metadata() -> None:
    words = "For those who row.\n\nAnd for $those# who wait."
    data = write_book([tunes.case("nettle-hill")], "Rows", plan=BookPlan(foreword=words))
    reader = pypdf.PdfReader(io.BytesIO(data))
    assert "And for $those# who wait." in reader.pages[1].extract_text()
    assert "Nettle Hill is cold and gray" in reader.pages[-1].extract_text()
    assert reader.metadata is not None
    assert "gDGCD" in str(reader.metadata.get("/Keywords"))


def test_bookmarks_lead_to_their_tunes(book: pypdf.PdfReader, said: list[str]) -> None:
    titles = {tunes.case(p.stem).title for p in tunes.SAMPLES}
    marks = [(title, page) for depth, title, page in _outline(book) if depth == 1]
    assert {title for title, _ in marks} == titles
    for title, page in marks:
        assert title in said[page]


def test_contents_and_index_have_the_true_page_numbers(
    book: pypdf.PdfReader, said: list[str]
) -> None:
    pages = {title: page + 1 for depth, title, page in _outline(book) if depth == 1}
    for text in (said[1], said[-1]):
        for title, page in pages.items():
            found = [line for line in text.splitlines() if line.startswith(title)]
            assert found
            for line in found:
                assert line.rstrip(" .").split()[-1] == str(page)


def test_contents_are_grouped_by_tuning(said: list[str]) -> None:
    text = said[1]
    lines = text.splitlines()
    group = ""
    for line in lines[1:]:
        if line.endswith(")") and "." not in line:
            group = line
            continue
        for path in tunes.SAMPLES:
            score = tunes.case(path.stem)
            if line.startswith(score.title):
                assert score.setup.tuning.written in group
    assert group


def test_progress_is_told() -> None:
    calls: list[int] = []
    scores = [tunes.case("compound"), tunes.case("triplets")]
    write_book(scores, progress=lambda: calls.append(1))
    assert len(calls) == 2


def test_long_titles_and_flats_in_the_lists_of_a_book() -> None:
    long = "The Exceedingly Long and Winding Title of a Tune That Was Made One Autumn for the Lower"
    long += " Ferry School"
    flat = rollstave.read(
        f"Title: {long}\nTuning: gDGBD\nKey: Bb\nTime: 4/4\n\n"
        + "".join(f"{row}|-0---0---0---0---|\n" for row in "DBGDg")
    )[0].score
    plan = BookPlan(chords=False, signs=False)
    data = write_book([flat], "Larkspur Ferry, book two", plan=plan)
    made = pypdf.PdfReader(io.BytesIO(data))
    starts = {title: page for depth, title, page in _outline(made) if depth == 0}
    for page in (made.pages[starts["Contents"]], made.pages[-1]):
        assert "B♭ major" in page.extract_text()
        lines = page.extract_text(extraction_mode="layout").splitlines()
        # The page number stands beside the end of a title of two lines.
        assert [line for line in lines if re.search(r"Ferry School.*\D3$", line.rstrip())], lines


def test_what_a_pdf_has_no_use_for_changes_none_of_its_bytes(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Ids and fall-back faces, also under a title that looks like an id in letters of no face."""
    score = replace(tunes.sample("lantern-stairs").score, title='Ж <g id="-n1"> λ')
    (made,) = rollstave.write(score, "pdf")
    monkeypatch.setattr("rollstave.writing.paper._bare", lambda page: page)
    assert rollstave.write(score, "pdf") == [made]
