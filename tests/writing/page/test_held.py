"""What one voice holds stays on the picture of the neck while the other goes on.

Which notes those are follows from the lines ``V2`` of the text (README, two voices).
"""

from __future__ import annotations

import rollstave
from tests.writing.page.conftest import Open

# The bass is held for four quarters in the first measure and for two in the second.
TEXT = """Title: Lock Gate Lullaby
Instrument: guitar
Voices: strings 4-6
Time: 4/4

e|-----0---1---0---|-----0---3---0---|
B|---1---1---1---1-|---0---0---0---0-|
G|-----------------|-----------------|
D|-----------------|---------0-------|
A|-3---------------|-----------------|
E|-----------------|-3---------------|
V2 w                 h       h
"""
DOTS = """[...document.querySelectorAll("#neck circle.held")].map(
  (dot) => [dot.getAttribute("cy"), dot.classList.contains("stopped")].join(" "))"""
STRUCK = '[...document.querySelectorAll("#neck .moment circle:not(.held):not(.coming)")].length'


def test_a_held_bass_stays_on_the_neck(open_page: Open) -> None:
    (tune,) = rollstave.read(TEXT)
    opened = open_page(tune.score)
    page = opened.page
    page.evaluate(
        f"""() => {{
          window.seen = [];
          document.addEventListener("rollstave:sounding", ({{ detail }}) => {{
            window.seen.push([detail.measure, detail.quarter, {DOTS}, {STRUCK}]);
          }});
        }}"""
    )
    opened.press("b", " ")
    opened.play_until("window.seen.length > 6")
    opened.press(" ")
    opened.picture("a held bass on the neck")
    opened.press(" ")
    opened.play_until("!rollstave.state.playing")
    seen = page.evaluate("window.seen")
    heights = {string: str(14 + 21 * (string - 1)) for string in range(1, 7)}
    held = {(measure, quarter): dots for measure, quarter, dots, _ in seen}
    assert held[0, 0] == []  # struck now, not held yet
    assert {tuple(held[0, n / 2]) for n in range(1, 8)} == {(f"{heights[5]} true",)}
    assert held[1, 4] == []
    assert {tuple(held[1, 4 + n / 2]) for n in (1, 2, 3)} == {(f"{heights[6]} true",)}
    assert held[1, 6] == []
    assert {tuple(held[1, 6 + n / 2]) for n in (1, 2, 3)} == {(f"{heights[4]} false",)}
    assert all(struck for *_, struck in seen)
