"""What teachers call exercises, and the words of the trade that head one without a number.

Common practice, no source: what stands over the systems of sheets that teachers type.
"""

from __future__ import annotations

# What an exercise is called before its number; what it is shortened to, without a full stop.
CALLED: tuple[str, ...] = (
    *("exercise", "exer", "ex", "drill", "étude", "etude", "study", "warm-up", "warmup"),
    *("pattern", "lick", "example", "task"),
)
# Numbers in words, in order.
NUMBERS: tuple[str, ...] = (
    *("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"),
    *("eleven", "twelve"),
)
# Beginnings of words that say what is practised.
PRACTISED: tuple[str, ...] = (
    *("roll", "forward", "backward", "reverse", "alternat", "pinch", "pluck", "thumb", "index"),
    *("middle", "finger", "hammer", "pull", "slide", "bend", "brush", "strum", "drop-thumb"),
    *("drone", "walk", "scale", "arpeggio", "chord", "change", "fret", "string", "position"),
    *("barre", "stretch", "shift", "triplet", "syncop", "backup", "vamp", "chop", "drill"),
    *("exercise", "practi"),
)
