"""Equal notes stand equally far apart, whatever stands over and under them, and what else a red pen
marked beside them (Gould, Behind Bars, 2011, from memory: spacing follows durations; numbers of
tuplets and octave signs are clear of the staff). Units are hundredths of a millimetre."""

from __future__ import annotations

import re
from collections import defaultdict
from fractions import Fraction
from itertools import pairwise

import pytest

from tests import tunes
from tests.writing.test_sheet_geometry import offset, systems
from tests.writing.test_spacing import CASES, SVG, drawn, glyph_boxes, groups, numbers

# How much wider than the least the widest gap after equal notes of a measure is, at most. Grace
# notes stand in such gaps; three hammered sixteenths have their letters there, one with a flat.
MOST = 1.35
LESS_EVEN = {"graces": 2.0, "left-hand": 1.5}


@pytest.mark.parametrize("case", CASES)
def test_equal_notes_of_a_measure_stand_equally_far_apart(case: str) -> None:
    at: dict[tuple[int, int], float] = {}
    for root in drawn(case):
        for group in groups(root, "note"):
            name = re.search(r"-t(\d+)-(\d+)-0-\d+$", group.get("id") or "")
            digit = group.find(f".//{SVG}text")
            if name is not None and digit is not None:
                at[int(name[1]), int(name[2])] = float(digit.get("x", "0"))
    seen = 0
    for measure in tunes.case(case).measures:
        gaps: dict[Fraction, list[float]] = defaultdict(list)
        for (i, event), (j, after) in pairwise(enumerate(measure.events)):
            if (measure.index, i) in at and (measure.index, j) in at:
                gap = at[measure.index, j] - at[measure.index, i]
                gaps[after.onset - event.onset].append(gap)
        for equal in gaps.values():
            seen += len(equal) > 1
            assert max(equal) <= LESS_EVEN.get(case, MOST) * min(equal), measure.number
    assert seen >= 3


def test_no_line_of_the_staff_runs_through_the_number_of_a_triplet() -> None:
    seen = 0
    for root in drawn("three-gulls"):
        for system in systems((root,)):
            first = next(g for g in groups(system, "staff"))
            staff = {numbers(p.get("d"))[1] for p in first.iterfind(f"{SVG}path")}
            assert len(staff) == 5
            for number in glyph_boxes(root, system, "tupletNum"):
                seen += 1
                assert not [y for y in staff if number.top - 30 < y < number.bottom + 30]
    assert seen >= 10


def test_a_heading_is_framed_and_the_tempo_is_not() -> None:
    """One is not read as the second line of the other."""
    system = next(iter(systems(drawn("long-title"))))
    texts = {t.get("class"): t for t in system.iter(f"{SVG}text")}
    heading, pace = texts.get("section", texts.get("remark")), texts["pace"]
    assert heading is not None
    frame = next(p for p in system.iter(f"{SVG}path") if p.get("class") == "frame")
    left, top, right, bottom, _ = numbers(frame.get("d"))
    x, y = (float(heading.get(key, "0")) for key in ("x", "y"))
    assert left < x < right
    assert top < y < bottom
    assert bottom + 60 < float(pace.get("y", "0")) - 0.7 * float(pace.get("font-size", "0"))
    assert offset(heading) == offset(pace)
