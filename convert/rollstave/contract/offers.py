"""What a plugin offers: small frozen descriptions. Public.

Where a description has a function, it may be given as ``"module:function"``: the module is then
imported when the function is first needed, which keeps the start quick.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import Any, cast

from msgspec import Struct

from rollstave.grid.typed import GridTune
from rollstave.instruments.instrument import Instrument, Tuning

Reference = str | Callable[..., Any]


def resolve(reference: Reference) -> Callable[..., Any]:
    """The function of a reference. Raises ImportError, AttributeError or ValueError."""
    if not isinstance(reference, str):
        return reference
    module, colon, name = reference.partition(":")
    if not (module and colon and name):
        raise ValueError(f"{reference!r} is not of the form module:function")
    found = getattr(importlib.import_module(module), name)
    if not callable(found):
        raise ValueError(f"{reference!r} is not a function")
    return cast("Callable[..., Any]", found)


class TuningOf(Struct, frozen=True):
    """A tuning for an instrument that is there already, by the instrument's name."""

    instrument: str
    tuning: Tuning

    @property
    def name(self) -> str:
        """What it is called in the list of plugins: the tuning, then the instrument."""
        return f"{self.tuning.name or self.tuning.written} ({self.instrument})"


class WriterOption(Struct, frozen=True):
    """An option of a writer. The type of ``default`` (bool, int, float, str) is its type."""

    name: str
    default: bool | int | float | str
    help: str = ""

    def read(self, text: str) -> bool | int | float | str:
        """The value of a typed text. Raises ValueError with a message for people."""
        kind = type(self.default)
        if kind is bool:
            words = {"yes": True, "true": True, "1": True, "no": False, "false": False, "0": False}
            if text.strip().lower() not in words:
                raise ValueError(f"{self.name} is yes or no, not {text!r}")
            return words[text.strip().lower()]
        try:
            return kind(text)
        except ValueError:
            names = {int: "a whole number", float: "a number"}
            raise ValueError(f"{self.name} is {names.get(kind, 'a text')}, not {text!r}") from None


class Writer(Struct, frozen=True):
    """A format to write: ``name`` for ``--to``, the file's ``extension`` with its dot.

    ``write`` is called with the :class:`rollstave.Score` and the options as keyword arguments; it
    returns bytes, or a list of bytes, one for each page, if ``paged``. If ``sheet``, a
    :class:`rollstave.SheetOptions` may come after the score.
    """

    name: str
    extension: str
    write: Reference
    help: str = ""
    paged: bool = False
    sheet: bool = False
    options: tuple[WriterOption, ...] = ()


class HouseText(Struct, frozen=True):
    """A text in the house dialect: rows of dashes and fret numbers as the README shows them.

    ``lines`` gives for each of its lines the line of the original that it came from, counted
    from 1 (0: from none), so that problems point into the file that the user has.
    """

    text: str
    lines: tuple[int, ...] = ()


class ReadGrid(Struct, frozen=True):
    """Tunes as a dialect read them itself, and the instrument that they are for."""

    tunes: tuple[GridTune, ...]
    instrument: Instrument


class Dialect(Struct, frozen=True):
    """A way of typing tab.

    ``recognise(text)`` says how surely a text is typed so, from 0.0 to 1.0; the highest wins, and
    the house dialect says 0.5 of a text with rows of
    dashes and 0.1 of any other. ``read(text)`` returns a text in the house dialect
    (a str or a :class:`HouseText`) or a :class:`ReadGrid`; it raises :class:`rollstave.TabError`
    for a text that is wrong.
    """

    name: str
    recognise: Reference
    read: Reference
    help: str = ""


class DocumentText(Struct, frozen=True):
    """A text that was in a document, its lines as they stand there.

    ``places`` gives for each line where in the document it is, in words (``"paragraph 14"``,
    ``"page 3, line 12"``), which are told instead of its number; "" or none tells the number.
    Where a document holds several texts, ``name`` says which one this is (``"message 4 (Ferry
    Landing)"``) and ``number`` counts them from 1: each is then a file of its own. ``title`` is
    the title of a tune that has none. ``remarks`` are told as notices; ``error`` says why this text
    of several could not be brought out.
    """

    text: str
    places: tuple[str, ...] = ()
    name: str = ""
    number: int = 0
    title: str = ""
    remarks: tuple[str, ...] = ()
    error: str = ""


class DocumentReader(Struct, frozen=True):
    """A kind of file that holds text in a form of its own: of a word processor, of a mail program.

    ``recognise(data)`` says of the bytes of a file whether it is of this kind, and takes no longer
    than a look at them needs; ``read(data)`` returns a :class:`DocumentText`, or a list of them.
    It raises :class:`rollstave.TabError` for a file that is damaged or too large. ``endings``
    (``".odt"``) are what such files are called in a folder; ``noun`` is what people call one.
    ``needs`` are the packages that ``read`` imports, ``install`` the words after ``pip install``
    that bring them: where one is missing, that is told and ``read`` is not called.
    """

    name: str
    endings: tuple[str, ...]
    recognise: Reference
    read: Reference
    noun: str = ""
    needs: tuple[str, ...] = ()
    install: str = ""
    help: str = ""


class Candidate(Struct, frozen=True):
    """A reading of a measure that is weighed: its onsets and its length in quarter notes."""

    onsets: tuple[Fraction, ...]
    length: Fraction


class Weights(Struct, frozen=True):
    """Natural logarithms of how much likelier each candidate became, in their order, and why.

    0 leaves a candidate as it is. They are added to the other evidence and kept between -5 and 5.
    ``reason`` is shown where it decided: ``"the foot taps under it say so"``.
    """

    log_weights: Sequence[float]
    reason: str


class RhythmEvidence(Struct, frozen=True):
    """A kind of evidence for rhythm.

    ``weigh(measure, meter, candidates)`` gets a :class:`rollstave.GridMeasure`, a
    :class:`rollstave.Meter` and a sequence of :class:`Candidate`; it returns :class:`Weights`, or
    None where it has nothing to say. It is asked only of measures that what is written and the
    columns leave open.
    """

    name: str
    weigh: Reference
    help: str = ""


class Mark(Struct, frozen=True):
    """A kind of mark on the sheet.

    ``draw(canvas)`` gets a :class:`rollstave.SheetCanvas` for each system, after everything that
    rollstave draws itself.
    """

    name: str
    draw: Reference
    help: str = ""


class Rework(Struct, frozen=True):
    """A way to make another version of a tune: another tuning, another key, an easier hand.

    ``rework(score, **options)`` gets a :class:`rollstave.Score` and those of its ``options`` that
    were given, as keyword arguments, at least one; it returns a :class:`rollstave.Reworked`, and
    raises :class:`rollstave.TabError` where what is asked for is impossible, saying what stands in
    the way and what comes nearest. On the command line an option ``capo_at`` is ``--capo-at``; a
    rework is done where one of its options is given. An option whose ``default`` is False is a
    flag.
    """

    name: str
    rework: Reference
    help: str = ""
    options: tuple[WriterOption, ...] = ()


class HandoutMaker(Struct, frozen=True):
    """A command that makes a hand-out: headed exercises on pages, with what is said of them.

    ``make`` gets what the command ``takes`` and those of the ``options`` that were given, as
    keyword arguments, and returns a :class:`rollstave.Handout`. ``takes`` is ``"tune"`` for the
    :class:`rollstave.Tune` of a file, or what words there are on the command line are called
    (``"chords C F G"``), which come as a tuple of texts. It raises :class:`rollstave.TabError`
    where what is asked for is impossible, saying what stands in the way. rollstave reads the file,
    puts the hand-out on pages and writes it. On the command line an option ``up_to`` is
    ``--up-to``; one whose ``default`` is False is a flag.
    """

    name: str
    make: Reference
    takes: str = "tune"
    help: str = ""
    options: tuple[WriterOption, ...] = ()
