"""At what scale a sheet makes one handout: a tune that runs a little over its last page is set
somewhat smaller.

Every scale is a new engraving, because measures must be spaced again; so the first one is chosen
from the heights that systems are likely to have. Lengths are in units.
"""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.writing.options import SheetOptions
from rollstave.writing.sheet.pages import (
    BOTTOM,
    BOTTOM_ALONE,
    NARROW_GAP,
    TOP,
    Frame,
    Plan,
    height_of,
    page_size,
)

# Scales that still read well on a music stand. The smallest makes a staff 5.8 mm high, between
# the sizes that engravers use for parts (7 mm) and for small scores (5.5 mm): Gould, Behind Bars,
# 2011, from memory.
_SMALLER = (0.97, 0.94, 0.91, 0.88, 0.85, 0.82, 0.80)
_SMALLEST, _SMALLEST_OF_MANY = 0.80, 0.88
# On a smaller sheet lines are longer and the foot takes fewer of them.
_SHORTER = 0.98
# A guess that fits is kept although a scale so much larger would have done: nobody sees it, and
# another engraving costs as much as the first.
_NEAR = 0.065
_MOST_PAGES = 3  # a tune on more than so many is no handout: a page less is not worth smaller notes
_CAUTION = 1.01  # on a sum of guessed heights: rather a little small than engraved twice


def likely_scale(heights: Sequence[float], frame: Frame, options: SheetOptions) -> float:
    """The scale to engrave at first, from the likely heights of the systems and the head and
    foot of a sheet of full size."""
    needed = _alone(frame, heights) * _SHORTER * _CAUTION
    page = page_size(options)[1]
    if needed <= page or needed > page / _SMALLEST * _CAUTION:
        return options.scale
    return next((s for s in _SMALLER if needed <= page / s), _SMALLEST)


def fits_well(plan: Plan, options: SheetOptions) -> bool:
    """Whether a sheet at a guessed scale is one page, and a much larger scale would not do."""
    if len(plan.pages) != 1:
        return False
    larger = [s for s in (1.0, *_SMALLER) if s > options.scale + _NEAR]
    needed = _alone(plan.frame, _heights(plan)) * _SHORTER
    page = page_size(options)[1] * options.scale
    return not any(needed <= page / scale for scale in larger)


def _heights(plan: Plan) -> list[float]:
    return [height_of(placed.system) for page in plan.pages for placed in page]


def _alone(frame: Frame, heights: Sequence[float]) -> float:
    """The height of a page that holds all systems."""
    stacked = sum(heights) + NARROW_GAP * (len(heights) - 1)
    return frame.head_bottom + stacked + frame.foot.height + BOTTOM_ALONE


def scales_for_fewer_pages(plan: Plan, options: SheetOptions) -> list[float]:
    """The scales at which a sheet should need one page less, the largest first; none where no
    scale that still reads well would do, or there is no need. A guessed scale is no bound."""
    count = len(plan.pages)
    heights = _heights(plan)
    page_height = page_size(options)[1] * options.scale
    if options.large or not options.title_block or count > _MOST_PAGES:
        return []
    if count == 1:
        needed = _alone(plan.frame, heights) * _SHORTER
        return [s for s in (1.0, *_SMALLER) if needed <= page_height / s]
    needed = plan.frame.head_bottom + sum(heights) + NARROW_GAP * (len(heights) - 1)
    needed += plan.frame.foot.height + (count - 2) * (TOP + BOTTOM)
    needed += BOTTOM_ALONE if count == 2 else BOTTOM
    # Between two pages a system may not fit, so a long tune must come out with room to spare.
    needed += (count - 2) * max(heights) / 2
    floor = _SMALLEST if count == 2 else _SMALLEST_OF_MANY
    needed *= _SHORTER
    return [s for s in _SMALLER if s >= floor and needed <= (count - 1) * page_height / s]
