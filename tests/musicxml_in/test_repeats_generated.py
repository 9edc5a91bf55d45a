"""Repeats, endings and jumps made at random are played as music21 10 and partitura 1 play them.

The files are MusicXML 4.0 by hand, a pitch for each measure, so what is heard says which measure
it is. Each library judges what it plays at all: music21 takes no endings in a tune that also has a
jump, partitura goes on past a D.C. after which a coda stands (read in their source, as in
:mod:`tests.writing.test_expanded_outside`). So no tune here has endings and a coda. What is written
of a tune must be played by each as what it was read from.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from msgspec import Struct

import rollstave
from rollstave.deciding.playback import play_order
from tests.amount import some

LOWEST = 50  # D3, the lowest string of a banjo in open G


class Made(Struct):
    """A measure: what stands before its note and after it, as MusicXML."""

    before: str = ""
    after: str = ""


def _bar(side: str, *inside: str) -> str:
    return f'<barline location="{side}">{"".join(inside)}</barline>'


def _says(words: str, sound: str) -> str:
    return (
        f"<direction><direction-type><words>{words}</words></direction-type>"
        f"<sound {sound}/></direction>"
    )


def _section(chance: random.Random, kinds: tuple[str, ...]) -> list[Made]:
    """A few measures: played once, repeated, or repeated with two or three endings."""
    kind = chance.choice(kinds)
    found = [Made() for _ in range(chance.randint(1, 3))]
    if kind == "plain":
        return found
    found[0].before += _bar("left", '<repeat direction="forward"/>')
    if kind == "repeat":
        found[-1].after += _bar("right", '<repeat direction="backward"/>')
        return found
    last = chance.choice((2, 2, 3))
    for number in range(1, last + 1):
        inside = [Made() for _ in range(chance.randint(1, 2))]
        inside[0].before += _bar("left", f'<ending number="{number}" type="start"/>')
        end = "stop" if number < last else "discontinue"
        inside[-1].after += _bar(
            "right",
            f'<ending number="{number}" type="{end}"/>',
            '<repeat direction="backward"/>' if number < last else "",
        )
        found += inside
    return found


def made(seed: int) -> list[Made]:
    """The measures of a tune: sections, and often a jump after them."""
    chance = random.Random(seed)
    jump = chance.choice(("", "", "D.C.", "D.C. al Fine", "D.S.", "D.S. al Fine", "D.C. al Coda"))
    kinds = ("plain", "repeat") if jump.endswith("Coda") else ("plain", "repeat", "endings")
    sections = [_section(chance, kinds) for _ in range(chance.randint(1, 3))]
    if jump:
        sections.append([Made(), Made()])
    if jump.startswith("D.S."):
        where = chance.choice(sections)[0]
        where.before += (
            '<direction><direction-type><segno/></direction-type><sound segno="segno"/></direction>'
        )
    if jump.endswith("Fine"):
        sections.insert(0, [Made(), Made(after=_says("Fine", 'fine="yes"'))])
        if jump.startswith("D.S."):
            sections.insert(0, [Made(before=sections[0][0].before)])
    if jump.endswith("Coda"):
        sections.insert(0, [Made(), Made(after=_says("To Coda", 'tocoda="coda"'))])
    if jump:
        sound = 'dalsegno="segno"' if jump.startswith("D.S.") else 'dacapo="yes"'
        sections[-1][-1].after += _says(jump, sound)
    if jump.endswith("Coda"):
        coda = '<direction><direction-type><coda/></direction-type><sound coda="coda"/></direction>'
        sections.append([Made(before=coda), Made()])
    return [measure for section in sections for measure in section]


def file_of(measures: list[Made]) -> bytes:
    """The tune as MusicXML 4.0; each measure has one whole note."""
    time = (
        "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"
        "</attributes>"
    )
    steps = [("C", 0), ("C", 1), ("D", 0), ("D", 1), ("E", 0), ("F", 0), ("F", 1)]
    steps += [("G", 0), ("G", 1), ("A", 0), ("A", 1), ("B", 0)]
    found = []
    for number, measure in enumerate(measures):
        step, alter = steps[(LOWEST + number) % 12]
        pitch = (
            f"<pitch><step>{step}</step><alter>{alter}</alter>"
            f"<octave>{(LOWEST + number) // 12 - 1}</octave></pitch>"
        )
        found.append(
            f'<measure number="{number + 1}">{"" if number else time}{measure.before}'
            f"<note>{pitch}<duration>4</duration><type>whole</type></note>{measure.after}</measure>"
        )
    return (
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Banjo</part-name>'
        f'</score-part></part-list><part id="P1">{"".join(found)}</part></score-partwise>'
    ).encode()


def by_music21(data: bytes) -> list[int]:
    from music21 import converter

    part = converter.parseData(data, format="musicxml").parts[0].expandRepeats()
    return [n.pitch.midi - LOWEST for n in part.flatten().notes]


def by_partitura(data: bytes, folder: Path) -> list[int]:
    import partitura

    file = folder / "tune.musicxml"
    file.write_bytes(data)
    part = partitura.load_musicxml(str(file)).parts[0]
    played = partitura.score.unfold_part_maximal(part, ignore_leaps=False)
    first = [n for n in played.notes_tied if n.staff in (None, 1)]
    return [n.midi_pitch - LOWEST for n in sorted(first, key=lambda n: n.start.t)]


def judged(data: bytes, tune: list[Made], folder: Path) -> list[list[int]]:
    """The order of measures that each library plays, of those that play all that the tune has."""
    words = "".join(measure.before + measure.after for measure in tune)
    found = []
    if "<ending" not in words or not ("dacapo" in words or "dalsegno" in words):
        found.append(by_music21(data))
    if "<coda" not in words:
        found.append(by_partitura(data, folder))
    return found


@pytest.mark.parametrize("seed", range(some(16, 400)))
@pytest.mark.filterwarnings("ignore")
def test_it_is_played_as_others_play_it(seed: int, tmp_path: Path) -> None:
    measures = made(seed)
    data = file_of(measures)
    (tune,) = rollstave.read(data)
    ours = list(play_order(tune.score.measures))
    (again,) = rollstave.write(tune, "musicxml")
    for one in (data, again):
        judges = judged(one, measures, tmp_path)
        assert judges
        assert judges == [ours] * len(judges)
    assert list(play_order(rollstave.read(again)[0].score.measures)) == ours
