"""Wrong arguments to the public functions: the message says what would be right."""

from __future__ import annotations

import inspect
import re
from pathlib import Path
from typing import Any

import pytest

import rollstave
from tests import tunes


@pytest.fixture
def tune() -> rollstave.Tune:
    (tune,) = rollstave.read(tunes.SIGNS)
    return tune


def test_the_name_of_a_file_is_no_tab(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "tune.txt").write_text(tunes.SIGNS, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    for name in ("tune.txt", str(tmp_path / "tune.txt")):
        with pytest.raises(rollstave.TabError, match=r"name of a file.* Path\(") as caught:
            rollstave.read(name)
        assert [p.code for p in caught.value.problems] == ["file-name"]
    assert rollstave.read(Path("tune.txt"))[0].score.title == "Every Sign of the Harbour"


@pytest.mark.parametrize("name", ["nowhere.txt", "of long ago/tune.musicxml"])
def test_the_name_of_a_file_that_is_not_there(name: str) -> None:
    with pytest.raises(rollstave.TabError, match=r"give Path\(.*none is found from here") as caught:
        rollstave.read(name)
    assert [p.code for p in caught.value.problems] == ["file-name"]


@pytest.mark.parametrize("text", ["a few words", "a" * 5000, "nul\0.txt", "", "."])
def test_other_words_are_no_tab_as_ever(text: str) -> None:
    with pytest.raises(rollstave.TabError) as caught:
        rollstave.read(text)
    assert [p.code for p in caught.value.problems] in (["no-tab"], ["empty"], ["binary"])


def test_a_text_that_is_a_tab_is_read_whatever_files_there_are(
    tune: rollstave.Tune, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """MusicXML in one line is a text without a line break."""
    monkeypatch.setattr(Path, "is_file", lambda _: True)
    text = rollstave.write(tune, "musicxml")[0].decode().replace("\n", " ")
    assert rollstave.read(text)[0].score.title == tune.score.title


@pytest.mark.parametrize("source", [None, 7, ["D|--0--|"]])
def test_a_source_that_is_no_text(source: Any) -> None:
    with pytest.raises(rollstave.TabError, match="a Path, or text or bytes") as caught:
        rollstave.read(source)
    assert isinstance(caught.value, TypeError)


@pytest.mark.parametrize("name", ["MIDI", "muscixml", "", None, ["svg"]])
def test_a_format_that_does_not_exist(tune: rollstave.Tune, name: Any) -> None:
    with pytest.raises(rollstave.TabError) as caught:
        rollstave.write(tune, name)
    assert isinstance(caught.value, KeyError)  # as it was before the message was one for people
    assert all(known in str(caught.value) for known in rollstave.format_names())
    assert [p.code for p in caught.value.problems] == ["no-format"]


def test_arguments_that_a_format_does_not_take(tune: rollstave.Tune) -> None:
    wrong: Any = {"paper": "a4"}
    for call, said in (
        (lambda: rollstave.write(tune, "text", widht=100), "no option 'widht'; it has width"),
        (lambda: rollstave.write(tune, "svg", width=100), "no option 'width'; it has none"),
        (lambda: rollstave.write(tune, "svg", wrong), "SheetOptions, not a dict"),
        (lambda: rollstave.write((tune,), "svg"), "not a tuple"),
        (lambda: rollstave.write(tune, "text", width="wide"), "is a number, such as 80"),
    ):
        with pytest.raises(rollstave.TabError, match=said) as caught:
            call()
        assert isinstance(caught.value, TypeError)
        assert [p.code for p in caught.value.problems] == ["argument"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (
            {"instrument": "mandolin"},
            "is an Instrument, not 'mandolin'; the names .*bass",
        ),
        ({"headings": 4}, "headings is a str, not a int"),
        ({"lead": "left"}, "lead is one of staff, tab, newer, not 'left'"),
        ({"octave": "up"}, "octave is a whole number from -9 to 9, not 'up'"),
        ({"since": "tune.txt"}, "since is a tune or a score, not a str"),
    ],
)
def test_arguments_that_reading_does_not_take(arguments: dict[str, Any], said: str) -> None:
    with pytest.raises(rollstave.TabError, match=said) as caught:
        rollstave.read(tunes.SIGNS, **arguments)
    assert isinstance(caught.value, TypeError)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"paper": "A4"}, "such as PAPERS\\['a4'\\], PAPERS\\['a5'\\], .*, not 'A4'"),
        ({"view": "tab"}, "view is one of View.BOTH, View.TAB, View.STAFF, not 'tab'"),
        ({"size": "huge"}, "size is one of pocket, small, normal, large, not 'huge'"),
        ({"scale": 0}, "scale is a number above 0, not 0"),
        ({"width": "wide"}, "width is a number above 0, not 'wide'"),
        ({"measures": 3}, "measures is a pair"),
        ({"prefix": 7}, "prefix is a str, not a int"),
    ],
)
def test_options_of_a_sheet_that_do_not_exist(
    tune: rollstave.Tune, options: dict[str, Any], said: str
) -> None:
    with pytest.raises(rollstave.TabError, match=said) as caught:
        rollstave.write(tune, "svg", rollstave.SheetOptions(**options))
    assert isinstance(caught.value, TypeError)


def test_functions_that_want_something_else_say_what(tune: rollstave.Tune) -> None:
    wrong: Any = tune
    score: Any = tune.score
    for call, said in (
        (lambda: rollstave.shape_row(wrong), "a score, .* not a Tune"),
        (lambda: rollstave.shape_changes(wrong), "a score, .* not a Tune"),
        (lambda: rollstave.play_order(score), "the measures of a score are played, not a Score"),
        (lambda: rollstave.roll_of(score), "a measure .* not a Score"),
        (lambda: rollstave.movable_shapes(["G"], score), "a setup, .* not a Score"),
        (lambda: rollstave.chord_named(wrong), "the name of a chord is a str, not a Tune"),
        (lambda: rollstave.beside(tune, score), "what rework made of it, not a Score"),
        (lambda: rollstave.beside(None, score), "a tune or its score, not a NoneType"),
    ):
        with pytest.raises(rollstave.TabError, match=said) as caught:
            call()
        assert isinstance(caught.value, TypeError)


def test_only_a_score_can_be_settled(tune: rollstave.Tune) -> None:
    with pytest.raises(rollstave.TabError, match="a score, such as that of a tune"):
        rollstave.settled(tune)


def test_help_says_something_of_all_that_is_public() -> None:
    """What ``help()`` shows of a name and of the functions and properties of a class."""
    silent = []
    for name in rollstave.__all__:
        thing = getattr(rollstave, name)
        silent += [] if (thing.__doc__ or "").strip() else [name]
        members = vars(thing) if inspect.isclass(thing) else {}
        for member, value in members.items():
            described = inspect.isroutine(value) or isinstance(value, property)
            if described and not member.startswith("_"):
                doc = inspect.getdoc(getattr(thing, member))
                silent += [] if doc else [f"{name}.{member}"]
    assert silent == []


@pytest.mark.parametrize(
    ("text", "instrument", "said"),
    [
        ("gDGBD", "banjo", "such as those of known_instruments(), not a str"),
        (3, rollstave.known_instruments()[0], "a tuning is read from a str, not a int"),
        (None, None, "a tuning is read from a str, not a NoneType"),
    ],
)
def test_a_tuning_is_read_from_a_text(text: Any, instrument: Any, said: str) -> None:
    with pytest.raises(rollstave.TabError, match=re.escape(said)) as caught:
        rollstave.parse_tuning(text, instrument)
    assert isinstance(caught.value, TypeError)


def test_a_key_is_read_from_a_text() -> None:
    nothing: Any = None
    with pytest.raises(rollstave.TabError, match="a key is read from a str, not a NoneType"):
        rollstave.parse_key(nothing)
