"""What instruments are called before the later systems of a score, by the last word of their names
(common practice, no source)."""

from __future__ import annotations

_SHORT = {
    "banjo": "Bjo.",
    "bass": "B.",
    "bouzouki": "Bouz.",
    "cittern": "Citt.",
    "dulcimer": "Dulc.",
    "fiddle": "Fdl.",
    "guitar": "Gtr.",
    "mandola": "Mda.",
    "mandolin": "Mdn.",
    "ukulele": "Uke.",
}


def abbreviated(name: str) -> str:
    """The abbreviation of an instrument's name: ``Bjo.`` of ``five-string banjo``; empty for one
    that has none."""
    return _SHORT.get(name.split()[-1].lower(), "") if name.strip() else ""
