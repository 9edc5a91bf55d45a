"""How several voices are typed: a heading where it says all, and lines under the systems elsewhere.

What the heading and the lines mean is in :mod:`rollstave.deciding.held_voices`.
"""

from __future__ import annotations

from fractions import Fraction

from rollstave.deciding.held_voices import VoiceRule, ruled
from rollstave.score.memo import once_for_a_score
from rollstave.score.records import Measure, Score
from rollstave.score.voices import has_voices, held_for, until_next
from rollstave.writing.value_signs import value_sign


def voices_heading(score: Score) -> str:
    """What is typed after ``Voices:``; empty where there is one voice, or no row of strings is the
    second."""
    strings = sorted(_rule(score).strings)
    if not strings:
        return ""
    ends = f"{strings[0]}-{strings[-1]}" if len(strings) > 1 else str(strings[0])
    return f"string{'s' * (len(strings) > 1)} {ends}"


@once_for_a_score
def _rule(score: Score) -> VoiceRule:
    """The rule that says the voices of most measures: the strings that the second one has."""
    parted = [measure for measure in score.measures if has_voices(measure)]
    second = {n.string for m in parted for e in m.events for n in e.notes if n.voice == 2}
    if not second:
        return VoiceRule()
    rule = VoiceRule(strings=frozenset(range(min(second), max(second) + 1)))
    right = sum(_as_ruled(measure, rule) for measure in parted)
    wrong = sum(not _as_ruled(measure, rule) for measure in score.measures)
    return rule if right > wrong else VoiceRule()


def _as_ruled(measure: Measure, rule: VoiceRule) -> bool:
    return ruled(measure, rule) == measure


Words = list[tuple[Fraction, str]]


def voice_words(score: Score, measure: Measure) -> dict[int, Words]:
    """By voice, what its line has under a measure: how long a note is held, and on which string
    where several are struck. Nothing where the heading, or none, says it all."""
    rule = _rule(score)
    if (not rule.strings and not has_voices(measure)) or _as_ruled(measure, rule):
        return {}
    usual = until_next(measure)
    several = has_voices(measure)
    found: dict[int, dict[Fraction, list[str]]] = {}
    for event in measure.events:
        for note in event.notes:
            held = held_for(note, event)
            if several and note.voice == 1 and held == usual[event.onset, note.string]:
                continue
            if sign := value_sign(held):
                word = f"{note.string}{sign}" if len(event.notes) > 1 else sign
                found.setdefault(note.voice, {}).setdefault(event.onset, []).append(word)
    return {
        voice: [(onset, ",".join(said)) for onset, said in words.items()]
        for voice, words in found.items()
    }
