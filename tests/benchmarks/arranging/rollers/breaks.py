"""What players do to a roll instead of playing it through, each on a measure in the making.

Common practice, no source: a pinch for two strokes, a stroke left out whose note before is held, a
note hammered in place of a picked one, string 4 walking to the next chord's root, half a roll and
then plucks at a phrase's end. Melody notes stay, but for a walk, which takes the measure's end.
"""

from __future__ import annotations

from .base import Bar, Hold, Note, Roller, Slot


def pinch(player: Roller, bar: Bar, slot: int, held: Hold, *strings: int) -> None:
    """Strings together with what is struck there, and the stroke after it left out."""
    if slot not in bar.struck or bar.linked(slot):
        return
    for string in strings:
        player.fill(bar, slot, held, string)
    if slot + 1 < bar.size and not bar.has_melody(slot + 1):
        bar.clear([slot + 1])


def hold(player: Roller, bar: Bar, count: int = 1) -> None:
    """Strokes left out: neither melody, nor the first, nor what a hammer-on starts from."""
    free = [
        slot
        for slot in bar.struck
        if slot and not bar.has_melody(slot) and not bar.linked(slot) and not bar.linked(slot + 1)
    ]
    bar.clear(player.rng.sample(free, min(count, len(free))))


def hammer(player: Roller, bar: Bar, held: Hold) -> bool:
    """A fill is hammered on the string struck before it, from a lower tone than the chord's."""
    slots = [s for s in bar.struck if isinstance(s, int) and s + 1 in bar.struck]
    player.rng.shuffle(slots)
    for slot in slots:
        if bar.has_melody(slot) or bar.has_melody(slot + 1) or bar.linked(slot):
            continue
        if len(bar.struck[slot]) > 1 or bar.linked(slot + 1) or bar.linked(slot + 2):
            continue
        ((string, note),) = bar.struck[slot].items()
        goal = held.frets.get(string)
        if string == 5 or not goal or note.chord != held.chord.name:
            continue
        start = 0 if goal <= 2 else goal - player.rng.choice((1, 2))
        bar.struck[slot] = {string: Note(start)}
        bar.struck[slot + 1] = {string: Note(goal, held.chord.name, link="h")}
        return True
    return False


def lead_in(player: Roller, bar: Bar, slot: int, slide: float) -> bool:
    """A melody note comes a stroke late, by a slide or hammer-on from below on the beat."""
    notes = bar.struck.get(slot, {})
    if len(notes) != 1 or bar.has_melody(slot + 1) or slot + 1 >= bar.size or bar.linked(slot):
        return False
    ((string, note),) = notes.items()
    if not note.melody or not note.fret or string == 5 or bar.linked(slot + 1):
        return False
    if bar.linked(slot + 2) or player.sounding(bar, slot) is not player.sounding(bar, slot + 1):
        return False
    start = note.fret - player.rng.choice((1, 2)) if note.fret > 1 else 0
    sign = "/" if start and player.rng.random() < slide else "h"
    bar.struck[slot] = {string: Note(start)}
    bar.struck[slot + 1] = {string: note._replace(link=sign)}
    return True


def walk(player: Roller, bar: Bar) -> bool:
    """The last two beats (in 6/8 eighths) step on string 4 by the scale to the next root."""
    low, following = player.opens[3], bar.following
    if following is None or following == bar.chords[-1] or bar.size < 6:
        return False
    tonic, minor = (player.key[0] + player.move) % 12, player.key[1]
    steps = (0, 2, 3, 5, 7, 8, 10) if minor else (0, 2, 4, 5, 7, 9, 11)
    scale = {(tonic + step) % 12 for step in steps}
    step = 1 if player.group == 3 else 2
    slots = [bar.size - 2 * step, bar.size - step]
    goal = low + (following.root - low) % 12
    below = [p for p in range(low, goal) if p % 12 in scale][-2:]
    above = [p for p in range(goal + 1, min(goal + 5, low + 6)) if p % 12 in scale][1::-1]
    way = below if len(below) == 2 else above
    if len(way) != 2 or way[-1] - low > 5:
        return False
    bar.clear([slot for slot in bar.struck if slot >= slots[0]])
    for slot, midi in zip(slots, way, strict=True):
        bar.put(slot, 4, Note(midi - low))
    return True


def pluck(player: Roller, bar: Bar, start: int, held: Hold, strings: tuple[int, ...]) -> None:
    """From a slot on one or two plucks of some strings, with the melody note that is there."""
    kept: dict[Slot, dict[int, Note]] = {
        slot: {s: n for s, n in notes.items() if n.melody}
        for slot, notes in bar.struck.items()
        if slot >= start and bar.has_melody(slot) and not bar.linked(slot)
    }
    bar.clear([slot for slot in bar.struck if slot >= start and not bar.linked(slot)])
    bar.struck.update(kept)
    slots = [start, start + player.group] if player.rng.random() < 0.6 else [start]
    for slot in slots:
        if slot < bar.size and not bar.linked(slot):
            for string in strings:
                player.fill(bar, slot, held, string)
