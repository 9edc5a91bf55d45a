"""The commands shapes and book, and the options of a sheet."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pypdf
from click.testing import CliRunner
from lxml import etree

from rollstave.cli.main import main
from tests import tunes

SVG = "{http://www.w3.org/2000/svg}"


def test_shapes_prints_the_trades_table(tmp_path: Path) -> None:
    # The project's table for gCGBD (common practice; pitches by arithmetic).
    out = tmp_path / "shapes.svg"
    result = CliRunner().invoke(
        main, ["shapes", "--tuning", "gCGBD", "C", "F", "G", "--out", str(out)]
    )
    assert result.exit_code == 0, result.output
    rows = [line.split() for line in result.output.splitlines()]
    for expected in (
        "F fret 5 3:5 2:6 1:7 C4 F4 A4",
        "G fret 7 3:7 2:8 1:9 D4 G4 B4",
        "C fret 12 3:12 2:13 1:14 G4 C5 E5",
        "C fret 8 3:9 2:8 1:10 E4 G4 C5",
    ):
        assert expected.split() in rows
    assert "hurts" in result.output
    drawn = etree.parse(str(out)).getroot()
    groups = [g for g in drawn.iter(f"{SVG}g") if g.get("class") == "chord-shape"]
    assert len(groups) == sum(row[1:2] == ["fret"] for row in rows)


def test_shapes_as_json() -> None:
    result = CliRunner().invoke(main, ["shapes", "--tuning", "gCGBD", "F", "--json"])
    assert result.exit_code == 0
    places = [p for shape in json.loads(result.output) for p in shape["positions"]]
    assert [7, 6, 5, None, None] in [p["frets"] for p in places]


def test_shapes_refuses_what_is_no_tuning_and_no_chord() -> None:
    for arguments in (["--tuning", "xyz", "C"], ["H7"]):
        result = CliRunner().invoke(main, ["shapes", *arguments])
        assert result.exit_code == 2
        assert "Error" in result.output


def test_book(tmp_path: Path) -> None:
    out = tmp_path / "book.pdf"
    bad = tmp_path / "bad.txt"
    bad.write_text("no tab here\n")
    files = [str(path) for path in tunes.SAMPLES[:2]]
    result = CliRunner().invoke(main, ["book", *files, "--out", str(out), "--title", "Two"])
    assert result.exit_code == 0, result.output
    reader = pypdf.PdfReader(io.BytesIO(out.read_bytes()))
    assert reader.metadata is not None
    assert reader.metadata.title == "Two"
    result = CliRunner().invoke(main, ["book", files[0], str(bad), "--out", str(out)])
    assert result.exit_code == 2
    assert "bad.txt" in result.output


def test_views_on_the_command_line(tmp_path: Path) -> None:
    source = str(tunes.SAMPLES[0])
    counts = {}
    for view in ("both", "tab", "staff"):
        result = CliRunner().invoke(
            main, ["convert", source, "--to", "svg", "--view", view, "--out", str(tmp_path / view)]
        )
        assert result.exit_code == 0, result.output
        root = etree.parse(str(next((tmp_path / view).glob("*.svg")))).getroot()
        measure = next(g for g in root.iter(f"{SVG}g") if g.get("class") == "measure")
        staves = sum(1 for g in measure if g.get("class") == "staff")
        frets = sum(1 for t in root.iter(f"{SVG}text") if t.get("class") == "fret")
        counts[view] = (staves, frets > 0)
    assert counts == {"both": (2, True), "tab": (1, True), "staff": (1, False)}


def test_pdf_on_letter(tmp_path: Path) -> None:
    arguments = ["convert", str(tunes.SAMPLES[0]), "--to", "pdf", "--page-size", "letter"]
    result = CliRunner().invoke(main, [*arguments, "--out", str(tmp_path)])
    assert result.exit_code == 0, result.output
    (made,) = tmp_path.glob("*.pdf")
    # 8.5 by 11 inches at 72 points an inch.
    box = pypdf.PdfReader(made).pages[0].mediabox
    assert (round(float(box.width)), round(float(box.height))) == (612, 792)


def test_a_string_that_a_closed_shape_leaves_out_has_a_cross(tmp_path: Path) -> None:
    out = tmp_path / "shapes.svg"
    result = CliRunner().invoke(main, ["shapes", "C", "F", "G", "--json", "--out", str(out)])
    frets = [p["frets"] for shape in json.loads(result.stdout) for p in shape["positions"]]
    silent = sum(held.count(None) for held in frets)
    assert silent >= len(frets)  # no closed shape holds the short string (common practice)
    drawn = etree.parse(str(out)).xpath("//*[@class='silent-string']")
    assert len(drawn) == silent
