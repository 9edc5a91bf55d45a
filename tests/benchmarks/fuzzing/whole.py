"""Targets that read a whole file, and write what was read in formats that need no engraver."""

from __future__ import annotations

import contextlib
import io
import re

import mido
from lxml import etree
from tests.benchmarks.fuzzing.inner import text_of

import rollstave
from rollstave.problems import Problem, TabError
from rollstave.score.compare import first_difference

_MOST_LINES = re.compile(rb"\r\n|\r|\n|\xc2\x85|\xe2\x80[\xa8\xa9]")


def _check_problems(problems: tuple[Problem, ...], data: bytes) -> None:
    most = len(_MOST_LINES.findall(data)) + 1
    for problem in problems:
        assert problem.message
        problem.format("tune.txt")
        if problem.place is not None:
            assert 1 <= problem.place.line <= most, problem
            assert problem.place.column >= 1, problem


def check_score(score: rollstave.Score) -> None:
    """What every writer relies on: events in order, filling their measure; pitches that exist."""
    for measure in score.measures:
        now = None
        for event in measure.events:
            assert event.duration > 0, (measure.number, event)
            assert now is None or event.onset == now, (measure.number, event)
            now = event.onset + event.duration
            for note in event.notes:
                assert 1 <= note.string <= score.setup.instrument.strings
                assert 0 <= note.pitch.midi <= 127
                assert note.muted or note.fret is not None
        assert now is None or now <= measure.length


def read(data: bytes) -> tuple[rollstave.Tune, ...]:
    """A file as it lies on a disk: tunes, or an error that says where."""
    try:
        tunes = rollstave.read(data)
    except TabError as error:
        assert error.problems  # noqa: PT017 - not a test
        _check_problems(error.problems, data)
        return ()
    for tune in tunes:
        _check_problems(tune.problems, data)
        check_score(tune.score)
    return tunes


def read_text(data: bytes) -> None:
    """The same from text, which may hold what no bytes decode to."""
    text = text_of(data)
    with contextlib.suppress(TabError):
        for tune in rollstave.read(text):
            check_score(tune.score)


def write(data: bytes) -> None:
    """Read, then written: XML that is well-formed and read again, MIDI that mido opens, text that
    is read again and can be compared. That it is the same music is not asked: of signs that are
    typed at random, not all can be typed again."""
    for tune in read(data):
        (xml,) = rollstave.write(tune, "musicxml")
        etree.fromstring(xml)
        rollstave.read(xml)
        (mei,) = rollstave.write(tune, "mei")
        _check_mei(etree.fromstring(mei))
        (midi,) = rollstave.write(tune, "midi")
        mido.MidiFile(file=io.BytesIO(midi))
        (text,) = rollstave.write(tune, "text")
        (again,) = rollstave.read(text)
        first_difference(tune.score, again.score)


def _check_mei(root: etree._Element) -> None:
    """What Verovio 6.4 ends its process on must not be there: a fret that is no small number."""
    ids = set()
    for element in root.iter(etree.Element):
        fret = element.get("tab.fret")
        assert fret is None or (fret.isascii() and fret.isdigit() and len(fret) < 3), fret
        name = element.get("{http://www.w3.org/XML/1998/namespace}id")
        assert name is None or name not in ids, name
        ids.add(name)


def musicxml(data: bytes) -> None:
    """MusicXML from anywhere, plain or compressed; what is read can be written as tab."""
    with contextlib.suppress(TabError):
        for tune in rollstave.read(data):
            check_score(tune.score)
            rollstave.write(tune, "text")


def stretched(data: bytes) -> None:
    """A piece over and over, so that what grows faster than its length is slow."""
    if data:
        read((data * (STRETCHED // len(data) + 1))[:STRETCHED])


STRETCHED = 8_000  # bytes
