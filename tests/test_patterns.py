"""The cues of patterns: whatever a pattern matches has one of its cues in it.

Proved from the pattern itself, as Python's own parser of regular expressions understands it: all
texts that it matches are written out, with a gap for what can be anything, and looked at.
"""

from __future__ import annotations

import gc
import importlib
import itertools
import pkgutil
import re
import string
from collections.abc import Iterable, Iterator, Sequence
from re import _constants as op  # type: ignore[attr-defined]
from re import _parser as parser  # type: ignore[attr-defined]
from typing import Any

import pytest

import rollstave
from rollstave.patterns import Cued, fold, rare

GAP = "\0"  # where a pattern matches more than one thing
_MOST = 20_000
# Of all characters those that a pattern without case takes for one of our letters.
LETTERS = "".join(re.findall("[a-z]", "".join(map(chr, range(0x110000))), re.IGNORECASE))
_FEW = 8  # characters of a class that are written out


def texts(items: Iterable[Any], cues: Sequence[str]) -> set[str]:
    """What a sequence of a parsed pattern matches, but for what has a cue. Of a text with gaps its
    beginning and its end are kept, for only these can become a cue with what stands beside them."""
    found = {""}
    for item in items:
        longer = {a + b for a, b in itertools.product(found, set(_of(item, cues)))}
        found = {
            f"{t[: t.index(GAP)]}{GAP}{t[t.rindex(GAP) + 1 :]}" if GAP in t else t
            for t in longer
            if not any(cue in fold(t) for cue in cues)
        }
        assert len(found) < _MOST, "too many to write out"
    return found


def _of(item: tuple[Any, Any], cues: Sequence[str]) -> Iterator[str]:
    kind, value = item
    if kind is op.LITERAL:
        yield chr(value)
    elif kind is op.IN:
        named = [chr(v) for k, v in value if k is op.LITERAL]
        yield from named if len(named) == len(value) <= _FEW else [GAP]
    elif kind is op.BRANCH:
        for branch in value[1]:
            yield from texts(branch, cues)
    elif kind is op.SUBPATTERN:
        yield from texts(value[3], cues)
    elif kind in (op.MAX_REPEAT, op.MIN_REPEAT):
        least, most, inner = value
        if least == 0:
            yield ""
        yield from (t if most == 1 else f"{t}{GAP}{t}" for t in texts(inner, cues))
    elif kind in (op.ASSERT, op.ASSERT_NOT, op.AT):
        yield ""  # between characters
    else:
        yield GAP


def cued() -> dict[str, Cued]:
    """Every pattern with cues, of every module."""
    for module in pkgutil.walk_packages(rollstave.__path__, "rollstave."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    from rollstave.reading.rows.way_up import _BOTTOM, _TOP, _lines_named

    for side in (_TOP, _BOTTOM):
        _lines_named(side)
    found = [o for o in gc.get_objects() if isinstance(o, Cued)]
    return {pattern.pattern: pattern for pattern in found}


PATTERNS = cued()


def without(pattern: str, flags: int, cues: Sequence[str]) -> set[str]:
    """What the pattern matches that has no cue."""
    return texts(parser.parse(pattern, flags), cues)


@pytest.mark.parametrize("pattern", sorted(PATTERNS))
def test_whatever_a_pattern_matches_has_a_cue(pattern: str) -> None:
    found = PATTERNS[pattern]
    assert without(pattern, found.flags, found.cues) == set()


def test_the_proof_finds_what_has_no_cue() -> None:
    assert without(r"(?:go|run)\s+home", 0, ("go",)) == {"run\0home"}
    assert without(r"x?y", 0, ("x",)) == {"y"}
    assert without(r"(?:a|b)+c", 0, ("ac",)) == {"b\0bc"}
    assert without(r"a\w*c", 0, ("ac",)) == {"a\0c"}
    assert without(r"[^a]", 0, ("a",)) == {GAP}


def test_a_text_with_a_cue_is_asked_of_the_pattern_and_another_is_not() -> None:
    pattern = rare(r"(\w) horn(pipe)?", re.IGNORECASE, cues=("horn",))
    for text in ("no", "A HORN", "a hornpipe", "two a horn, b horn"):
        plain = re.compile(r"(\w) horn(pipe)?", re.IGNORECASE)
        fresh = rare(r"(\w) horn(pipe)?", re.IGNORECASE, cues=("horn",))
        for asked in (fresh, pattern):  # not compiled yet, and perhaps compiled
            for name in ("search", "match", "fullmatch"):
                mine, own = getattr(asked, name)(text), getattr(plain, name)(text)
                assert (mine and mine.span()) == (own and own.span())
            assert asked.findall(text) == plain.findall(text)
            assert [m[0] for m in asked.finditer(text)] == [m[0] for m in plain.finditer(text)]
            assert asked.sub("-", text) == plain.sub("-", text)


@pytest.mark.parametrize("letter", string.ascii_lowercase)
def test_a_letter_in_any_form_that_the_pattern_takes_is_in_the_folded_text(letter: str) -> None:
    """``re.IGNORECASE`` takes the long s and the dotless i, too."""
    alike = re.findall(letter, LETTERS, re.IGNORECASE)
    assert [c for c in alike if letter not in fold(c)] == []
    assert len(alike) >= 2
