"""What is read from heads typed by hand, against what the typist said that they mean.

    python -m tests.benchmarks.heads FILE [--each] [--only FACT]

``FILE`` has one head a line as JSON: the text over the rows, what stands under them, and the facts
(see ``dev.jsonl``). The rows under it are made here: even eighths in the time that the head names.
A fact that the head leaves open may be guessed, but not declared.
"""

from __future__ import annotations

import argparse
import json
import re
from collections import Counter
from pathlib import Path
from typing import Any

from tests.benchmarks.unlike.score import tempo_is, tempo_read

import rollstave
from rollstave.reading.words.title_model import plain_name

FACTS = ("title", "composer", "tuning", "capo", "key", "time", "tempo")
_USUAL = {
    "banjo": "gDGBD",
    "guitar": "EADGBE",
    "mandolin": "GDAE",
    "fiddle": "GDAE",
    "ukulele": "gCEA",
    "tenor banjo": "CGDA",
    "bass": "EADG",
}
_SCALE = (0, 2, 4, 5, 7, 9, 11)  # semitones over C
_LETTER = re.compile(r"[A-Ga-g][#b]?")


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.heads")
    parser.add_argument("file", type=Path)
    parser.add_argument("--each", action="store_true")
    parser.add_argument("--only", choices=FACTS)
    options = parser.parse_args()
    said: Counter[str] = Counter()
    wrong: Counter[str] = Counter()
    silent: Counter[str] = Counter()
    right = quiet = 0
    lines = options.file.read_text(encoding="utf-8").splitlines()
    for number, line in enumerate(lines, 1):
        head = json.loads(line)
        found, told = _read(head)
        misses = [f for f in FACTS if f in found and (options.only in (None, f))]
        said.update(f for f in FACTS if head.get(f) is not None)
        wrong.update(misses)
        silent.update(f for f in misses if not told)
        right += not misses
        quiet += bool(misses) and not told
        if options.each and misses:
            print(f"--- {number} ({head['who']})\n{head['head']}\n...\n{head.get('tail') or ''}")
            for fact in misses:
                print(f"    {fact}: {found[fact]!r} where it is {head.get(fact)!r}")
            for problem in told:
                print(f"    said: {problem}")
    print(f"heads wholly right {right} of {len(lines)}; wrong without a warning {quiet}")
    for fact in FACTS:
        print(f"{fact:9} wrong {wrong[fact]:3}, silent {silent[fact]:3}; said in {said[fact]}")


def typed(head: dict[str, Any]) -> str:
    """A head with two measures under it, of as many strings as its instrument has."""
    letters = _LETTER.findall(head["tuning"] or _USUAL[head["instrument"] or "banjo"])
    beats, unit = (head["time"] or "4/4").split("/")
    eighths = int(beats) * 8 // int(unit)
    rows = []
    for string, letter in enumerate(reversed(letters)):
        frets = ["--"] * eighths
        for at in range(eighths):
            if at % min(4, len(letters)) == string:
                frets[at] = "0-" if at % 3 else "2-"
        rows.append(f"{letter:<2}|-{''.join(frets)}|-{''.join(frets)}|")
    tail = f"\n\n{head['tail']}" if head.get("tail") else ""
    return f"{head['head']}\n\n" + "\n".join(rows) + tail + "\n"


def _read(head: dict[str, Any]) -> tuple[dict[str, object], list[str]]:
    """What was read otherwise than the typist meant, and the warnings."""
    try:
        tunes = rollstave.read(typed(head))
    except rollstave.TabError as error:
        return {"title": f"refused: {error}"}, [str(error)]
    tune = tunes[0]
    told = [str(p) for p in tune.problems if p.severity is not rollstave.Severity.NOTICE]
    score = tune.score
    found: dict[str, object] = {}
    if len(tunes) > 1:
        found["title"] = [t.score.title for t in tunes]
    elif head["title"] is not None and plain_name(score.title) != plain_name(head["title"]):
        found["title"] = score.title
    if head["composer"] and plain_name(head["composer"]) not in plain_name(score.composer):
        found["composer"] = score.composer
    if head["tuning"] and _classes(score.setup.tuning.written) != _classes(head["tuning"]):
        found["tuning"] = score.setup.tuning.written
    if head["capo"] is not None and score.setup.capo != head["capo"]:
        found["capo"] = score.setup.capo
    if head["key"] and not _same_key(score, head["key"]):
        found["key"] = str(score.key)
    if head["time"] and str(score.meter) != head["time"]:
        found["time"] = str(score.meter)
    right = tempo_is(score, head["tempo"]) if head["tempo"] else score.tempo is None
    if not right:
        found["tempo"] = tempo_read(score)
    return found, told


def _classes(tuning: str) -> list[int]:
    """Pitch classes in semitones over C, the short string and the lowest first."""
    return [
        (dict(zip("CDEFGAB", _SCALE, strict=True))[x[0].upper()] + {"#": 1, "b": -1}.get(x[1:], 0))
        % 12
        for x in _LETTER.findall(tuning)
    ]


def _same_key(score: rollstave.Score, meant: str) -> bool:
    """True for the key as it sounds or as it is held behind the capo; a mode only if it is said."""
    tonic, *mode = meant.split()
    read, *own = str(score.key).split()
    apart = (_classes(read)[0] - _classes(tonic)[0]) % 12
    return apart in (0, score.setup.capo % 12, -score.setup.capo % 12) and (mode or own) == own


if __name__ == "__main__":
    main()
