"""What a music editor marked in the proofs of the samples and of the stress set, held by geometry.

The rules are those of Gould, Behind Bars (2011, from memory) where they are named; what has no
source is common practice. Units are hundredths of a millimetre times the size of the sheet.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

import pytest
from lxml import etree

import rollstave
from rollstave.score.links import links_of
from rollstave.vocabulary.signs import LINKS
from rollstave.writing.note_ids import STAFF_PREFIX, id_of
from rollstave.writing.options import SheetOptions, View
from tests import tunes
from tests.writing import everything
from tests.writing.test_sheet_geometry import (
    SVG,
    Box,
    bar_lines,
    box_of,
    lines_of,
    offset,
    systems,
)
from tests.writing.test_spacing import (
    drawn,
    every_case_and_look,
    glyph_boxes,
    groups,
    heads,
    kind,
    numbers,
)

HEAD = 1.18 * 180  # the width of a black head (SMuFL 1.4, Leipzig), where a space is 180 units

# A slide to a note with an accidental, one downwards, one between grace notes, one over a bar line.
SLID = """Title: Slid
Tuning: gDGBD
Time: 4/4

D|-1s3---3s1---|-2s5---------|
B|-------------|-------3s5---|
G|-------------|-------------|
D|-------------|-------------|
g|-------------|-------------|
"""


def _page(text: str, **options: object) -> etree._Element:
    (tune,) = rollstave.read(text)
    sheet = SheetOptions(paper=everything.LONG, **options)  # type: ignore[arg-type]
    return etree.fromstring(rollstave.write(tune.score, "svg", options=sheet)[0])


def _of(root: etree._Element, name: str, tag: str = "path") -> list[etree._Element]:
    return [e for e in root.iter(f"{SVG}{tag}") if kind(e) == name]


def _points(path: etree._Element) -> Iterator[tuple[float, float]]:
    """Points on the first curve of a path."""
    x0, y0, x1, y1, x2, y2, x3, y3 = numbers(path.get("d"))[:8]
    for step in range(41):
        t = step / 40
        a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3
        yield a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3


def _parentheses(system: etree._Element) -> list[Box]:
    """The ground of the parentheses around accidentals: a bow between its two ends."""
    found = []
    for path in _of(system, "caution"):
        x, y, mid, *_, low = numbers(path.get("d"))[:8]
        by = numbers(path.get("transform"))[0] if path.get("transform") else 0.0
        found.append(Box("", "caution", min(x, mid) + by, y, max(x, mid) + by, low))
    return found


@pytest.mark.parametrize("case", ["slides", "ferry-landing"])
def test_a_slide_of_the_staff_is_a_line_that_rises_as_the_notes_do(case: str) -> None:
    """Gould: a straight line from head to head, seen to rise or to fall."""
    score = tunes.case(case)
    pairs = [p for p in links_of(score.measures) if LINKS[p.kind].joins == "gliss"]
    seen = 0
    for system in systems(drawn(case)):
        places = {name.rsplit("-n", 1)[-1]: at for name, at in heads(system).items()}
        lines = [numbers(p.get("d")) for p in _of(system, "gliss")]
        for pair in pairs:
            names = (id_of(STAFF_PREFIX, at, 0)[1:] for at in (pair.start, pair.end))
            start, end = (places.get(name) for name in names)
            if start is None or end is None:
                continue
            (line,) = [n for n in lines if start[0] < n[0] and n[2] < end[0] + 30]
            x1, y1, x2, y2 = line
            assert x2 - x1 >= 110
            assert 0 < x1 - (start[0] + HEAD) < 180  # a dot may stand there
            assert 0 < end[0] - x2 < 60
            assert (y1 > y2) is (start[1] > end[1])
            assert abs(y1 - y2) >= 85
            seen += 1
    assert seen == len(pairs)


def _rolls(first: str, last: str) -> str:
    """A typed system of four measures, with what stands first and last in its top row."""
    middle = "-2---3---0---5---|" * 2
    top = f"D|-{first}---3---0---5---|{middle}-2---3---0---{last}-|"
    under = "---0---0---0---0-|" * 4
    return "\n".join((top, f"B|{under}", *(f"{n}|" + 4 * f"{'-' * 17}|" for n in "GDg")))


def test_a_slide_over_the_end_of_a_system_leads_up_to_it_and_on_from_the_next() -> None:
    """Gould: both parts are drawn. That the first ends within a third of a space of the last bar
    line is common practice, no source."""
    root = _page(f"Tuning: gDGBD\nTime: 4/4\n\n{_rolls('2', '5-s')}\n\n{_rolls('7', '5--')}\n")
    first, then = systems((root,))
    (leading,), (reached,) = (_of(system, "gliss") for system in (first, then))
    _, y1, x2, y2 = numbers(leading.get("d"))
    end = max(x for x, _, _ in bar_lines(first))
    assert 0 < end - (x2 + offset(leading)[0]) < 180 / 3
    assert y1 > y2
    _, y1, x2, y2 = numbers(reached.get("d"))
    assert x2 < min(x for x, _ in heads(then).values())
    assert y1 > y2


def test_a_slide_ends_before_an_accidental() -> None:
    root = _page(SLID)
    seen = 0
    for system in systems((root,)):
        signs = glyph_boxes(root, system, "accid")
        assert signs
        for path in _of(system, "gliss"):
            x1, y1, x2, y2 = numbers(path.get("d"))
            for step in range(21):
                x, y = x1 + (x2 - x1) * step / 20, y1 + (y2 - y1) * step / 20
                inside = [b for b in signs if b.left < x < b.right and b.top < y < b.bottom]
                assert not inside, path.get("d")
            seen += 1
    assert seen == 4


def test_the_slur_of_a_grace_note_runs_through_no_accidental_and_no_parenthesis() -> None:
    seen = 0
    for root in drawn("graces"):
        for system in systems((root,)):
            signs = [*glyph_boxes(root, system, "accid"), *_parentheses(system)]
            for path in _of(system, "grace-slur"):
                for x, y in _points(path):
                    assert not [
                        b
                        for b in signs
                        if b.left + 8 < x < b.right - 8 and b.top < y < b.bottom - 8
                    ]
                seen += 1
    assert seen >= 6


def test_small_accidentals_that_warn_are_clear_of_their_parentheses() -> None:
    seen = 0
    for root in drawn("graces"):
        for system in systems((root,)):
            signs = glyph_boxes(root, system, "accid")
            around = sorted(_parentheses(system), key=lambda b: b.left)
            for left, right in zip(around[::2], around[1::2], strict=True):
                (sign,) = [b for b in signs if left.left < (b.left + b.right) / 2 < right.right]
                # Their inner edges are at the ends of the bows.
                assert sign.left - left.right >= 5
                assert right.left - sign.right >= 5
                seen += 1
    assert seen == 4


def test_every_head_that_is_bent_has_an_arrow() -> None:
    """Those of a chord that are bent by as much have one together."""
    score = tunes.case("bends-and-ghosts")
    struck = [e for m in score.measures for e in m.events]
    bent = [size for e in struck for size in {n.bend for n in e.notes if n.bend is not None}]
    for view in (View.BOTH, View.STAFF):
        options = SheetOptions(view=view, paper=everything.LONG)
        root = etree.fromstring(rollstave.write(score, "svg", options=options)[0])
        layers = groups(root, "marks bends")
        tips = [p for g in layers for p in _of(g, "bend") if p.get("fill") == "currentColor"]
        assert len(tips) == len(bent)
        assert len({p.get("d") for p in tips}) == len(bent)


def test_no_beam_stands_between_a_bend_and_its_size() -> None:
    """Of eighths; under two beams there is no room for it."""
    seen = 0
    for system in systems(drawn("bends-and-ghosts")):
        (layer,) = groups(system, "marks ornaments")
        tips = [numbers(p.get("d"))[:2] for p in _of(layer, "bend") if p.get("fill") != "none"]
        top = min(y for y in lines_of(system))
        beams = [
            (min(xs), max(ys), max(xs))
            for group in groups(system, "beam")
            if groups(group, "tabDurSym")
            for polygon in group.iterfind(f"{SVG}polygon")
            for xs, ys in [
                (numbers(polygon.get("points"))[::2], numbers(polygon.get("points"))[1::2])
            ]
        ]
        for text in _of(layer, "bend", "text"):
            box = box_of(text)
            middle = (box.left + box.right) / 2
            x, y = min(tips, key=lambda tip: abs(tip[0] - middle))
            between = [b for b in beams if b[0] < x < b[2] and box.bottom < b[1] < min(y, top)]
            assert not between
            seen += 1
    assert seen >= 5


@pytest.mark.parametrize("case", ["chord-every-beat", "dense-sixteenths"])
def test_chord_names_keep_the_width_of_a_letter_apart(case: str) -> None:
    seen = 0
    for system in systems(drawn(case)):
        names = [box_of(t) for t in system.iter(f"{SVG}text") if kind(t).startswith("chord")]
        seen += len(names)
        for one, other in pairwise(sorted(names, key=lambda b: b.left)):
            assert other.left - one.right >= 120, (one.words, other.words)
    assert seen > 5


@every_case_and_look
def test_no_word_is_smaller_than_seven_points(case: str, look: str) -> None:
    """At the usual size, where a staff is 7 mm high. In a crowd the size of a bend and the letter
    of a link may have half a point less."""
    if look in ("pocket", "large"):
        return
    for root in drawn(case, look):
        width = float(str(root.get("width")).removesuffix("mm"))
        share = width / numbers(root.get("viewBox"))[2]
        for text in root.iter(f"{SVG}text"):
            size = float(text.get("font-size", "0")) * share
            for around in text.iterancestors():
                if scaled := re.search(r"scale\(([\d.]+)", around.get("transform", "")):
                    size *= float(scaled[1])
            points = size / 25.4 * 72
            assert points >= (6.4 if kind(text) in ("bend", "link") else 6.9), (kind(text), points)


def test_words_that_are_played_are_no_italics_beside_suggestions() -> None:
    """The foot says that letters in italics are suggestions; Fine is none."""
    (root,) = drawn("jumps")
    words = [t for t in root.iter(f"{SVG}text") if kind(t) == "direction"]
    assert {t.text for t in words} == {"Fine", "D.C. al Fine"}
    assert {t.get("font-style") for t in words} == {None}


def test_the_tempo_stands_over_the_time_signature_under_the_heading() -> None:
    """Gould: tempo indications align with the time signature."""
    (root,) = drawn("long-title")
    system = next(iter(systems((root,))))
    (pace,) = [box_of(t) for t in system.iter(f"{SVG}text") if kind(t) == "pace"]
    (heading,) = [box_of(t) for t in system.iter(f"{SVG}text") if kind(t) == "remark"]
    (meter,) = groups(system, "meterSig")
    left = min(numbers(u.get("transform"))[0] for u in meter.iter(f"{SVG}use"))
    left += offset(meter)[0]
    assert heading.bottom < pace.top
    assert abs(pace.left - left) < 60


def test_the_foot_names_the_chords_that_have_no_shape() -> None:
    (root,) = drawn("brushes")
    shown = {t.text for t in root.iter(f"{SVG}text") if kind(t) == "shape-name"}
    (remarks,) = groups(root, "remarks")
    said = " ".join(t.text or "" for t in remarks.iter(f"{SVG}text"))
    names = {c.text for m in tunes.case("brushes").measures for c in m.chords}
    assert names == {"G", "C", "D", "D7"}
    assert shown == {"G"}
    assert said.endswith(
        "No shape goes with all that is played under D, C and D7, and under the G of m. 1."
    )


def test_the_key_shows_one_small_figure_for_a_grace_note() -> None:
    (root,) = drawn("graces")
    (key,) = groups(root, "key")
    texts = list(key.iter(f"{SVG}text"))
    place = next(i for i, t in enumerate(texts) if "grace note" in (t.text or ""))
    assert kind(texts[place - 1]) == "key-sign"
    assert texts[place - 1].text == "2"
    assert kind(texts[place - 2]) == "key-words"
