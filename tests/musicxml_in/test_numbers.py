"""A number or a letter in a MusicXML file that cannot be is named with its line, as are the values
that may stand there.

What may stand there: MusicXML 4.0 (W3C), types ``octave`` (0 to 9), ``step`` (A to G),
``positive-divisions``; ``beat-type`` is a power of two, common practice, no source.
"""

from __future__ import annotations

import pytest

import rollstave

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
        ("<fifths>0<", "<fifths>99<", 5, "from -7 to 7"),
        ("<fifths>0<", "<fifths><", 5, "from -7 to 7"),
        ("<beats>4<", "<beats>0<", 6, "whole number"),
        ("<beat-type>4<", "<beat-type>0<", 7, "whole number"),
        ("<beat-type>4<", "<beat-type>3<", 7, "1, 2, 4, 8"),
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
