"""rollstave: plain-text string tablature becomes engraved notation.

>>> import rollstave
>>> tune, = rollstave.read(pathlib.Path("tune.txt"))      # doctest: +SKIP
>>> rollstave.write(tune, "musicxml")                      # doctest: +SKIP

The names in ``__all__``, and those in ``rollstave.figures.__all__``, are the public API; all else
may change. What stays until the next major version:

- every name, and the meaning of its arguments, attributes and results;
- an argument or a field that is added has a default and comes after those that are there, and
  records are best built with names, not by position; :func:`msgspec.structs.replace` makes a
  changed copy of one;
- an enumeration may gain a member, a mapping a key, and :func:`read` may understand more;
- the text of messages, and how sheets look to the last hundredth of a millimetre, may change at
  any time; codes of problems, the rows of :mod:`rollstave.vocabulary.problems`, stay.

What is to go is named in the release notes one minor version ahead and warns with
DeprecationWarning. Plugins rely on the contract (``hookimpl``, ``CONTRACT_VERSION``) as well;
:mod:`rollstave.contract.hooks` says what holds for it. ``tests/contract/public_api.txt`` is the
public API as a list; the tests fail where it changes by accident.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rollstave.version import __version__ as __version__

if TYPE_CHECKING:
    from rollstave.api import Tune, beside, read, rework, write
    from rollstave.assembly.plugins import known_instruments
    from rollstave.assembly.writers import format_names
    from rollstave.contract.hooks import CONTRACT_VERSION, hookimpl
    from rollstave.contract.offers import (
        Candidate,
        Dialect,
        DocumentReader,
        DocumentText,
        HandoutMaker,
        HouseText,
        Mark,
        ReadGrid,
        Rework,
        RhythmEvidence,
        TuningOf,
        Weights,
        Writer,
        WriterOption,
    )
    from rollstave.deciding.chords import chord_named, chord_tones
    from rollstave.deciding.named_by import moved_chord
    from rollstave.deciding.playback import play_order
    from rollstave.deciding.rolls import RollUse, roll_of
    from rollstave.deciding.settling import settled
    from rollstave.deciding.shape_names import ShapeName, shape_name
    from rollstave.deciding.shape_row import shape_changes, shape_row
    from rollstave.deciding.shape_use import ShapeAt
    from rollstave.deciding.shapes import (
        Fingering,
        MovableShape,
        NamedShape,
        closed_shapes,
        movable_shapes,
        suggest_fingers,
    )
    from rollstave.grid.typed import (
        Attachment,
        Bar,
        Column,
        FreeText,
        GraceStroke,
        GridMeasure,
        GridTune,
        Heading,
        LegendSign,
        LineKind,
        Link,
        SlideEdge,
        Stroke,
    )
    from rollstave.instruments.instrument import Instrument, ShortString, Tuning
    from rollstave.instruments.setup import NoSuchFret, Setup
    from rollstave.pitch import Key, Pitch, spell
    from rollstave.problems import Place, Problem, Severity, TabError
    from rollstave.rhythm.meter import Meter
    from rollstave.rhythm.timed import Source
    from rollstave.score.finding import Finding, How
    from rollstave.score.parsing import parse_key, parse_tuning
    from rollstave.score.records import (
        Change,
        ChordName,
        Event,
        Finger,
        GraceNote,
        Measure,
        Note,
        OtherVersion,
        Rhythm,
        Score,
    )
    from rollstave.score.reworked import Reworked
    from rollstave.vocabulary.signs import techniques_of
    from rollstave.vocabulary.technique import MusicXMLElement, Technique
    from rollstave.vocabulary.techniques import TECHNIQUES
    from rollstave.writing.handout.records import (
        Chart,
        ChartBar,
        Exercise,
        Handout,
        Part,
        Shapes,
        Words,
    )
    from rollstave.writing.options import PAPERS, Paper, SheetOptions, View
    from rollstave.writing.sheet.canvas import PlacedNote, SheetCanvas


# Where each public name is; a name is imported when it is first used.
_NAMES = {
    "rollstave.api": "Tune beside read rework write",
    "rollstave.assembly.plugins": "known_instruments",
    "rollstave.assembly.writers": "format_names",
    "rollstave.contract.hooks": "CONTRACT_VERSION hookimpl",
    "rollstave.contract.offers": "Candidate Dialect DocumentReader DocumentText HandoutMaker "
    "HouseText Mark ReadGrid Rework RhythmEvidence TuningOf Weights Writer WriterOption",
    "rollstave.deciding.chords": "chord_named chord_tones",
    "rollstave.deciding.named_by": "moved_chord",
    "rollstave.deciding.playback": "play_order",
    "rollstave.deciding.rolls": "RollUse roll_of",
    "rollstave.deciding.settling": "settled",
    "rollstave.deciding.shape_names": "ShapeName shape_name",
    "rollstave.deciding.shape_row": "shape_changes shape_row",
    "rollstave.deciding.shape_use": "ShapeAt",
    "rollstave.deciding.shapes": "Fingering MovableShape NamedShape closed_shapes movable_shapes "
    "suggest_fingers",
    "rollstave.grid.typed": "Attachment Bar Column FreeText GraceStroke GridMeasure GridTune "
    "Heading LegendSign LineKind Link SlideEdge Stroke",
    "rollstave.instruments.instrument": "Instrument ShortString Tuning",
    "rollstave.instruments.setup": "NoSuchFret Setup",
    "rollstave.pitch": "Key Pitch spell",
    "rollstave.problems": "Place Problem Severity TabError",
    "rollstave.rhythm.meter": "Meter",
    "rollstave.rhythm.timed": "Source",
    "rollstave.score.finding": "Finding How",
    "rollstave.score.parsing": "parse_key parse_tuning",
    "rollstave.score.records": "Change ChordName Event Finger GraceNote Measure Note "
    "OtherVersion Rhythm Score",
    "rollstave.score.reworked": "Reworked",
    "rollstave.vocabulary.signs": "techniques_of",
    "rollstave.vocabulary.technique": "MusicXMLElement Technique",
    "rollstave.vocabulary.techniques": "TECHNIQUES",
    "rollstave.writing.handout.records": "Chart ChartBar Exercise Handout Part Shapes Words",
    "rollstave.writing.options": "PAPERS Paper SheetOptions View",
    "rollstave.writing.sheet.canvas": "PlacedNote SheetCanvas",
}
_HOMES = {name: module for module, names in _NAMES.items() for name in names.split()}

__all__ = [
    "CONTRACT_VERSION",
    "PAPERS",
    "TECHNIQUES",
    "Attachment",
    "Bar",
    "Candidate",
    "Change",
    "Chart",
    "ChartBar",
    "ChordName",
    "Column",
    "Dialect",
    "DocumentReader",
    "DocumentText",
    "Event",
    "Exercise",
    "Finding",
    "Finger",
    "Fingering",
    "FreeText",
    "GraceNote",
    "GraceStroke",
    "GridMeasure",
    "GridTune",
    "Handout",
    "HandoutMaker",
    "Heading",
    "HouseText",
    "How",
    "Instrument",
    "Key",
    "LegendSign",
    "LineKind",
    "Link",
    "Mark",
    "Measure",
    "Meter",
    "MovableShape",
    "MusicXMLElement",
    "NamedShape",
    "NoSuchFret",
    "Note",
    "OtherVersion",
    "Paper",
    "Part",
    "Pitch",
    "Place",
    "PlacedNote",
    "Problem",
    "ReadGrid",
    "Rework",
    "Reworked",
    "Rhythm",
    "RhythmEvidence",
    "RollUse",
    "Score",
    "Setup",
    "Severity",
    "ShapeAt",
    "ShapeName",
    "Shapes",
    "SheetCanvas",
    "SheetOptions",
    "ShortString",
    "SlideEdge",
    "Source",
    "Stroke",
    "TabError",
    "Technique",
    "Tune",
    "Tuning",
    "TuningOf",
    "View",
    "Weights",
    "Words",
    "Writer",
    "WriterOption",
    "beside",
    "chord_named",
    "chord_tones",
    "closed_shapes",
    "format_names",
    "hookimpl",
    "known_instruments",
    "movable_shapes",
    "moved_chord",
    "parse_key",
    "parse_tuning",
    "play_order",
    "read",
    "rework",
    "roll_of",
    "settled",
    "shape_changes",
    "shape_name",
    "shape_row",
    "spell",
    "suggest_fingers",
    "techniques_of",
    "write",
]


def __getattr__(name: str) -> object:
    """Import a public name when it is first used, so that ``--help`` answers at once."""
    if name not in _HOMES:
        raise AttributeError(f"module 'rollstave' has no attribute {name!r}")
    import importlib

    return getattr(importlib.import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    """The public names, those not yet imported too."""
    return sorted({*globals(), *__all__})
