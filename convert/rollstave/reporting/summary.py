"""What is said about a tune, for people and for programs. Both come from one summary."""

from __future__ import annotations

from collections import Counter
from typing import Any

from rollstave.api import Tune
from rollstave.problems import Problem
from rollstave.reporting.once import said_once
from rollstave.rhythm.spoken import LIKELY, as_ranges
from rollstave.rhythm.timed import Source

_LONGEST = 200  # characters

_SOURCE_WORDS = {
    Source.COLUMNS: "from spacing",
    Source.ROLL: "from the roll",
    Source.WRITTEN: "written by the typist",
    Source.REPETITION: "from a like measure",
    Source.ORDER: "only from the order of the notes",
}


def summary(tune: Tune, name: str) -> dict[str, Any]:
    """The summary of a tune as plain data, the shape of ``--json``."""
    score = tune.score
    sources = Counter(m.rhythm.source for m in score.measures)
    return {
        "file": name,
        "title": score.title,
        "findings": [
            {"subject": f.subject, "value": f.value, "how": f.how.value, "reason": f.reason}
            for f in tune.findings
        ],
        "tuning": score.setup.tuning.written,
        "open_strings": [p.midi for p in score.setup.tuning.pitches],
        "capo": score.setup.capo,
        "meter": str(score.meter),
        "key": str(score.key),
        "tempo": float(score.tempo) if score.tempo is not None else None,
        "rhythm_sources": {s.value: sources[s] for s in Source if sources[s]},
        "measures": [
            {
                "number": m.number,
                "confidence": round(m.rhythm.confidence, 4),
                "sure": m.rhythm.sure,
                "reasons": list(m.rhythm.reasons),
                "source": m.rhythm.source.value,
                "onsets": [str(e.onset) for e in m.events],
                "alternatives": [
                    {
                        "onsets": [str(o) for o in a.onsets],
                        "probability": round(a.probability, 4),
                        "reason": a.reason,
                    }
                    for a in m.rhythm.alternatives
                ],
                "first_line": m.first_line,
                "last_line": m.last_line,
            }
            for m in score.measures
        ],
        "fingers": {
            "written": _fingers(tune, inferred=False),
            "inferred": _fingers(tune, inferred=True),
        },
        "notes": list(score.notes),
        "problems": [problem_data(p) for p in tune.problems],
    }


def _fingers(tune: Tune, inferred: bool) -> int:
    return sum(
        1
        for m in tune.score.measures
        for e in m.events
        for n in e.notes
        if n.finger is not None and n.inferred_finger is inferred
    )


def problem_data(problem: Problem) -> dict[str, Any]:
    """A problem as plain data; line and column are null where it has no place. ``part`` is there
    only for a document: in words, where in it that line is."""
    place = problem.place
    data = {
        "line": place.line if place else None,
        "column": place.column if place else None,
        "severity": problem.severity.value,
        "code": problem.code,
        "message": problem.message,
    }
    return data | {"part": place.part} if place and place.part else data


def where(problem: dict[str, Any]) -> str:
    """``:14:23``, or ``:page 3, line 12:23``, of a problem as plain data; empty without a place."""
    if not problem["line"]:
        return ""
    return f":{problem.get('part') or problem['line']}:{problem['column']}"


def for_people(tune: Tune, name: str) -> list[str]:
    """The same in lines of words."""
    score = tune.score
    lines = [f"{name}: {_short(score.title)}"]
    for finding in tune.findings:
        if finding.subject == "title":
            continue
        reason = f": {finding.reason}" if finding.reason else ""
        lines.append(f"  {finding.subject}: {_short(finding.value)} ({finding.how.value}{reason})")
    sources = Counter(m.rhythm.source for m in score.measures)
    parts = [f"{sources[s]} {words}" for s, words in _SOURCE_WORDS.items() if sources[s]]
    lines.append(f"  measures: {len(score.measures)}; rhythm: {', '.join(parts)}")
    unsure = [
        m.number for m in score.measures if not m.rhythm.sure and m.rhythm.confidence < LIKELY
    ]
    if unsure:
        lines.append(f"  not sure: measure{'s' if len(unsure) > 1 else ''} {as_ranges(unsure)}")
    inferred = _fingers(tune, inferred=True)
    written = _fingers(tune, inferred=False)
    lines.append(f"  picking: {written} letters written, {inferred} inferred")
    lines.extend(f"  {problem.format(name)}" for problem in said_once(tune.problems))
    return lines


def _short(text: str) -> str:
    """What a tab says of itself, no longer than a person reads on a terminal."""
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"


def printable(text: str) -> str:
    """Text for a terminal: what is invisible or would steer the terminal is written as ``\\x1b``.

    Line ends are kept; file names and titles come from anywhere.
    """
    return "".join(
        c
        if c.isprintable() or c in "\n\t"
        else c.encode("unicode_escape", "surrogatepass").decode()
        for c in text
    )
