"""Tunes for several instruments in one file: each names its own (common practice, no source)."""

from __future__ import annotations

import rollstave

FIVE = """D|-----0-------0---|
B|---0-------1-----|
G|-0-------2-----0-|
D|-----------------|
g|-------0-------0-|
"""
FOUR = """A|-0---2---0---2---|
D|-0---2---0---2---|
G|-0---2---0---2---|
C|-0---2---0---2---|
"""


def test_each_tune_for_the_instrument_it_names() -> None:
    text = (
        f"Gull Street\nTuning: open G\nTime: 4/4\n\n{FIVE}\n"
        f"Quay Walk\n\nInstrument: tenor banjo\nTime: 4/4\n\n{FOUR}\n"
        f"Title: Tide Table\nTuning: open G\nTime: 4/4\n\n{FIVE}"
    )
    tunes = rollstave.read(text)
    assert [(t.score.title, t.score.setup.instrument.name) for t in tunes] == [
        ("Gull Street", "five-string banjo"),
        ("Quay Walk", "tenor banjo"),
        ("Tide Table", "five-string banjo"),
    ]
    assert [len(t.score.measures) for t in tunes] == [1, 1, 1]


def test_places_are_those_of_the_file() -> None:
    text = (
        f"Title: Quay Walk\nInstrument: tenor banjo\nTime: 4/4\n\n{FOUR}\n"
        f"Title: Gull Street\nInstrument: banjo\nTuning: open G\nTime: 4/4\n\n{FIVE}"
    )
    second = rollstave.read(text)[1]
    lines = text.split("\n")
    for event in second.score.measures[0].events:
        for note in event.notes:
            assert lines[note.place.line - 1][note.place.column - 1] == str(note.fret)


def test_one_heading_at_the_top_is_for_the_whole_file() -> None:
    text = f"Instrument: tenor banjo\n\nTitle: A Walk\n\n{FOUR}\nTitle: A Run\n\n{FOUR}"
    names = [t.score.setup.instrument.name for t in rollstave.read(text)]
    assert names == ["tenor banjo", "tenor banjo"]
