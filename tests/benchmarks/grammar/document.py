"""A document by seed: values are drawn, a tune is made and typed, until it can be read."""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from random import Random
from typing import Any

from tests.benchmarks.grammar.choices import Drawn, draw
from tests.benchmarks.grammar.constraints import fit_together
from tests.benchmarks.grammar.model import Document, Line, Measure, Note, Tune, Unreadable
from tests.benchmarks.grammar.score import compose
from tests.benchmarks.grammar.typist import type_tune

TRIES = 4000


def document(part: str, seed: int, index: int) -> Document:
    """The document of a seed and an index: always the same."""
    random = Random(f"{part} {seed} {index}")
    name = f"{part}-{seed}-{index:05}"
    for _ in range(TRIES):
        drawn = draw(part, random)
        try:
            return _document(name, drawn, random, part)
        except Unreadable:
            continue
    raise RuntimeError(f"nothing readable in {TRIES} combinations")


def _another(drawn: Drawn, data: dict[str, Any], random: Random, part: str) -> dict[str, Any]:
    """The values for a tune beside the first: another instrument, time, kind of tune."""
    other = draw(part, random)
    return {**data, **{choice: other[choice].data for choice in data["other tunes"]}}


def _document(name: str, drawn: Drawn, random: Random, part: str) -> Document:
    data = {choice: value.data for choice, value in drawn.items()}
    fit_together(data)
    tunes = []
    lines: list[Line] = []
    for index in range(data["tunes"]):
        if index and data["other tunes"]:
            data = _another(drawn, data, random, part)
            if "layout" in data["other tunes"]:
                fit_together(data)
        tune = compose(data, random)
        typed = type_tune(tune, data, index, random)
        if data["trailing"] == "\f" and index:
            typed = [replace(typed[0], text="\f" + typed[0].text), *typed[1:]]
        lines += typed
        tunes.append(tune)
    if len({tune.title for tune in tunes}) < len(tunes):
        raise Unreadable("a title twice")
    lines = _filed(lines, data)
    codec, typographic = data["encoding"]
    if typographic:
        corrected = _drawn if typographic == "drawn" else _typographic
        lines = [replace(line, text=corrected(line)) for line in lines]
    data_bytes = _encoded(lines, data, codec)
    truth = {"tunes": [_truth(tune) for tune in tunes]}
    values = {choice: value.name for choice, value in drawn.items()}
    return Document(name=name, data=data_bytes, truth=truth, lines=tuple(lines), values=values)


def _filed(lines: list[Line], data: dict[str, Any]) -> list[Line]:
    """The lines as they lie in the file: escaped, wrapped, quoted, marked up, mailed."""
    lines = [replace(line, text=data["escapes"](line.text)) for line in lines]
    if data["wrap"]:
        lines = _wrapped(lines, data["wrap"])
    opens, closes = data["markup"]
    lines = [*_as(opens, "markup"), *lines, *_as(closes, "markup", last=True)]
    lines = list(_apart(lines, data["spacing"]))
    if data["trailing"] == "eighty":
        lines = [replace(line, text=line.text.ljust(80)) for line in lines]
    if data["trailing"] in ("  ", "<br>", "\\", "<br />", "\t"):
        lines = [replace(line, text=line.text + data["trailing"]) for line in lines]
    prefix, own = data["quoting"]
    if prefix:
        lines = [
            line if line.label in own else replace(line, text=(prefix + line.text).rstrip())
            for line in lines
        ]
    heads, foot = data["mail"]
    return [*_as(heads, "mail header"), *lines, *_as(foot, "signature", last=True)]


def _apart(lines: list[Line], spacing: str) -> Iterator[Line]:
    """The lines with blank ones after each, or after each row."""
    for line in lines:
        yield replace(line, text="   ") if spacing == "blanks" and not line.text else line
        if spacing == "all twice":
            yield from [replace(line, text="", label="blank")] * 2
        if spacing == "all" or (spacing == "rows" and line.label == "row"):
            yield replace(line, text="", label="blank")


def _as(texts: tuple[str, ...], label: str, last: bool = False) -> list[Line]:
    assert isinstance(last, bool)
    return [Line(text, label if text else "blank") for text in texts]


def _wrapped(lines: list[Line], wide: int) -> list[Line]:
    found: list[Line] = []
    rows = 0
    for line in lines:
        if len(line.text) <= wide:
            found.append(line)
            continue
        if line.label == "row":
            if " " in line.text.strip() or "\t" in line.text:
                raise Unreadable("rows break at blanks")
            texts = [line.text[i : i + wide] for i in range(0, len(line.text), wide)]
            found += [
                replace(line, text=text, label="wrapped row" if i else "row")
                for i, text in enumerate(texts)
            ]
            rows += 1
            continue
        if line.label not in ("prose", "heading", "remark", "legend"):
            raise Unreadable("a line over the rows is broken")
        found += [replace(line, text=text) for text in _at_blanks(line.text, wide)]
    if not rows:
        raise Unreadable("nothing to wrap")
    return found


def _at_blanks(text: str, wide: int) -> list[str]:
    lines = [""]
    for word in text.split(" "):
        if lines[-1] and len(lines[-1]) + len(word) + 1 > wide:
            lines.append(word)
        else:
            lines[-1] = f"{lines[-1]} {word}" if lines[-1] else word
    return lines


WORDS = ("prose", "remark", "title", "heading", "legend", "signature", "part")


def _typographic(line: Line) -> str:
    """Words as a word processor corrects them while they are typed."""
    if line.label not in WORDS:
        return line.text
    text = re.sub(r"(?<=\w)'(?=\w)", "\u2019", line.text)
    text = re.sub(r'"([^"]*)"', "\u201c\\1\u201d", text)
    return re.sub(r"(?<=\w) - (?=\w)", " \u2013 ", text)


def _drawn(line: Line) -> str:
    """Rows in the line-drawing characters of a terminal."""
    if line.label not in ("row", "wrapped row"):
        return line.text
    return line.text.replace("-", "\u2500").replace("|", "\u2502")


def _encoded(lines: list[Line], data: dict[str, Any], codec: str) -> bytes:
    end: str = data["line ends"]
    joined = "\r\n" if end == "mixed" else end.rstrip("\x1a") or "\n"
    text = joined.join(line.text for line in lines)
    if end == "mixed":  # the second half was typed on the other system
        half = text.find("\r\n", len(text) // 2)
        text = text[:half] + text[half:].replace("\r\n", "\n") + "\n"
    else:
        text += end
    try:
        return (codecs.BOM_UTF16_BE if codec == "utf-16-be" else b"") + text.encode(codec)
    except UnicodeEncodeError:
        raise Unreadable("a character that the encoding has not") from None


# Truth ----------------------------------------------------------------------------------------


def _truth(tune: Tune) -> dict[str, Any]:
    told = {k: v for k, v in tune.told.items() if not k.startswith("_")}
    return {
        **told,
        "remarks": tune.remarks,
        "doubtful": tune.doubtful,
        "measures": list(map(partial(_measure, tune=tune), tune.measures)),
    }


def _measure(measure: Measure, tune: Tune) -> dict[str, Any]:
    unit = tune.meter.unit
    found: dict[str, Any] = {
        "length": str(measure.slots * unit),
        "notes": [
            [str(e.slot * unit), str(e.slots * unit), " ".join(map(_note, e.notes))]
            for e in measure.events
        ],
    }
    for name in ("left", "right", "ending", "section"):
        if getattr(measure, name):
            found[name] = getattr(measure, name)
    if measure.typed_chords:
        found["chords"] = [[str(slot * unit), name] for slot, name in measure.chords]
    if measure.typed_letters:
        found["letters"] = list(measure.typed_letters)
    return found


def _note(note: Note) -> str:
    fret = "" if note.mark == "x" else str(note.fret)
    return f"{note.string}:{fret}{note.link}{note.mark}"
