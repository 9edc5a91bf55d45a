"""Players thrown at random: where the tune is, when it is struck, and what goes between.

Each tune has a player of its own, with one way to play or two that take turns. A way says which
strokes have which notes of the tune, how far from their time, on which strings, and what is struck
with them; and what the other strokes do: fingers in a pattern, strings in an order or thrown anew,
a bass on the beats, a brush. Habits are thrown one by one, so that most pairs of them meet.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence

from ...rhythm.model import ArrangedTune, CorpusTune, MelodyNote
from . import breaks
from .base import Bar, Hold, Note, Place, Roller, Slot, Told, Want
from .patterned import Put

LETTERS: dict[str, tuple[int, ...]] = {
    "t": (4, 3),
    "o": (3, 4),
    "i": (2, 3),
    "n": (3, 2),
    "m": (1, 2),
    "u": (2, 1),
    "5": (5, 1),
    "1": (1,),
    "2": (2,),
    "3": (3,),
    "4": (4,),
}
ROLLS = {
    8: (
        *("tim5im5m", "timtimti", "itm5timt", "ti5mti5m", "mitmitmi", "5imtim5i", "titmtitm"),
        *("m5im5im5", "t5i5m5i5", "timitimi", "tmimtmim", "tmtmtmtm", "t5m5t5m5", "mim5mim5"),
    ),
    6: ("timtim", "tim5im", "mitmit", "titmit", "5im5im", "t5mt5m", "tmtmtm"),
    9: ("timtimtim", "tim5imtim", "mitmitmit"),
}
BASSES = ("to", "t5", "o5", "to5o", "o", "t", "5", "tn", "oi", "to5n")
ORDERS = (
    *((3, 4, 2), (4, 3, 2), (4, 3), (3, 2, 1), (2, 3, 1), (2, 1, 3), (1, 2), (1, 2, 3)),
    *((3, 2, 4, 1), (2, 3), (1, 2, 3, 4), (4, 3, 2, 1)),
)
PARTNERS = ((1,), (5,), (1, 5), (2,), (4,), (3,), (4, 3), (2, 1), (1, 2), (3, 2))


class Way:
    """One way to play: what strokes have the tune, and what the others have."""

    def __init__(self, player: Meadow, strings: tuple[int, ...]) -> None:
        rng = self.rng = player.rng
        self.player, self.strings = player, strings
        size, group = player.size, player.group
        self.where = rng.choice(("slots", "own", "own", "divided", "finger", "string"))
        share, beats = rng.choice((0.0, 0.15, 0.4, 0.8)), rng.choice((0.3, 0.8, 1.0, 1.0))
        self.open = {
            slot: rng.choice((0.6, 0.9, 1.0))
            for slot in range(size)
            if slot == 0 or rng.random() < (share if slot % group else beats)
        }
        self.divided = self._division(size)
        self.on, self.off = rng.choice((0.7, 1.0, 1.0)), rng.choice((0.0, 0.2, 0.6, 0.9, 1.0))
        self.weak = rng.choice((0.2, 1.0, 1.0))  # beats that are not the first or at half
        self.again = rng.choice((0.0, 0.0, 0.0, 0.3, 0.8, 1.0))
        self.late = rng.choice((0.0, 0.0, 0.5, 1.0))
        self.move_by = rng.choice((0, 0, 0, -1, -1, 1))
        self.moved, self.strong = rng.choice((0.2, 0.5, 0.9)), rng.random() < 0.5
        self.early = False  # the note that the next measure begins with is struck already
        self._throw_fills(size, group)

    def _division(self, size: int) -> tuple[int, ...]:
        found, at = [], 0
        while at < size:
            found.append(at)
            at += self.rng.choice((2, 3, 3, 4))
        return tuple(found)

    def _throw_fills(self, size: int, group: int) -> None:
        rng = self.rng
        self.kind = rng.choice(("roll", "roll", "roll", "strings", "thrown", "bass", "brush"))
        table = ROLLS.get(size, ROLLS[8])
        self.rolls = [self._roll(size, table) for _ in range(rng.choice((1, 1, 2, 3)))]
        self.bass = rng.choice(BASSES)
        self.every = group * (rng.choice((1, 1, 2)) if group == 2 else 1)
        self.between = rng.choice((".", ".", "n", "n.", ".n", "nm", "im", "u", "1", "5", "i.", "m"))
        self.brushed = rng.choice(("12", "123", "1", "21", "15"))
        self.ditty = rng.choice(("b5", "b.", ".b", "b", ".5", "b5b5"))
        self.gaps = {slot for slot in range(1, size) if rng.random() < rng.choice((0, 0, 0, 0.2))}
        self.dropped = rng.choice((0.0, 0.0, 0.1, 0.3))
        self.rings = rng.random() < 0.7  # the string of the tune is not struck by what fills in
        self.anew = rng.random() < 0.3  # the roll begins anew after each note of the tune
        self.waits = rng.choice((0, 0, 0, 1))  # strokes left out after a note of the tune
        self.partner = rng.choice(PARTNERS)
        self.paired = rng.choice((0.0, 0.0, 0.1, 0.4, 0.8, 1.0))
        self.paired_off = rng.random() < 0.5  # also off the beat
        self.finger = rng.choice("".join(self.rolls).replace(".", "") or "t")
        self.now = self.rolls[0]

    def _roll(self, size: int, table: Sequence[str]) -> str:
        rng = self.rng
        if self.kind == "strings":
            letters: Sequence[str] = rng.choice(("12345", "1235", "1234", "123", "2345", "135"))
        elif rng.random() < 0.5:
            return rng.choice(table)
        else:
            letters = rng.sample("toinmu5", rng.choice((2, 3, 4)))
        roll = [rng.choice(letters)]
        while len(roll) < size:
            roll.append(rng.choice([one for one in letters if one != roll[-1]]))
        return "".join(roll)

    # The tune ------------------------------------------------------------------------------------

    def places(self, bar: Bar) -> dict[int, Put]:
        """The tune in this measure, by stroke."""
        if self.rng.random() < 0.8:
            self.now = self.rolls[0]
        else:
            self.now = self.rng.choice(self.rolls)
        struck, self.early = self.early, False
        choose = {"own": self._own, "string": self._on_its_string}.get(self.where, self._at_slots)
        chosen = choose(bar)
        if struck:
            chosen.pop(0, None)
        return self._displaced(bar, chosen)

    def _slots(self, bar: Bar) -> Mapping[int, float]:
        if self.where == "divided":
            return dict.fromkeys(self.divided, 1.0)
        if self.where == "finger":
            roll = (self.now * 12)[: bar.size]
            return {0: 1.0} | {s: 1.0 for s in range(bar.size) if roll[s] == self.finger}
        return self.open

    def _at_slots(self, bar: Bar) -> dict[int, Put]:
        found: dict[int, Put] = {}
        last, slots = None, self._slots(bar)
        for slot in range(bar.size):
            note = self.player.sounding(bar, slot)
            if note is None or slot not in slots:
                continue
            new = note.onset == slot * self.player.slot
            late = note is not last and (self.where != "slots" or self.rng.random() < self.late)
            again = note is last and self.rng.random() < self.again
            if slot == 0 or ((new or late or again) and self.rng.random() < slots[slot]):
                found[slot] = Put(note, self.strings)
                last = note
        return found

    def _carries(self, bar: Bar, slot: int) -> bool:
        if slot == 0:
            return True
        if slot % self.player.group:
            return self.rng.random() < self.off
        return self.rng.random() < self.on * (1.0 if slot == bar.size // 2 else self.weak)

    def _own(self, bar: Bar) -> dict[int, Put]:
        found: dict[int, Put] = {}
        for slot in range(bar.size):
            note = self.player.new_at(bar, slot)
            again = False
            if note is None and slot % self.player.group == 0:
                note, again = self.player.sounding(bar, slot), True
            if note is None or (again and self.rng.random() >= self.again):
                continue
            if self._carries(bar, slot):
                found[slot] = Put(note, self.strings)
        return found

    def _on_its_string(self, bar: Bar) -> dict[int, Put]:
        found: dict[int, Put] = {}
        roll = (self.now * 12)[: bar.size]
        for slot in range(bar.size):
            note = self.player.new_at(bar, slot)
            if note is None or not self._carries(bar, slot):
                continue
            for at in (slot, slot + 1, slot - 1):
                if not 0 <= at < bar.size or at in found or (at == 0 and slot):
                    continue
                string = LETTERS[roll[at]][0]
                if string < 5 and 0 <= self.player.midi(note) - self.player.opens[string - 1] <= 4:
                    found[at] = Put(note, (string,))
                    break
            else:
                if slot == 0:
                    found[slot] = Put(note, self.strings)
        return found

    def _displaced(self, bar: Bar, chosen: Mapping[int, Put]) -> dict[int, Put]:
        """The notes a stroke early or late, where that is this way's habit."""
        if not self.move_by:
            return dict(chosen)
        found: dict[int, Put] = {}
        half = bar.size // 2 if bar.size % 4 == 0 else bar.size
        for slot, put in chosen.items():
            at = slot
            strong = slot % half == 0 if self.strong else slot % self.player.group == 0
            if strong and self.rng.random() < self.moved:
                at = slot + self.move_by
            if not 0 <= at < bar.size or at in chosen or at in found:
                at = slot
            found[at] = put
        after = self.player.following(bar)
        early = self.move_by < 0 and self.rng.random() < self.moved
        if after is not None and early and not bar.ending and not bar.final:
            found[bar.size - 1] = Put(after, self.strings)
            self.early = True
        return found

    # What goes between ---------------------------------------------------------------------------

    def fills(self, bar: Bar, places: Mapping[int, Put]) -> list[tuple[int, ...]]:
        """For each stroke strings in order of liking; a brush has several at once."""
        found = []
        since, turn, string = 0, 0, 0
        for slot in range(bar.size):
            since = 0 if slot in places else since + 1
            turn = 1 if slot in places and self.anew else turn + 1
            quiet = 0 < since <= self.waits or slot in self.gaps
            if slot and (quiet or self.rng.random() < self.dropped):
                found.append(())
                continue
            letter = self._letter(slot, turn - 1, since)
            if letter == "?":
                string = self.rng.choice([s for s in (1, 2, 3, 4, 5, 5) if s != string])
                found.append((string,))
            else:
                found.append(() if letter in ".b" else LETTERS[letter])
        return found

    def _letter(self, slot: int, turn: int, since: int) -> str:
        if self.kind == "bass":
            step, rest = divmod(slot, self.every)
            if rest == 0:
                return self.bass[step % len(self.bass)]
            return self.between[slot % len(self.between)]
        if self.kind == "brush":
            if slot % self.player.group == 0 and since:
                return self.bass[slot // self.player.group % len(self.bass)]
            return self.ditty[(since or slot) % len(self.ditty)]
        if self.kind == "thrown":
            return "?"
        return self.now[turn % len(self.now)]

    def brushes(self, slot: int) -> bool:
        """True where the stroke is a brush."""
        off = slot % self.player.group != 0
        return self.kind == "brush" and off and self.ditty[slot % len(self.ditty)] == "b"


class Meadow(Roller):
    """One player of many."""

    tunings = (("gDGBD", 0.0), ("gCGBD", 0.0), ("gCGCD", 0.2), ("gDGCD", 0.2), ("aDADE", 0.4))

    def __init__(self, tune: CorpusTune, rng: random.Random) -> None:
        strings = rng.choice(ORDERS)
        self.lowest, self.highest = max(strings), min(strings)
        self.stopped = 7 if len(strings) < 3 else rng.choice((3, 5, 5, 7))
        super().__init__(tune, rng)
        self.last = 0  # the string of the note before, as far as can be known
        self.ways = [Way(self, strings) for _ in range(rng.choice((1, 1, 2)))]
        self.phrase = rng.choice((2, 4, 8))
        self.alone = rng.choice((0.0, 0.0, 0.0, 0.1, 0.3))  # measures of the tune alone
        self.follows = rng.choice((0.0, 0.0, 0.0, 0.15, 0.5))  # fills that take the tune's note
        self.opened = rng.choice((0.0, 0.0, 0.2, 0.6))  # fills left open where the chord has that
        # One in five also leaves fills open where the chord has no such tone, strikes the tune on
        # the short string, doubles it, or never strikes two of its notes running on one string.
        odd = float(rng.random() < 0.2)
        self.loose, self.fifth = odd * rng.choice((0.0, 0.1, 0.3)), odd * rng.choice((0, 0.5, 1))
        self.octaves = odd * rng.choice((0.0, 0.2, 0.7))
        self.alternates = rng.random() < 0.3 * odd
        self.held = rng.choice((0.0, 0.0, 0.1, 0.3))
        self.hammered, self.walked = rng.choice((0.0, 0.1, 0.2)), rng.choice((0.0, 0.1, 0.2))
        self.slides = rng.choice((0.0, 0.0, 0.1, 0.3))
        self.pinched = rng.choice((0.0, 0.0, 0.15, 0.3))
        self.plucks = rng.choice(((1, 2), (1, 2, 3), (1, 2, 5), (1,), (1, 5)))
        self.ended = rng.choice((0.0, 0.2, 0.5, 0.9))

    def following(self, bar: Bar) -> MelodyNote | None:
        """The note that the next measure begins with."""
        measures = self.source.measures
        after = measures[bar.index + 1].notes if bar.index + 1 < len(measures) else ()
        return after[0] if after and after[0].onset == 0 else None

    def play(self, bar: Bar) -> None:
        rng = self.rng
        if rng.random() < self.alone:
            self.bare(bar, bar.measure.notes)
            return
        way = self.ways[bar.index // self.phrase % len(self.ways)]
        places = way.places(bar)
        fills = way.fills(bar, places)
        held: list[Hold] = []
        for span, chord in self.halves(bar):
            hold = self.hold(chord, self._wants(span, places))
            held.append(hold)
            self._strokes(bar, way, span, hold, fills)
        self._breaks(bar, held[-1], places)

    def _wants(self, span: range, places: Mapping[int, Put]) -> dict[Slot, Want]:
        wants: dict[Slot, Want] = {}
        for slot, put in sorted(places.items()):
            if slot not in span:
                continue
            midi, strings = self.midi(put.note), put.strings
            if self.alternates and self.last in strings:
                strings = (*(s for s in strings if s != self.last), self.last)
            if midi == self.opens[4] and self.rng.random() < self.fifth:
                strings = (5,)
            wants[slot] = Want(midi, strings)
            able = [s for s in strings if 0 <= midi - self.opens[s - 1] <= 4]
            self.last = able[0] if able else 0
        return wants

    def _strokes(
        self, bar: Bar, way: Way, span: range, held: Hold, fills: Sequence[tuple[int, ...]]
    ) -> None:
        ringing = None
        for slot in span:
            string = self.melody(bar, slot, held)
            if string is not None:
                ringing = string
                if self.rng.random() < self.octaves:
                    self._double(bar, slot, string, held)
                on = slot % self.group == 0
                if (on or way.paired_off) and self.rng.random() < way.paired:
                    for other in way.partner:
                        self.fill(bar, slot, held, *(s for s in (other,) if s != string))
                    if way.kind == "bass" and len(bar.struck[slot]) == 1 and on:
                        self.fill(bar, slot, held, *(s for s in fills[slot] if s > string))
                continue
            kept = ringing if way.rings else None
            if way.brushes(slot) and slot:
                for one in way.brushed:
                    self.fill(bar, slot, held, *(s for s in (int(one),) if s != kept))
                continue
            one = self.fill(bar, slot, held, *(s for s in fills[slot] if s != kept))
            if one is not None and one != 5:
                self._another(bar, slot, one, held)

    def _double(self, bar: Bar, slot: int, string: int, held: Hold) -> None:
        """The tune's note an octave away on another string, where hand and chord have it."""
        midi = self.opens[string - 1] + bar.struck[slot][string].fret
        if string == 5 or midi % 12 not in held.chord.tones:
            return
        for other in (1, 2, 3, 4):
            for fret in (0, *range(held.position, held.position + 4)):
                if other != string and abs(self.opens[other - 1] + fret - midi) == 12:
                    bar.put(slot, other, Note(fret, held.chord.name))
                    return

    def _another(self, bar: Bar, slot: int, string: int, held: Hold) -> None:
        """A fill with the tune's own note on its string, or open, where the chord has it."""
        note = self.sounding(bar, slot)
        fret = held.frets[string]
        tones = held.chord.tones
        if note is not None and self.rng.random() < self.follows:
            wanted = (self.midi(note) - self.opens[string - 1]) % 12
            near = wanted == 0 or held.position <= wanted < held.position + 4
            if near and self.midi(note) % 12 in tones:
                fret = wanted
        elif self.opens[string - 1] % 12 in tones and self.rng.random() < self.opened:
            fret = 0
        if fret is not None:
            bar.put(slot, string, Note(fret, held.chord.name))
        if string < 3 and self.rng.random() < self.loose:
            inside = self.opens[string - 1] % 12 in tones
            bar.put(slot, string, Note(0, held.chord.name if inside else ""))

    def _breaks(self, bar: Bar, held: Hold, places: Mapping[int, Put]) -> None:
        rng = self.rng
        if bar.final or (bar.ending and rng.random() < self.ended):
            half = max(bar.size // self.group // 2, 1) * self.group
            breaks.pluck(self, bar, half, held, self.plucks)
            return
        if rng.random() < self.walked and breaks.walk(self, bar):
            return
        if rng.random() < self.pinched:
            beats = range(0, bar.size, self.group)
            breaks.pinch(self, bar, rng.choice(beats), held, 1)
        if rng.random() < self.held:
            breaks.hold(self, bar, rng.choice((1, 1, 2)))
        if rng.random() < self.hammered:
            breaks.hammer(self, bar, held)
        starts = [slot for slot in sorted(places) if bar.has_melody(slot)]
        if starts and rng.random() < self.slides:
            breaks.lead_in(self, bar, rng.choice(starts), 0.5)


def told(tune: CorpusTune, rng: random.Random) -> Told:
    """The tune, its melody, and the chords of its fills."""
    return Meadow(tune, rng).told()


def arrange(tune: CorpusTune, rng: random.Random) -> tuple[ArrangedTune, frozenset[Place]]:
    """The tune in rolls, and where its melody is: measure, onset and string."""
    made = told(tune, rng)
    return made.tune, made.melody
