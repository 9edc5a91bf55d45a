"""Facts that typists say among other words: what is behind a title, in a sentence, in prose.

All of it is common practice of typists, no source; the names are invented.
"""

from __future__ import annotations

import pytest

import rollstave

TAB = """
 |-0---2---0---2---|-0---2---0---2---|
 |-----------------|-----------------|
 |-----------------|-----------------|
 |-----------------|-----------------|
 |---0---0---0---0-|---0---0---0---0-|
"""


def read(head: str, tab: str = TAB) -> rollstave.Tune:
    (tune,) = rollstave.read(head + "\n" + tab)
    return tune


def said(tune: rollstave.Tune) -> dict[str, object]:
    """What a tune's headings say."""
    score = tune.score
    found: dict[str, object] = {h.key: h.text for h in tune.grid.headings}
    found |= {"title": score.title, "tuning": score.setup.tuning.written}
    for key, value in (("time", score.meter), ("key", score.key)):
        if key in found:
            found[key] = str(value)
    if score.setup.capo:
        found["capo"] = score.setup.capo
    return found


# A line of headings, and what it says.
LINES: tuple[tuple[str, dict[str, object]], ...] = (
    ("Tuning: gCGCD. I play it slow.", {"tuning": "gCGCD"}),
    ("tuning gCGCD, 4/4. I play it slow.", {"tuning": "gCGCD", "time": "4/4"}),
    ("Tuned in sawmill: g D G C D. 3/4.", {"tuning": "gDGCD", "time": "3/4"}),
    ("Tuning: gDGCD (sawmill)    6/8", {"tuning": "gDGCD", "time": "6/8"}),
    ("Key of G, C tuning", {"tuning": "gCGBD", "key": "G major"}),
    ("Key of D. Double C. 2/4", {"key": "D major", "time": "2/4"}),
    ("gDGCD // cut time // play it low", {"tuning": "gDGCD", "time": "2/2"}),
    ("Time: 3/4. Lilt it!", {"time": "3/4"}),
)


@pytest.mark.parametrize(("line", "meant"), LINES, ids=[line for line, _ in LINES])
def test_a_heading_ends_with_its_sentence(line: str, meant: dict[str, object]) -> None:
    tune = read(f"Nettle Hill\n{line}")
    found = said(tune)
    assert {key: found.get(key) for key in meant} == meant
    assert found["title"] == "Nettle Hill"
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]


# A line that begins with a title, and what else it says.
TITLES: tuple[tuple[str, str, dict[str, object]], ...] = (
    ("Nettle Hill. Sawmill tuning, 4/4, not fast", "Nettle Hill", {"tuning": "gDGCD"}),
    ("Nettle Hill ..... C tuning, 3/4", "Nettle Hill", {"tuning": "gCGBD", "time": "3/4"}),
    ("Nettle Hill  -  tuning C (g C G B D)  -  time 3/4", "Nettle Hill", {"time": "3/4"}),
    ("St. Orrin's Gate. Key of D. 2/4.", "St. Orrin's Gate", {"key": "D major", "time": "2/4"}),
    ("Mr. Quay's Hat", "Mr. Quay's Hat", {}),
    ("Wake Up... Wilmot", "Wake Up... Wilmot", {}),
)


@pytest.mark.parametrize(("line", "title", "meant"), TITLES, ids=[line for line, _, _ in TITLES])
def test_what_follows_a_title(line: str, title: str, meant: dict[str, object]) -> None:
    found = said(read(line))
    assert found["title"] == title
    assert {key: found.get(key) for key in meant} == meant
