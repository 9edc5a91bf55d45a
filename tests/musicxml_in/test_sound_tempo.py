"""A tempo that is only sounded: MusicXML 4.0, sound, attribute tempo, in quarter notes a minute."""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave
from rollstave.score.compare import first_difference

PART = """<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Banjo</part-name>
</score-part></part-list><part id="P1">{measures}</part></score-partwise>"""
NOTE = """<note><pitch><step>G</step><octave>4</octave></pitch><duration>{d}</duration></note>"""
OPENING = """<attributes><divisions>1</divisions>
<time><beats>4</beats><beat-type>4</beat-type></time>
</attributes>"""


def read(*before: str, behind: str = "") -> rollstave.Tune:
    measures = [
        f'<measure number="{number}">{OPENING if number == 1 else ""}{said}{NOTE.format(d=2)}'
        f"{behind if number == 1 else ''}{NOTE.format(d=2)}</measure>"
        for number, said in enumerate(before, start=1)
    ]
    (tune,) = rollstave.read(PART.format(measures="".join(measures)).encode())
    return tune


SOUND = '<sound tempo="{}"/>'
DIRECTION = (
    '<direction><direction-type><words>calm</words></direction-type><sound tempo="{}"/></direction>'
)


@pytest.mark.parametrize("form", [SOUND, DIRECTION])
def test_a_sound_alone_is_the_tempo(form: str) -> None:
    score = read(form.format(72), "", form.format("90.5")).score
    assert score.tempo == 72
    assert score.tempos == (72, 72, Fraction(181, 2))


def test_a_sound_behind_a_note_holds_from_the_next_measure_and_is_said() -> None:
    tune = read(SOUND.format(72), "", behind=SOUND.format(80))
    assert tune.score.tempos == (72, 80)
    assert [p for p in tune.problems if p.code == "tempo-change" and "measure 1" in p.message]


def test_a_metronome_mark_goes_before_what_sounds() -> None:
    mark = (
        "<direction><direction-type><metronome><beat-unit>half</beat-unit><per-minute>60"
        '</per-minute></metronome></direction-type><sound tempo="119"/></direction>'
    )
    assert read(mark).score.tempo == 120


def test_what_rollstave_lets_sound_by_itself_is_no_tempo() -> None:
    """A tune without a tempo is written with one that only sounds, and comes back without."""
    tune = read("", "")
    (again,) = rollstave.read(rollstave.write(tune, "musicxml")[0])
    assert again.score.tempo is None
    assert first_difference(tune.score, again.score) is None


@pytest.mark.parametrize("words", ["", "fast", "0", "99999", "-3", "1e9"])
def test_what_is_no_tempo_changes_nothing(words: str) -> None:
    assert read(SOUND.format(words)).score.tempo is None
