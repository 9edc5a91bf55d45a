"""Strokes of all strings, gathered into the columns of a measure."""

from __future__ import annotations

from rollstave.grid.typed import Column, Stroke


def into_columns(
    by_string: dict[int, list[tuple[int, Stroke]]], sign_widths: dict[tuple[int, int], int]
) -> tuple[Column, ...]:
    """Strokes of all strings, by position in the measure, gathered into columns.

    A one-digit fret under either digit of a two-digit fret belongs to its column: typists align
    them left or right.
    """
    found = sorted(
        (
            (position, string, stroke)
            for string, strokes in by_string.items()
            for position, stroke in strokes
        ),
        key=lambda item: (item[0], item[1]),
    )
    groups: list[list[tuple[int, int, Stroke]]] = []
    for item in found:
        position, string, _ = item
        if groups:
            first = groups[-1][0][0]
            # Most columns stand apart: only where they do not, the group is looked through.
            near = position == first or (
                position == first + 1
                and any(_digits(s) == 2 and p == first for p, _, s in groups[-1])
            )
            if near and all(string != other for _, other, _ in groups[-1]):
                groups[-1].append(item)
                continue
        groups.append([item])
    columns = []
    for group in groups:
        position, string, stroke = group[0]
        if len(group) == 1:
            columns.append(
                Column(
                    position=position,
                    strokes=(stroke,),
                    width=stroke.width,
                    sign_width=sign_widths.get((string, position), 0),
                    brush=stroke.brushed,
                )
            )
            continue
        strokes = tuple(s for _, _, s in sorted(group, key=lambda g: g[1]))
        signs = max((sign_widths.get((string, p), 0) for p, string, _ in group), default=0)
        brush = any(s.brushed for s in strokes)
        columns.append(
            Column(
                position=position,
                strokes=strokes,
                width=max(s.width for s in strokes),
                sign_width=signs,
                brush=brush,
            )
        )
    return tuple(columns)


def _digits(stroke: Stroke) -> int:
    return len(str(stroke.fret)) if stroke.fret is not None else 1
