"""Reading a tuning that somebody typed: a name, five letters, or the labels of the rows."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rollstave.instruments.instrument import Instrument, Tuning
from rollstave.patterns import rare
from rollstave.pitch import Pitch, accidental

_LETTER = rare(r"([A-Ga-g])(#|♯|b(?![a-z])|♭)?(\d)?['`,]*")
_OCTAVED = rare(r"([A-Ga-g])((?:##|#|♯|bb|b|♭)?)(\d)")
# The letters of three strings or more among other words: "sawmill: g D G C D".
_SPREAD = rare(r"(?<![\w#♯♭])[A-Ga-g][#♯♭b]?(?:[ ,\-–]{1,3}[A-Ga-g][#♯♭b]?){2,}(?![\w#♯♭])")
_SEPARATORS = rare(r"[\s,\-–—./]+")


def _fold(words: str) -> str:
    """Lower case, without the word tuning and without punctuation, for comparing names."""
    words = re.sub(r"\b(tuning|tuned|the|in|to)\b", " ", words.lower())
    words = re.sub(r"\bdbl\b|\b2(?= ?c\b)", "double ", words)
    return " ".join(re.findall(r"[a-z0-9#♯♭]+", words))


_COMMON = ("standard", "std", "regular", "normal", "usual", "banjo")


def find_by_name(text: str, instrument: Instrument) -> Tuning | None:
    """The tuning of that name (any case, with or without the word "tuning"), or None."""
    wanted = _fold(text)
    # "Standard G" and "regular C tuning" are G and C; "standard" alone is a name of its own.
    plain = " ".join(word for word in wanted.split() if word not in _COMMON)
    for said in dict.fromkeys((wanted, plain)):
        for tuning in instrument.tunings:
            if said in {_fold(name) for name in tuning.names}:
                return tuning
    return None


def suggest(text: str, instrument: Instrument) -> str | None:
    """The known name closest to a word that is none, for "did you mean"; None if none is close."""
    names = {_fold(name): name for tuning in instrument.tunings for name in tuning.names}
    from difflib import get_close_matches

    close = get_close_matches(_fold(text), names, n=1, cutoff=0.6)
    return names[close[0]] if close else None


def _nearest(step: str, alter: int, reference: Pitch) -> Pitch:
    """The pitch of that letter nearest to ``reference`` (the lower one if two are as near)."""
    candidates = [Pitch(step, alter, reference.octave + shift) for shift in (-1, 0, 1)]
    return min(candidates, key=lambda p: (abs(p.midi - reference.midi), p.midi))


def from_letters(letters: Sequence[tuple[str, int]], instrument: Instrument) -> Tuning | None:
    """A tuning from (step, alter) pairs, lowest line first, or None if their number is wrong.

    A known tuning is returned as the table has it; otherwise each string takes the octave
    nearest to the instrument's usual tuning.
    """
    if len(letters) != instrument.strings:
        return None
    wanted = [(step.upper(), alter) for step, alter in letters]
    for tuning in instrument.tunings:
        if [(p.step, p.alter) for p in reversed(tuning.pitches)] == wanted:
            return tuning
    pitches = tuple(
        _nearest(step, alter, reference)
        for (step, alter), reference in zip(
            reversed(wanted), instrument.default.pitches, strict=True
        )
    )
    return Tuning(written_form(pitches, instrument), pitches)


def typed_letters(
    letters: Sequence[tuple[str, int]], text: str, instrument: Instrument
) -> Tuning | None:
    """The tuning of letters that somebody typed, as :func:`from_letters`; typed from string 1 on
    (``DBGDg``), they are turned round. That shows in a small letter at the end where the first
    string is short, or in that only the other way round they are a known tuning."""
    plain = from_letters(letters, instrument)
    if plain is None or plain in instrument.tunings:
        return plain
    turned = from_letters(list(letters)[::-1], instrument)
    typed = text.strip()
    small_last = instrument.short_string and typed[:1].isupper() and typed[-1:].islower()
    return turned if turned in instrument.tunings or small_last else plain


def named_form(pitches: Sequence[Pitch], instrument: Instrument) -> str:
    """The short form, and the octave of each string (middle C is C4) where the letters alone would
    be taken for other octaves."""
    plain = written_form(pitches, instrument)
    letters = [(p.step, p.alter) for p in reversed(pitches)]
    usual = from_letters(letters, instrument)
    if usual is not None and [p.midi for p in usual.pitches] == [p.midi for p in pitches]:
        return plain
    short = instrument.short_string
    names = [(f"{p.letter}{p.octave}", n) for n, p in enumerate(pitches, start=1)]
    return "".join(
        name[0].lower() + name[1:] if short and short.string == number else name
        for name, number in reversed(names)
    )


def written_form(pitches: Sequence[Pitch], instrument: Instrument) -> str:
    """The short form of open strings, lowest line first, a short string in lower case."""
    parts = []
    for number in range(len(pitches), 0, -1):
        letter = pitches[number - 1].letter
        short = instrument.short_string
        parts.append(letter[0].lower() + letter[1:] if short and short.string == number else letter)
    return "".join(parts)


def letters_in(text: str) -> list[tuple[str, int]] | None:
    """The (step, alter) pairs of a text that holds nothing but note letters, else None.

    A lower-case b is a flat after a letter (``gDGBbD``) unless the text is all lower case and
    the letters would then be too few: ``gdgbd`` is five notes.
    """
    compact = _SEPARATORS.sub(" ", text.strip())
    found: list[tuple[str, int]] = []
    position = 0
    lower_only = compact == compact.lower()
    while position < len(compact):
        if compact[position] == " ":
            position += 1
            continue
        match = _LETTER.match(compact, position)
        if match is None:
            return None
        sign = match[2]
        end = match.end()
        if sign == "b" and lower_only and " " not in compact:
            sign, end = None, position + 1
        found.append((match[1].upper(), accidental(sign)))
        position = end
    return found or None


_NUMBERED = rare(r"(?<!\w)([1-8])(?:st|nd|rd|th)?\s?[-=: ]\s?([A-Ga-g](?:#|♯|b|♭)?)(?![\w#])")


def _by_number(text: str, instrument: Instrument) -> Tuning | None:
    """The tuning of strings that are named by their numbers: ``1=D, 2=B, 3=G, 4=D, 5=g``."""
    found = {int(number): letter for number, letter in _NUMBERED.findall(text)}
    if len(found) != instrument.strings or max(found) != instrument.strings:
        return None
    letters = [(found[n][0].upper(), accidental(found[n][1:])) for n in sorted(found, reverse=True)]
    return from_letters(letters, instrument)


def _with_octaves(text: str, instrument: Instrument) -> Tuning | None:
    """The tuning of letters that each have their octave, lowest line first; None for any other
    text. Middle C is C4 (scientific pitch notation)."""
    if not any(sign.isdecimal() for sign in text):
        return None  # nearly always
    found = _OCTAVED.findall(text)
    if len(found) != instrument.strings or _SEPARATORS.sub("", _OCTAVED.sub("", text)):
        return None
    pitches = tuple(Pitch(s.upper(), accidental(a or None), int(o)) for s, a, o in reversed(found))
    midi = [p.midi for p in pitches]
    for tuning in instrument.tunings:
        if midi == [p.midi for p in tuning.pitches]:
            return tuning
    return Tuning(named_form(pitches, instrument), pitches)


_WITH_H = rare(r"(?<![^\W\d_])(?:[a-gA-GH](?:is|es|#)?){4,6}(?![^\W\d_])")


def parse_tuning(text: str, instrument: Instrument) -> Tuning | None:
    """Read a tuning as typed: letters win over names, also letters in parentheses after a name.

    >>> from rollstave.instruments.table import FIVE_STRING_BANJO
    >>> parse_tuning("sawmill (gDGCD)", FIVE_STRING_BANJO).name
    'sawmill'
    """
    text = text.strip().rstrip(".;,")
    if "H" in text:  # as Germans call B
        text = _WITH_H.sub(lambda letters: letters[0].replace("H", "B"), text)
    if by_number := _by_number(text, instrument):
        return by_number
    if (exact := _with_octaves(text, instrument)) is not None:
        return exact
    inside = re.search(r"[(\[]([^)\]]*)[)\]]", text)
    outside = re.sub(r"[(\[][^)\]]*[)\]]", " ", text).strip()
    for candidate in [inside[1] if inside else "", outside, text]:
        letters = letters_in(candidate) if candidate else None
        if letters is not None and (tuning := typed_letters(letters, candidate, instrument)):
            return tuning
    for run in _SPREAD.findall(text):
        letters = letters_in(run)
        if letters is not None and (tuning := typed_letters(letters, run, instrument)):
            return tuning
    for candidate in (outside, inside[1] if inside else "", text):
        if candidate and (tuning := find_by_name(candidate, instrument)):
            return tuning
    words = re.findall(r"[A-Ga-g#b♯♭]{4,}", text)
    for word in words:
        letters = letters_in(word)
        if letters is not None and (tuning := from_letters(letters, instrument)):
            return tuning
    return None
