"""``rollstave tidy``: in place, whole or not at all, and not where something was not understood."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import rollstave
from rollstave.cli.main import main
from rollstave.score.compare import essence
from tests import tunes
from tests.tunes import SAMPLES

MESSY = """\
> Gull Street
> Tuning: open G
> Key: G
> Time: 4/4
>
> Played by the ferry.
>
> D¦—————0———————0———¦—————2———————2———¦
> B¦———0———————1—————¦———0———————1—————¦
> G¦—0———————2—————0—¦—0———————2h4—————¦
> D¦—————————————————¦—————————————————¦
> g¦———————0———————0—¦———————0———————0—¦
"""


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, list(arguments))


@pytest.fixture
def messy(tmp_path: Path) -> Path:
    path = tmp_path / "gull.txt"
    path.write_text(MESSY, encoding="utf-8")
    return path


def test_a_messy_file_is_rewritten_with_its_words(messy: Path) -> None:
    before = rollstave.read(messy)[0].score
    result = run("tidy", str(messy))
    assert result.exit_code == 0, result.output
    text = messy.read_text(encoding="utf-8")
    assert "Played by the ferry." in text
    assert "D|-----0-------0---|" in text
    assert ">" not in text
    assert essence(rollstave.read(messy)[0].score) == essence(before)
    assert [p.name for p in messy.parent.iterdir()] == ["gull.txt"]


def test_tidying_again_changes_nothing(messy: Path) -> None:
    run("tidy", str(messy))
    once = messy.read_bytes()
    result = run("tidy", str(messy))
    assert "already tidy" in result.output
    assert messy.read_bytes() == once


def test_diff_looks_first(messy: Path) -> None:
    result = run("tidy", str(messy), "--diff")
    assert result.exit_code == 0
    assert "+D|-----0-------0---|" in result.output
    assert messy.read_text(encoding="utf-8") == MESSY


def test_what_is_not_understood_stops_it_unless_told_to_go_on(messy: Path) -> None:
    messy.write_text(MESSY.replace("2h4", "2q4"), encoding="utf-8")
    before = messy.read_bytes()
    result = run("tidy", str(messy))
    assert result.exit_code == 2
    assert "'q'" in result.output
    assert f"{messy}:10:" in result.output
    assert messy.read_bytes() == before
    assert run("tidy", str(messy), "--force").exit_code == 0
    assert messy.read_bytes() != before


def test_no_tab_is_an_error_and_nothing_is_touched(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("The ferry leaves at nine.\n")
    result = run("tidy", str(path), "--force")
    assert result.exit_code == 2
    assert path.read_text() == "The ferry leaves at nine.\n"


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_samples_can_be_tidied(path: Path, tmp_path: Path) -> None:
    copy = tmp_path / path.name
    copy.write_bytes(path.read_bytes())
    result = run("tidy", str(copy))
    assert result.exit_code == 0, result.output
    assert essence(rollstave.read(copy)[0].score) == essence(tunes.case(path.stem))


def test_several_tunes_stay_several(tmp_path: Path) -> None:
    path = tmp_path / "two.txt"
    tune = MESSY.replace("> ", "").replace(">", "")
    path.write_text(tune + "\n" + tune.replace("Gull Street", "Otter Weir"), encoding="utf-8")
    assert run("tidy", str(path)).exit_code == 0
    assert [t.score.title for t in rollstave.read(path)] == ["Gull Street", "Otter Weir"]


def test_convert_to_text_does_not_write_over_its_source(messy: Path) -> None:
    result = CliRunner().invoke(main, ["convert", str(messy), "--to", "text"])
    assert result.exit_code == 2
    assert "--out" in result.output
    assert messy.read_text(encoding="utf-8") == MESSY
    out = messy.parent / "out"
    result = CliRunner().invoke(main, ["convert", str(messy), "--to", "text", "--out", str(out)])
    assert result.exit_code == 0, result.output
    assert (out / "gull.txt").read_text(encoding="utf-8").startswith("Title: Gull Street\n")


@pytest.mark.parametrize("form", ["musicxml", "mxl"])
@pytest.mark.parametrize("options", [(), ("--diff",), ("--force",)])
def test_a_musicxml_file_is_not_tidied_into_a_tab(
    messy: Path, form: str, options: tuple[str, ...]
) -> None:
    assert CliRunner().invoke(main, ["convert", str(messy), "--to", form]).exit_code == 0
    made = messy.with_suffix(f".{form}")
    before = made.read_bytes()
    result = run("tidy", str(made), *options)
    assert result.exit_code == 2
    assert "convert" in result.output
    assert made.read_bytes() == before


def test_diff_shows_what_stands_against_it_and_writes_nothing(messy: Path) -> None:
    messy.write_text(MESSY.replace("2h4", "2q4"), encoding="utf-8")
    before = messy.read_bytes()
    result = run("tidy", str(messy), "--diff", "--force")
    assert result.exit_code == 0
    assert f"{messy}:10:" in result.output
    assert f"--- {messy}" in result.output
    assert messy.read_bytes() == before


def test_one_bad_file_does_not_keep_the_others_from_being_tidied(messy: Path) -> None:
    bad = messy.with_name("bad.txt")
    bad.write_text("The ferry leaves at nine.\n", encoding="utf-8")
    result = run("tidy", str(bad), str(messy), str(messy.with_name("none.txt")))
    assert result.exit_code == 2
    assert ">" not in messy.read_text(encoding="utf-8")
    assert bad.read_text(encoding="utf-8") == "The ferry leaves at nine.\n"
    assert sorted(p.name for p in messy.parent.iterdir()) == ["bad.txt", "gull.txt"]


def test_a_musicxml_file_becomes_a_tab(messy: Path) -> None:
    run_convert = ["convert", str(messy), "--to", "musicxml"]
    assert CliRunner().invoke(main, run_convert).exit_code == 0
    made = messy.with_suffix(".musicxml")
    out = messy.parent / "back"
    result = CliRunner().invoke(main, ["convert", str(made), "--to", "text", "--out", str(out)])
    assert result.exit_code == 0, result.output
    one = rollstave.read(out / "gull.txt")[0].score
    assert essence(one) == essence(rollstave.read(messy)[0].score)


@pytest.mark.parametrize(
    "words",
    [
        "That was Otter's Moonlight, key of G, as they play it there.",
        "G tuning  *  4/4  *  as I play it",
        "play A twice, B twice",
        "First learn the low part - it is easier",
    ],
)
def test_words_keep_their_order_and_meaning(tmp_path: Path, words: str) -> None:
    """The proof holds for words that speak of headings and parts: nothing speaks against it."""
    rows = "|---0---0|---0---0|\n|-0---0--|-0---0--|\n|0---0---|0---2---|\n"
    rows += "|--------|--------|\n|--0---0-|--0---0-|\n"
    path = tmp_path / "bell.txt"
    path.write_text(
        f"Ferry Bell\nTuning: gDGBD\nTime: 4/4\n\n{words}\n\nA part\n{rows}\n"
        f"Softly now.\n\nB part\n{rows}\nIt is late.\n"
    )
    result = CliRunner().invoke(main, ["tidy", str(path)])
    assert result.exit_code == 0, result.output
    assert "tidied" in result.output


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_a_tidied_sample_is_tidy(path: Path, tmp_path: Path) -> None:
    tune = tmp_path / path.name
    tune.write_bytes(path.read_bytes())
    assert run("tidy", str(tune)).exit_code == 0
    again = run("tidy", str(tune))
    assert (again.exit_code, again.output) == (0, f"{tune}: already tidy\n")


def test_a_string_that_is_not_raised_and_counted_from_its_peg_stays_so(tmp_path: Path) -> None:
    """Not raised says nothing against the counting."""
    tune = tmp_path / "gull.txt"
    text = MESSY.replace("> ", "").replace("———————0———————0—", "———2———0———3———0—")
    head = "NOTE: I count the frets of the fifth string from its own peg.\n"
    tune.write_text(head + text.replace("—", "-").replace("¦", "|"), encoding="utf-8")
    assert run("tidy", str(tune)).exit_code == 0
    assert "not raised, counted from its own peg" in tune.read_text("utf-8")
    assert run("tidy", str(tune)).output == f"{tune}: already tidy\n"
    assert "own peg. If they are not" not in run("check", str(tune)).output
