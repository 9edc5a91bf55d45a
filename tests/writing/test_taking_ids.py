"""Ids that the engraver makes up are taken off, whatever they look like."""

from __future__ import annotations

import pytest

from rollstave.writing.sheet.taking import _MADE_UP


@pytest.mark.parametrize(
    ("found", "stays"),
    [
        ("m0", True),
        ("m99999", True),  # no sheet has more measures
        ("m1046406", False),  # seen: once in some thousand sheets it begins with m and has figures
        ("q1w2e3", False),
        ("z1046406", False),
    ],
)
def test_only_ids_of_measures_stay(found: str, stays: bool) -> None:
    svg = f'<g id="{found}" class="keyAccid">'
    for made_up, instead in _MADE_UP:
        svg = made_up.sub(instead, svg)
    assert (f'id="{found}"' in svg) is stays
