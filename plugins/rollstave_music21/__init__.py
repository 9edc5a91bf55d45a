"""Tab in music21: typed tab becomes a music21 score, and a score becomes typed tab.

::

    import rollstave_music21                      # teaches music21 the format
    from music21 import converter

    score = converter.parse("tune.txt")           # or parse(text, format="rollstave")
    score.analyze("key")
    score.parts[0].expandRepeats()
    score.write("rollstave", "again.txt")

Each note has a ``StringIndication`` and a ``FretIndication``, a ``FrettedPluck`` where a letter was
written or inferred, a ``Fingering`` for the left hand; in a chord, the notes inside it have them.
Pitches are sounding pitches. Hammer-ons, pull-offs and slides are spanners; chord names, repeats,
endings, sections, tempo, key, meter and words are music21's own objects for them.

A file with several tunes becomes an ``Opus``; ``number=2`` takes the second. music21 keeps what it
parsed from a file until the file changes: after an update of rollstave, parse once with
``forceSource=True``.
"""

from __future__ import annotations

from rollstave_music21.convert import ConverterRollstave, ConverterTextFile, register, unregister
from rollstave_music21.from_stream import to_tab
from rollstave_music21.to_stream import to_score

__all__ = [
    "ConverterRollstave",
    "ConverterTextFile",
    "register",
    "to_score",
    "to_tab",
    "unregister",
]

register()
