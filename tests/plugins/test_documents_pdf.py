"""PDFs, laid out by where their glyphs stand: in fixed type, and in proportional type."""

from __future__ import annotations

from pathlib import Path

import pytest

import rollstave
from rollstave.assembly import documents
from rollstave.score.compare import first_difference
from tests import tunes
from tests.amount import crossed
from tests.plugins import document_files as made

SLIPS = {"lantern-stairs", "nettle-hill", "slate-roof-rain"}


def named(value: Path | str) -> str:
    return value.stem if isinstance(value, Path) else value


def text_of(data: bytes) -> str:
    (found,) = documents.opened(data) or ()
    return found.text


def same(path: Path, data: bytes) -> None:
    (found,) = rollstave.read(data)
    assert first_difference(tunes.case(path.stem), found.score) is None


@pytest.mark.parametrize("path", made.SAMPLES, ids=lambda path: path.stem)
def test_by_a_typesetter_in_fixed_type(path: Path) -> None:
    text = path.read_text("utf-8")
    same(path, made.pdf_by_typst(text))


@pytest.mark.parametrize(
    ("path", "font"), crossed(made.SAMPLES, ["Helvetica", "Times-Roman", "Times-Italic"]), ids=named
)
def test_in_columns_in_proportional_type(path: Path, font: str) -> None:
    """What stands under each other on paper does in the text."""
    text = path.read_text("utf-8")
    same(path, made.pdf_set_in_columns(text, font))


@pytest.mark.parametrize(
    ("path", "font"), crossed(made.SAMPLES, ["Helvetica", "Times-Roman"]), ids=named
)
def test_typed_in_fixed_type_and_printed_in_another(path: Path, font: str) -> None:
    """Nothing stands under each other on paper any more, and the characters still tell."""
    text = path.read_text("utf-8")
    same(path, made.pdf(text, font))


@pytest.mark.parametrize(
    ("path", "font"), crossed(made.SAMPLES, ["Helvetica", "Times-Roman"]), ids=named
)
def test_typed_by_eye_in_proportional_type(path: Path, font: str) -> None:
    """As many dashes as bring the next fret nearest to its place: every fret is there, on its
    string and in its measure. That all stand at their time too is asked of most."""
    text = path.read_text("utf-8")
    typed = tunes.sample(path.stem)
    (found,) = rollstave.read(made.pdf_by_eye(text, font))
    frets = [
        [
            sorted((n.string, n.fret_text) for m in [measure] for e in m.events for n in e.notes)
            for measure in tune.score.measures
        ]
        for tune in (typed, found)
    ]
    assert frets[0] == frets[1]
    total = right = 0
    for one, other in zip(typed.score.measures, found.score.measures, strict=True):
        total += 1
        right += [e.onset for e in one.events] == [e.onset for e in other.events]
    assert right >= 0.8 * total


def test_two_frets_over_each_other_and_a_hammer_on_beside() -> None:
    """A pair by hand: dashes are 0.333 of the size in Helvetica and figures 0.556 (the widths of
    the standard fonts, Adobe's font metrics). Frets at the same place are in one column, and a
    letter between two frets keeps the later one at its own."""
    rows = (
        "D|---2-----2h4-----5--|",
        "B|---0--------------3-|",
        "G|---------0----------|",
    )
    import re

    from reportlab.pdfbase.pdfmetrics import stringWidth

    canvas, out = made._canvas()
    for number, row in enumerate(rows):
        canvas.setFont("Helvetica", 10)
        for found in re.finditer(r"[^-]+|-", row):
            # Everything at 6 points a character, but what touches stays together.
            canvas.drawString(40 + 6 * found.start(), 700 - 12 * number, found[0])
    canvas.save()
    assert stringWidth("-", "Helvetica", 10) == pytest.approx(3.33)
    lines = text_of(out.getvalue()).split("\n")
    assert lines[0].index("2") == lines[1].index("0")
    assert lines[0].index("2h") == lines[2].index("0")
    assert len({line.rindex("|") for line in lines if line}) == 1


def test_pages_are_named_and_a_system_may_go_on_over_the_page() -> None:
    system = ["D|-0-2-|", "B|-----|", "G|-----|", "D|-----|", "g|-----|"]
    text = "\n".join(["", *([*system, ""] * 11), *system[:2]])
    padding = "\n" * 0
    data = made.pdf(padding + text + "\n" + "\n".join(system[2:]))
    (found,) = documents.opened(data) or ()
    pages = {place.partition(",")[0] for place in found.places if place}
    assert pages == {"page 1", "page 2"}
    (tune,) = rollstave.read(data)
    assert len(tune.score.measures) == 12


def test_a_picture_of_a_page_says_what_is_missing() -> None:
    canvas, out = made._canvas()
    canvas.rect(100, 100, 300, 300)
    canvas.save()
    with pytest.raises(rollstave.TabError, match="no text in it, only pictures of pages"):
        rollstave.read(out.getvalue())


def test_a_password() -> None:
    import io

    from pypdf import PdfReader, PdfWriter

    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(made.pdf("D|-0-|"))))
    writer.encrypt("Larkspur", algorithm="AES-256")
    out = io.BytesIO()
    writer.write(out)
    with pytest.raises(rollstave.TabError, match="locked with a password"):
        rollstave.read(out.getvalue())
