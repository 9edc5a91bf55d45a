"""How far a music glyph reaches, from the outline that Verovio gives in its SVG."""

from __future__ import annotations

import re
from functools import lru_cache

_TOKEN = re.compile(r"[A-Za-z]|-?\d*\.?\d+(?:e-?\d+)?")
# How many numbers each path command takes (SVG 1.1, 8.3, path data).
_ARGUMENTS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2}


@lru_cache(maxsize=512)
def outline_box(data: str) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of all points of a path, control points included."""
    x = y = start_x = start_y = 0.0
    xs: list[float] = []
    ys: list[float] = []
    tokens = _TOKEN.findall(data)
    position, command = 0, "M"
    while position < len(tokens):
        if tokens[position].isalpha():
            command = tokens[position]
            position += 1
        if command in "Zz":
            x, y = start_x, start_y
            continue
        count = _ARGUMENTS[command.upper()]
        values = [float(v) for v in tokens[position : position + count]]
        position += count
        relative = command.islower()
        if command in "Hh":
            values = [values[0] + (x if relative else 0.0), y]
        elif command in "Vv":
            values = [x, values[0] + (y if relative else 0.0)]
        elif relative:
            values = [v + (y if i % 2 else x) for i, v in enumerate(values)]
        x, y = values[-2], values[-1]
        if command in "Mm":
            start_x, start_y = x, y
            command = "l" if relative else "L"
        xs.extend(values[0::2])
        ys.extend(values[1::2])
    if not xs:
        return 0.0, 0.0, 0.0, 0.0
    return min(xs), min(ys), max(xs), max(ys)
