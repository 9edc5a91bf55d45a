"""Tunings of the five-string banjo (common practice; octaves by arithmetic).

MIDI numbers, middle C = C4 = 60 (General MIDI), in the order of the tab's rows: string 1 first.
"""

from __future__ import annotations

# Written form: (strings 1 to 5, row labels of strings 1 to 5).
TUNINGS: dict[str, tuple[tuple[int, int, int, int, int], tuple[str, str, str, str, str]]] = {
    "gDGBD": ((62, 59, 55, 50, 67), ("D", "B", "G", "D", "g")),
    "gCGBD": ((62, 59, 55, 48, 67), ("D", "B", "G", "C", "g")),
    "gCGCD": ((62, 60, 55, 48, 67), ("D", "C", "G", "C", "g")),
    "gCGCE": ((64, 60, 55, 48, 67), ("E", "C", "G", "C", "g")),
    "gDGCD": ((62, 60, 55, 50, 67), ("D", "C", "G", "D", "g")),
    "gDGBbD": ((62, 58, 55, 50, 67), ("D", "Bb", "G", "D", "g")),
    "f#DF#AD": ((62, 57, 54, 50, 66), ("D", "A", "F#", "D", "f#")),
    "aDF#AD": ((62, 57, 54, 50, 69), ("D", "A", "F#", "D", "a")),
    "aDADE": ((64, 62, 57, 50, 69), ("E", "D", "A", "D", "a")),
    "aEAC#E": ((64, 61, 57, 52, 69), ("E", "C#", "A", "E", "a")),
}


def open_pitches(tuning: str) -> tuple[int, int, int, int, int]:
    """The open strings of a tuning, string 1 first, as MIDI numbers."""
    return TUNINGS[tuning][0]


def row_labels(tuning: str) -> tuple[str, str, str, str, str]:
    """The labels typed before the rows, top row first."""
    return TUNINGS[tuning][1]
