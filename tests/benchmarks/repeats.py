"""Whether repeats, endings and jumps are played as others play them, over music21's corpus.

One command, from the top of the repository::

    python -m tests.benchmarks.repeats [--tunes N] [--songs N] [--others N] [--whole] [--slice 2/9]

Every tune of the losses benchmark's corpus that has a repeat, an ending or a jump is written as
MusicXML by music21. Its order of measures as rollstave plays it is held against that of
``expandRepeats`` of music21 and ``unfold_part_maximal`` of partitura, on that file and on the one
that rollstave writes of it. For that each measure has one note in place of its own, whose pitch is
the measure's number. Where they disagree, both orders are printed: who is right people must say.
"""

from __future__ import annotations

import argparse
import re
import tempfile
import warnings
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tests.benchmarks import losses

import rollstave
from rollstave.deciding.playback import play_order

LOWEST, NOTES = 12, 100  # the pitch of the first measure, and how many pitches there are
_STEPS = [("C", 0), ("C", 1), ("D", 0), ("D", 1), ("E", 0), ("F", 0), ("F", 1)]
_STEPS += [("G", 0), ("G", 1), ("A", 0), ("A", 1), ("B", 0)]
_SOUNDING = {"note", "backup", "forward", "harmony"}


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.repeats")
    parser.add_argument("--tunes", type=int, default=60, help="of each collection, spread evenly")
    parser.add_argument("--songs", type=int, default=0, help="of each book of folk songs")
    parser.add_argument("--others", type=int, default=0, help="parts of other scores")
    parser.add_argument("--whole", action="store_true", help="all tunes of the collections")
    parser.add_argument("--slice", default="1/1", help="one of so many parts of all files")
    arguments = parser.parse_args()
    warnings.simplefilter("ignore")
    outcomes: Counter[str] = Counter()
    for book in losses.books_of(arguments):
        for name, score in losses.tunes_of(book):
            outcome = compared(name, losses.as_musicxml(score))
            outcomes[outcome] += 1
    for outcome, count in outcomes.most_common():
        print(f"{outcome:<64}{count:>6}")


def compared(name: str, data: bytes) -> str:
    """Whether all play a file alike; where they do not, the orders are printed."""
    if not re.search(rb"<repeat |<ending |dacapo=|dalsegno=|<segno|<coda|>D\.[CS]\.", data):
        return "no repeat"
    try:
        (tune,) = rollstave.read(data)
    except rollstave.TabError as error:
        return f"refused: {error.problems[0].code}"
    ours = list(play_order(tune.score.measures))
    (again,) = rollstave.write(tune, "musicxml")
    otherwise = []
    unread = False
    for which, one in (("theirs", data), ("ours", again)):
        for judge in (by_music21, by_partitura):
            try:
                order = judge(skeleton(one))
            except Exception as error:  # of many classes, where a library gives up
                unread = True
                print(f"{name}: {judge.__name__}, {which}: {type(error).__name__}: {error}"[:160])
                continue
            if order != [i % NOTES for i in ours]:
                otherwise.append(f"{judge.__name__}, {which}")
                print(f"{name}: {judge.__name__}, {which}: {_short(order)}, here {_short(ours)}")
    if otherwise:
        return f"otherwise: {'; '.join(otherwise)}"
    return "alike, as far as they are read" if unread else "alike"


def skeleton(data: bytes) -> bytes:
    """A file with one note in each measure, as long as the measure, that tells its number."""
    from lxml import etree

    root = etree.fromstring(data)
    first, *others = root.findall("part")
    for other in others:
        root.remove(other)
    for listed in root.findall("part-list/score-part")[1:]:
        listed.getparent().remove(listed)
    divisions = 1
    for index, measure in enumerate(first.findall("measure")):
        divisions = int(measure.findtext("attributes/divisions") or divisions)
        length = _length(measure)
        places = [n for n, child in enumerate(measure) if child.tag in _SOUNDING]
        for child in [child for child in measure if child.tag in _SOUNDING]:
            measure.remove(child)
        for staves in measure.findall("attributes/staves"):
            staves.getparent().remove(staves)
        pitch = LOWEST + index % NOTES
        step, alter = _STEPS[pitch % 12]
        note = etree.fromstring(
            f"<note><pitch><step>{step}</step><alter>{alter}</alter><octave>{pitch // 12 - 1}"
            f"</octave></pitch><duration>{length or divisions}</duration><voice>1</voice></note>"
        )
        before = sum(1 for n, child in enumerate(measure) if child.tag in ("attributes", "print"))
        measure.insert(min(places, default=before), note)
    return etree.tostring(root)


def _length(measure: Any) -> int:
    now = longest = 0
    for child in measure:
        lasts = int(child.findtext("duration") or 0)
        if child.tag == "backup":
            now -= lasts
        elif child.tag == "forward" or (child.tag == "note" and child.find("chord") is None):
            now += lasts
        longest = max(longest, now)
    return longest


def by_music21(data: bytes) -> list[int]:
    from music21 import converter

    part = converter.parseData(data, format="musicxml").parts[0].expandRepeats()
    return [n.pitch.midi - LOWEST for n in part.flatten().notes if not _led_to(n)]


def _led_to(note: Any) -> bool:
    return note.tie is not None and note.tie.type in ("stop", "continue")


def by_partitura(data: bytes) -> list[int]:
    import partitura

    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "tune.musicxml"
        file.write_bytes(data)
        part = partitura.load_musicxml(str(file)).parts[0]
    played = partitura.score.unfold_part_maximal(part, ignore_leaps=False)
    return [n.midi_pitch - LOWEST for n in sorted(played.notes_tied, key=lambda n: n.start.t)]


def _short(order: Sequence[int]) -> str:
    """``0-7 0-6 8``: measures in a row together."""
    runs: list[list[int]] = []
    for one in order:
        if runs and one == runs[-1][-1] + 1:
            runs[-1].append(one)
        else:
            runs.append([one])
    return " ".join(f"{run[0]}-{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)


if __name__ == "__main__":
    main()
