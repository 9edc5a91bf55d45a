"""A number or a letter in a MusicXML file that cannot be is named with its line, as are the values
that may stand there.

What may stand there: MusicXML 4.0 (W3C), types ``octave`` (0 to 9), ``step`` (A to G),
``positive-divisions``; ``beat-type`` is a power of two, common practice, no source.
"""

from __future__ import annotations

import pytest

import rollstave
from rollstave.deciding.playback import play_order

FILE = """<?xml version="1.0"?>
<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part></part-list>
<part id="P1"><measure number="1">
<attributes><divisions>1</divisions>
<key><fifths>0</fifths></key>
<time><beats>4</beats>
<beat-type>4</beat-type></time></attributes>
<note><pitch><step>D</step>
<octave>4</octave></pitch>
<duration>4</duration><type>whole</type></note>
</measure></part></score-partwise>
"""


def test_the_file_is_read_as_it_stands() -> None:
    (tune,) = rollstave.read(FILE.encode())
    assert [str(n.pitch) for e in tune.score.measures[0].events for n in e.notes] == ["D4"]


@pytest.mark.parametrize(
    ("right", "wrong", "line", "wanted"),
    [
        ("<divisions>1<", "<divisions>0<", 4, "whole number"),
        ("<divisions>1<", "<divisions>one<", 4, "whole number"),
        ("<fifths>0<", "<fifths>99<", 5, "from -50 to 50"),
        ("<fifths>0<", "<fifths><", 5, "from -50 to 50"),
        ("<beats>4<", "<beats>0<", 6, "whole number"),
        ("<beat-type>4<", "<beat-type>0<", 7, "whole number"),
        ("<beat-type>4<", "<beat-type>four<", 7, "whole number"),
        ("<step>D<", "<step>H<", 8, "from A to G"),
        ("<octave>4<", "<octave>-44<", 9, "from 0 to 9"),
        ("<duration>4<", "<duration>-3<", 10, "whole number"),
        ("<duration>4<", "<duration>1e999<", 10, "whole number"),
    ],
)
def test_what_cannot_be_is_named(right: str, wrong: str, line: int, wanted: str) -> None:
    assert right in FILE
    with pytest.raises(rollstave.TabError) as caught:
        rollstave.read(FILE.replace(right, wrong).encode())
    (problem,) = [p for p in caught.value.problems if p.severity.name == "ERROR"]
    assert problem.place is not None
    assert problem.place.line == line
    assert wanted in problem.message


TECHNICAL = "<notations><technical><string>{}</string><fret>{}</fret></technical></notations>"
GRACE = (
    "<note><grace/><pitch><step>B</step><octave>3</octave></pitch>"
    f"{TECHNICAL.format(2, '{}')}</note><note>"
)


def _with(note: str = "", grace: str = "") -> str:
    text = FILE.replace("<type>whole</type>", f"<type>whole</type>{note}")
    return text.replace("<note>", grace, 1) if grace else text


def test_a_raised_number_is_no_number() -> None:
    """Unicode: SUPERSCRIPT TWO is a digit, but no decimal digit. As a fret it is none, and as the
    number of an ending it does not say how often a repeat is played."""
    (tune,) = rollstave.read(_with(TECHNICAL.format(1, "\u00b2")).encode())
    assert [n.fret for e in tune.score.measures[0].events for n in e.notes] == [0]


@pytest.mark.parametrize(
    ("numbers", "turns", "order"),
    [
        (("1", "2"), ["1", "2"], (0, 1)),
        (("1, 2", "3"), ["1,2", "3"], (0, 0, 1)),
        (("1.", "2."), ["1", "2"], (0, 1)),
        (("", " "), ["1", "2"], (0, 1)),
        (("\u00b9", "\u00b2"), ["1", "2"], (0, 1)),
        # The beginning of the first bracket is missing: what has no number is the first there is.
        ((None, ""), [None, "1"], None),
    ],
)
def test_endings_and_their_turns(
    numbers: tuple[str | None, str], turns: list[str | None], order: tuple[int, ...] | None
) -> None:
    """MusicXML 4.0, ``ending-number``: numbers with commas, or blank. The first ending stands over
    measure 1 and the repeat begins with it, so a turn is one measure, and an ending is played in
    its own turns only."""
    first, second = (
        "<note>"
        if n is None
        else f'<barline location="left"><ending number="{n}" type="start"/></barline><note>'
        for n in numbers
    )
    repeat = (
        '<barline location="right"><ending number="1" type="stop"/>'
        '<repeat direction="backward"/></barline></measure>'
    )
    last = '<barline location="right"><ending number="2" type="stop"/></barline></measure>'
    measure = FILE[FILE.index("<measure") : FILE.index("</part></score")]
    text = FILE.replace(
        measure,
        measure.replace("<note>", first).replace("</measure>", repeat)
        + '<measure number="2">'
        + measure[measure.index("<note>") :].replace("<note>", second).replace("</measure>", last),
    )
    (tune,) = rollstave.read(text.encode())
    assert [m.ending for m in tune.score.measures] == turns
    assert order is None or play_order(tune.score.measures) == order


@pytest.mark.parametrize("name", ["two", "-1", "1e9", ""])
def test_how_often_a_repeat_is_played_is_a_number(name: str) -> None:
    """MusicXML 4.0: ``times`` of ``repeat`` is a nonNegativeInteger."""
    bar = f'<barline location="right"><repeat direction="backward" times="{name}"/></barline>'
    with pytest.raises(rollstave.TabError) as caught:
        rollstave.read(FILE.replace("</measure>", bar + "</measure>").encode())
    (problem,) = caught.value.problems
    assert f"times of <repeat> is {name!r}" in problem.message
    assert problem.place is not None


@pytest.mark.parametrize(("string", "place"), [(1, (1, 0)), (2, (2, 3)), (5, (1, 0)), (4, (4, 12))])
def test_a_string_alone_is_enough(string: int, place: tuple[int, int]) -> None:
    """Arithmetic: D4 is string 1 open of gDGBD, fret 3 of B3, fret 12 of D3; string 5 is tuned
    above it, so another place is found."""
    note = f"<notations><technical><string>{string}</string></technical></notations>"
    (tune,) = rollstave.read(_with(note).encode())
    assert [(n.string, n.fret) for e in tune.score.measures[0].events for n in e.notes] == [place]


@pytest.mark.parametrize(
    ("fret", "kept", "said"),
    [(0, 0, ""), (3, 0, "sounds D4, but B3 is written"), (40, 0, "does not exist")],
)
def test_the_fret_of_a_grace_note_sounds_its_pitch(fret: int, kept: int, said: str) -> None:
    """Arithmetic: string 2 of gDGBD is B3, so fret 3 is D4; frets end at 22."""
    (tune,) = rollstave.read(_with(grace=GRACE.format(fret)).encode())
    ((note,),) = tune.score.measures[0].events[0].grace
    assert (note.string, note.fret, str(note.pitch)) == (2, kept, "B3")
    warnings = [p.message for p in tune.problems if p.severity.name == "WARNING"]
    assert [said in m and "grace note" in m for m in warnings] == ([True] if said else [])
