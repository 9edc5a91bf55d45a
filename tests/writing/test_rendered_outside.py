"""Verovio 6.4 sets every MusicXML file that is written, in a process that may not run for ever.

A tab staff with a string and no fret kept it from ending on five strings, and gave the fret
-2147483648 on six. Each case is a whole score; ``everything`` has every sign.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import music21
import pytest
from lxml import etree

import rollstave
from rollstave.score.records import Score
from rollstave.writing.musicxml.document import write_musicxml
from tests import tunes
from tests.amount import some
from tests.outside import partitura
from tests.writing import everything, generated

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
_LIMIT = 120  # seconds for all of them; it takes a few
_SETS = """
import sys, verovio
for name in sys.argv[1:]:
    print(name, flush=True)
    toolkit = verovio.toolkit()
    assert toolkit.loadFile(name), "not loaded"
    for page in range(1, toolkit.getPageCount() + 1):
        svg = toolkit.renderToSVG(page)
        assert "<svg" in svg and "2147483648" not in svg, "no page"
print("all", flush=True)
"""
SIX_STRINGS = """Title: Lantern Stairs
Instrument: guitar
Time: 4/4

E|-0-----x---3---x-|
B|-----1-x-----0-x-|
G|---0---x---0---x-|
D|---------------x-|
A|---------------x-|
E|-----------3---x-|
"""


def _scores() -> dict[str, Score]:
    found = {"everything": everything.score(), "dead": tunes.case("every-technique")}
    found["six"] = rollstave.read(SIX_STRINGS)[0].score
    for path in sorted(SAMPLES.glob("*.txt")):
        for number, tune in enumerate(rollstave.read(path)):
            found[f"{path.stem}-{number}"] = tune.score
    for seed in range(some(12, 50)):
        found[f"generated-{seed}"] = rollstave.read(generated.tab(seed))[0].score
    return found


def test_verovio_sets_every_file(tmp_path: Path) -> None:
    paths = []
    for name, score in _scores().items():
        path = tmp_path / f"{name}.musicxml"
        path.write_bytes(write_musicxml(score))
        paths.append(str(path))
    run = subprocess.run(
        [sys.executable, "-c", _SETS, *paths],
        capture_output=True,
        text=True,
        timeout=_LIMIT,
        check=False,
    )
    said = run.stdout.split()
    assert said[-1:] == ["all"], (said[-1:], run.stderr[-500:])


@pytest.mark.filterwarnings("ignore::UserWarning", "ignore::DeprecationWarning")
def test_a_dead_stroke_is_read_by_others_and_by_us(tmp_path: Path) -> None:
    score = rollstave.read(SIX_STRINGS)[0].score
    path = tmp_path / "six.musicxml"
    path.write_bytes(write_musicxml(score))
    # MusicXML 4.0: a string and a fret beside each other, and the head of the note an x.
    dead = [n for n in etree.parse(path).iter("note") if n.findtext("notehead") == "x"]
    struck = [n for n in dead if n.find("tie[@type='stop']") is None]
    on_tab = [n for n in struck if n.findtext("staff") == "2"]
    assert len(on_tab) == 3 + 6
    frets = [n.findtext("notations/technical/fret") for n in on_tab]
    assert frets == ["0"] * 9
    # music21 and partitura keep the heads of both staves.
    stream = music21.converter.parse(path)
    heads = [
        one
        for n in stream.recurse().notes
        for one in (n.notes if isinstance(n, music21.chord.Chord) else [n])
        if one.notehead == "x"
    ]
    assert len(heads) == len(dead)
    part = partitura.load_musicxml(path).parts[0]
    assert len(part.notes) == len(list(etree.parse(path).iter("pitch")))
    again = rollstave.read(path)[0].score
    kept = [(n.string, n.fret, n.muted) for m in again.measures for e in m.events for n in e.notes]
    own = [(n.string, n.fret, n.muted) for m in score.measures for e in m.events for n in e.notes]
    assert kept == own
    assert [fret for _, fret, muted in kept if muted] == [None] * 9
