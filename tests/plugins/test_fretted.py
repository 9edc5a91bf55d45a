"""The fretted instruments: the dulcimer's frets, and that a plain installation reads them all.

The frets of a mountain dulcimer: from the open string they are a mixolydian scale, and fret 6+
makes it major (common practice, no source). The scales are music21's.
"""

from __future__ import annotations

import ast
import inspect
from pathlib import Path

import pytest
from music21 import scale

import rollstave
import rollstave_fretted.table
from rollstave.instruments.setup import NoSuchFret

SAMPLES = Path(__file__).parents[2] / "samples"

DULCIMER = next(i for i in rollstave.known_instruments() if i.name == "mountain dulcimer")


def heard(frets: str) -> list[str]:
    """The pitches of frets on the melody string of a dulcimer tuned DAD, an open string of D4."""
    cells = "".join(f"-{fret.ljust(4, '-')}" for fret in frets.split())
    empty = "-" * len(cells)
    text = f"Instrument: dulcimer\nTuning: DAD\nKey: D\n\nD|{cells}|\nA|{empty}|\nD|{empty}|\n"
    (tune,) = rollstave.read(text)
    return [str(n.pitch) for m in tune.score.measures for e in m.events for n in e.notes]


def names(kind: type[scale.ConcreteScale]) -> list[str]:
    pitches = kind("D").getPitches("D4", "D5")
    return [p.nameWithOctave.replace("-", "b") for p in pitches]


def test_the_frets_are_a_mixolydian_scale() -> None:
    assert heard("0 1 2 3 4 5 6 7") == names(scale.MixolydianScale)


def test_fret_6_and_a_half_makes_it_major() -> None:
    assert heard("0 1 2 3 4 5 6+ 7") == names(scale.MajorScale)


def test_fret_1_and_a_half_is_the_lowered_third_and_the_octave_has_the_same_frets() -> None:
    assert heard("1+ 8+ 13+ 14") == ["F4", "F5", "C#6", "D6"]


def test_a_half_fret_that_the_neck_has_not_is_an_error_with_its_place() -> None:
    with pytest.raises(rollstave.TabError, match=r"fret 3\+ does not exist .* 1\+, 6\+, 8\+, 13\+"):
        heard("3+ 4")


def test_a_capo_moves_along_the_table() -> None:
    """Capo at 1: the open string is fret 1 (E), and fret 1 above it is fret 2 (F sharp)."""
    setup = rollstave.Setup(DULCIMER, DULCIMER.default, capo=1)
    assert [setup.midi(1, fret) for fret in (0, 1, 2)] == [64, 66, 67]
    assert setup.midi(1, 5, half=True) == 62 + 11
    with pytest.raises(NoSuchFret):
        setup.midi(1, 17)


def test_harmonics_lie_over_the_frets_of_the_table() -> None:
    """Half the string is fret 7, a third of it fret 4: an octave, an octave and a fifth."""
    assert heard("<7> <4>") == ["D5", "A5"]


@pytest.mark.parametrize("form", ["text", "musicxml"])
def test_half_frets_survive(form: str) -> None:
    (tune,) = rollstave.read(SAMPLES / "plugins" / "reed-warbler.txt")
    (data,) = rollstave.write(tune, form)
    (again,) = rollstave.read(data)
    assert [n.half for m in again.score.measures for e in m.events for n in e.notes] == [
        n.half for m in tune.score.measures for e in m.events for n in e.notes
    ]
    assert sum(n.half for m in again.score.measures for e in m.events for n in e.notes) == 2


def test_a_banjo_has_no_half_frets_and_a_stray_plus_is_reported() -> None:
    rows = "\n".join(f"{n}|-0---2+--|" if n == "D" else f"{n}|---------|" for n in "DBG")
    text = f"Key: G\n\n{rows}\nD|---------|\ng|---------|\n"
    text = text.replace("D|---------|", "D|---------|")
    (tune,) = rollstave.read(text)
    assert [p.message for p in tune.problems if p.code == "unread"] == [
        "'+' is not understood here; it is left out of the music"
    ]


def test_the_sheet_shows_the_half_frets() -> None:
    (tune,) = rollstave.read(SAMPLES / "plugins" / "reed-warbler.txt")
    assert rollstave.write(tune, "svg")[0].decode().count(">6+<") == 2


def test_the_plugin_is_made_only_of_data() -> None:
    """Its table has no function, no branch and no loop over anything but a fret table."""
    tree = ast.parse(inspect.getsource(rollstave_fretted.table))
    code = (ast.FunctionDef, ast.ClassDef, ast.If, ast.For, ast.While, ast.Lambda, ast.Try)
    assert not [node for node in ast.walk(tree) if isinstance(node, code)]


def test_words_that_name_a_tuning_of_a_plugin_stay_words() -> None:
    """The writer of text knows which words would be read as a tuning, a plugin's too."""
    text = "Title: Gate Song\nInstrument: guitar\nTime: 2/4\nRemark: DADGAD\n\n" + "".join(
        f"{string}|-{fret}---2---|\n" for string, fret in zip("eBGDAE", "3--0--", strict=True)
    )
    (tune,) = rollstave.read(text)
    assert tune.score.notes == ("DADGAD",)
    (again,) = rollstave.read(rollstave.write(tune, "text")[0])
    assert again.score.notes == ("DADGAD",)
    assert again.score.setup.tuning == tune.score.setup.tuning


@pytest.mark.parametrize(
    "instrument",
    [i for i in rollstave.known_instruments() if i.short_string is None],
    ids=lambda i: i.name,
)
def test_fingers_of_the_picking_hand_are_guessed_on_no_other_instrument(
    instrument: rollstave.Instrument,
) -> None:
    """T, I and M under the tab are the banjo's; who plays with a pick or a bow has no use for them
    (common practice, no source)."""
    rows = "".join(f"|-{n}---{n}---|\n" for n in range(instrument.strings))
    (tune,) = rollstave.read(f"Title: Reed Pier\nInstrument: {instrument.name}\n\n{rows}")
    assert tune.score.setup.instrument.name == instrument.name
    notes = [n for m in tune.score.measures for e in m.events for n in e.notes]
    assert notes
    assert not any(n.finger for n in notes)
