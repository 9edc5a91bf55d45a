"""How the sheets of the samples and of the stress set look, in a few lines of text each, so that a
change of look is seen in review.

``python -m tests.writing.pictures`` writes the summaries in ``pictures/`` anew. With a folder, it
also draws every sheet there as SVG, to be looked at. Of each system a summary has the heights of
its lines, its bar lines, how many signs and words of each kind it has, and a check sum over the
place of everything. Lengths are in units, a hundredth of a millimetre times the size of the sheet.
"""

from __future__ import annotations

import hashlib
import re
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from lxml import etree

from rollstave.writing.options import SheetOptions, View
from tests import sheets, tunes

FOLDER = Path(__file__).parent / "pictures"
SVG = "{http://www.w3.org/2000/svg}"
LOOKS = {
    "sheet": SheetOptions(),
    "large": SheetOptions(size="large"),
    "tab": SheetOptions(view=View.TAB),
    "staff": SheetOptions(view=View.STAFF),
    "figure": SheetOptions(title_block=False, width=120.0),
}
CASES = [p.stem for p in (*tunes.SAMPLES, *tunes.STRESS)]
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
# What is placed: texts, glyphs, lines, shapes.
_PLACED = ("x", "y", "d", "points", "transform", "cx", "cy", "width", "height", "font-size")
_DRAWN = tuple(
    f"{SVG}{name}" for name in ("text", "use", "path", "polygon", "polyline", "ellipse", "rect")
)


def _kind(element: etree._Element) -> str:
    """The class of something drawn, or of the nearest group around it that has one."""
    for each in (element, *element.iterancestors()):
        if name := each.get("class"):
            return name.split()[0]
    return ""


def _check(element: etree._Element) -> str:
    """A check sum over the place of everything below an element; words are part of it."""
    told = hashlib.sha256()
    for item in element.iter(*_DRAWN):
        place = [item.get(key, "") for key in _PLACED]
        told.update(repr((item.tag, _kind(item), item.text, place)).encode())
    return told.hexdigest()[:12]


def _ground(element: etree._Element) -> str:
    """The highest and the lowest base line of the words of a system."""
    heights = [float(t.get("y", 0)) for t in element.iter(f"{SVG}text")]
    return f"{min(heights):.0f}..{max(heights):.0f}" if heights else "none"


def _system(system: etree._Element) -> Iterator[str]:
    staff = [g for g in system.iter(f"{SVG}g") if g.get("class") == "staff"]
    heights = sorted(
        {_NUMBER.findall(p.get("d", ""))[1] for g in staff for p in g.iterfind(f"{SVG}path")},
        key=float,
    )
    lines = system.find(f"{SVG}g[@class='marks lines']")
    tab = [_NUMBER.findall(p.get("d", ""))[1] for p in lines] if lines is not None else []
    bars = [
        _NUMBER.findall(p.get("d", ""))[0]
        for g in system.iter(f"{SVG}g")
        if g.get("class") == "barLine"
        for p in g.findall(f"{SVG}path")[:1]
    ]
    measures = [
        g.get("id", "").rsplit("-m", 1)[-1]
        for g in system.iter(f"{SVG}g")
        if g.get("class") == "measure"
    ]
    counts = Counter(_kind(item) for item in system.iter(*_DRAWN))
    moved = system.getparent()
    at = moved.get("transform", "") if moved is not None else ""
    yield f"  system of measures {measures[0]} to {measures[-1]}, {at}, {_check(system)}"
    yield f"    staff {' '.join(heights)}; tab {' '.join(tab)}; words {_ground(system)}"
    yield f"    bars {' '.join(bars)}"
    yield "    " + ", ".join(f"{name} {count}" for name, count in sorted(counts.items()))


def summary(case: str) -> str:
    """The lines about a tune: its sheet in full, every other look as a check sum a page."""
    told: list[str] = []
    for look, options in LOOKS.items():
        for number, root in enumerate(sheets.roots(case, options), start=1):
            size = f"{root.get('width')} by {root.get('height')}"
            told.append(f"{look}, page {number}: {size}, {_check(root)}")
            if look == "sheet":
                for system in root.iter(f"{SVG}g"):
                    if system.get("class") == "system":
                        told.extend(_system(system))
    return "\n".join(told) + "\n"


def main(folder: str = "") -> None:
    """Write all summaries; draw the sheets into a folder, if one is given."""
    FOLDER.mkdir(exist_ok=True)
    for path in FOLDER.glob("*.txt"):
        path.unlink()
    for case in CASES:
        (FOLDER / f"{case}.txt").write_text(summary(case), encoding="utf-8")
        if folder:
            Path(folder).mkdir(parents=True, exist_ok=True)
            for number, page in enumerate(sheets.pages(case), start=1):
                (Path(folder) / f"{case}-{number}.svg").write_bytes(page)


if __name__ == "__main__":
    main(*sys.argv[1:])
