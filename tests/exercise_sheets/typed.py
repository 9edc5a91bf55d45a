"""Ten sheets of exercises as teachers type them, and what is on them.

Written down before anything was read: notes and headings are the truth, a plain typist makes the
text. Each sheet has its own habits of headings, labels, bars, columns and lines between.
"""

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Exercise:
    """One exercise: its heading as it should be shown, and systems of measures of notes.

    A note is ``string:fret``, two together are joined by ``+``, a dot is an eighth that lasts on.
    """

    heading: str
    systems: tuple[tuple[str, ...], ...]
    typed: str = ""  # the heading's lines as typed, where they are not the heading itself
    before: str = ""  # lines between heading and system
    over: str = ""  # a line over the rows, to be put after the label
    under: tuple[str, ...] = ()  # letters for each system, one for each eighth

    @property
    def measures(self) -> list[list[list[tuple[int, int]]]]:
        """For each measure its strokes, for each stroke its strings and frets."""
        return [
            [
                sorted((int(note[0]), int(note[2:])) for note in stroke.split("+"))
                for stroke in measure.split()
                if stroke != "."
            ]
            for system in self.systems
            for measure in system
        ]


@dataclass(frozen=True)
class Sheet:
    """A file: its head, its exercises and the habits of who typed it."""

    name: str
    title: str
    head: str
    exercises: tuple[Exercise, ...]
    labels: tuple[str, ...] = ("D", "B", "G", "D", "g")
    after_label: str = "|"
    column: int = 2  # characters for an eighth
    padding: int = 1  # dashes after a bar
    bars: tuple[str, str] = ("|", "|")  # the first and the last bar of a system
    dash: str = "-"
    gap: str = "\n"  # between heading and rows
    foot: str = ""
    remarks: tuple[str, ...] = field(default=())  # words that must be somewhere on the sheet

    @property
    def text(self) -> str:
        """The file as typed."""
        parts = [self.head] if self.head else []
        for exercise in self.exercises:
            heading = exercise.typed or exercise.heading
            if exercise.before:
                heading += "\n" + exercise.before
            systems = []
            for number, system in enumerate(exercise.systems):
                letters = exercise.under[number] if number < len(exercise.under) else ""
                systems.append(self._system(system, exercise.over, letters))
            parts.append(heading + self.gap + "\n\n".join(systems))
        if self.foot:
            parts.append(self.foot)
        return "\n\n".join(parts) + "\n"

    def _system(self, measures: tuple[str, ...], over: str, under: str) -> str:
        width = len(self.labels)
        rows = [label + self.after_label[:-1] + self.bars[0] for label in self.labels]
        below = " " * len(rows[0])
        letters = iter(under)
        for number, measure in enumerate(measures):
            rows = [row + self.dash * self.padding for row in rows]
            below += " " * self.padding
            for stroke in measure.split():
                struck = (
                    {} if stroke == "." else {int(note[0]): note[2:] for note in stroke.split("+")}
                )
                for row in range(width):
                    rows[row] += struck.get(row + 1, "").ljust(self.column, self.dash)
                if under:
                    below += (next(letters) if stroke != "." else " ").ljust(self.column)
            last = number == len(measures) - 1
            rows = [row + (self.bars[1] if last else "|") for row in rows]
            below += " "
        lines = [] if not over else [over]
        lines += rows
        if under:
            lines.append(below.rstrip())
        return "\n".join(lines)


PINCHES = "4:0+1:0 . 4:0+1:0 . 4:0+1:0 . 4:0+1:0 ."
FORWARD = "3:0 2:0 1:0 5:0 2:0 1:0 5:0 1:0"
BACKWARD = "1:0 2:0 5:0 1:0 2:0 5:0 1:0 5:0"
REVERSE = "3:0 2:0 1:0 5:0 1:0 2:0 3:0 1:0"
THUMBS = "3:0 2:0 5:0 1:0 4:0 2:0 5:0 1:0"
PAIRED = "4:0 2:0 5:0 2:0 1:0 2:0 3:0 2:0"
HAMMER = "3:2 . 2:0 . 3:3 2:0 5:0 1:0"
SLIDE = "3:2 . 3:4 . 2:0 . 1:0 ."
WALK = "4:0 . 4:2 . 4:4 . 3:0 ."
BUMP = "3:0 . 1:0 5:0 2:0 . 1:0 5:0"
UPPER = "3:5 2:5 5:0 1:5 3:5 2:5 5:0 1:5"
TWELVE = "3:12 2:12 1:12 5:0 2:12 1:12 5:0 1:12"
LONG = "3:0 . . . 2:0 . . ."

NUMBERED = Sheet(
    name="numbered",
    title="Five for the right hand",
    head="Five for the right hand\nTuning: gDGBD\nTime: 4/4",
    exercises=(
        Exercise("1. Pinch on every beat", ((PINCHES, PINCHES),)),
        Exercise("2. Forward", ((FORWARD, FORWARD),)),
        Exercise("3. Backward", ((BACKWARD, BACKWARD),)),
        Exercise("4. Forward and back", ((REVERSE, REVERSE),)),
        Exercise("5. Alternating thumb", ((THUMBS, THUMBS),)),
    ),
)

NAMED = Sheet(
    name="named",
    title="Week two",
    head="Title: Week two\nTuning: open G\nTime: 4/4",
    column=3,
    exercises=(
        Exercise(
            "Exercise 1: Thumb and index", ((PAIRED, PAIRED),), over="   G", under=("TI" * 8,)
        ),
        Exercise(
            "Exercise 2: The same, up the neck", ((UPPER,),), over="   C", under=("TITMTITM",)
        ),
        Exercise("Exercise 3: Forward roll", ((FORWARD, FORWARD),), under=("TIMTIMTM" * 2,)),
        Exercise("Exercise 4: Pinches between", ((FORWARD, PINCHES),)),
    ),
)

BARE = Sheet(
    name="bare",
    title="",
    head="",
    labels=("",) * 5,
    padding=0,
    exercises=(
        Exercise("Forward roll", ((FORWARD, FORWARD),), under=("TIMTIMTM" * 2,)),
        Exercise("Backward roll", ((BACKWARD, BACKWARD),), under=("MITMITMT" * 2,)),
        Exercise("Forward-reverse", ((REVERSE, REVERSE),), under=("TIMTMITM" * 2,)),
        Exercise("Alternating thumb", ((THUMBS, THUMBS),), under=("TITMTITM" * 2,)),
        Exercise("Pinches", ((PINCHES, PINCHES),)),
    ),
)

BRACKETED = Sheet(
    name="bracketed",
    title="RIGHT HAND ONLY",
    head="RIGHT HAND ONLY\n\ngDGBD, 4/4 time",
    gap="\n\n",
    exercises=(
        Exercise("1) Thumb alone", ((LONG, LONG),), before="Keep the hand still."),
        Exercise("2) Thumb walks", ((WALK, WALK),), before="Say the names of the strings."),
        Exercise(
            "3) Both together",
            ((FORWARD, WALK), (FORWARD, LONG)),
            before="Slowly, then a little less.",
        ),
    ),
    remarks=(
        "Keep the hand still.",
        "Say the names of the strings.",
        "Slowly, then a little less.",
    ),
)

LETTERED = Sheet(
    name="lettered",
    title="Loops",
    head="Loops\nTuning: gDGBD",
    bars=("|:", ":|"),
    exercises=(
        Exercise("a) forward", ((FORWARD,),)),
        Exercise("b) backward", ((BACKWARD,),)),
        Exercise("c) pinch", ((PINCHES,),)),
        Exercise("d) thumb on the fourth", ((PAIRED,),)),
        Exercise("e) at the fifth fret", ((UPPER,),)),
        Exercise("f) at the twelfth fret", ((TWELVE,),)),
    ),
)

UNDERLINED = Sheet(
    name="underlined",
    title="Larkspur Ferry, first lesson",
    head="Larkspur Ferry, first lesson\n============================\n\nTuning: gDGBD\nTime: 4/4",
    column=4,
    exercises=(
        Exercise("Ex. 1 - Slides", ((SLIDE, SLIDE),), typed="Ex. 1 - Slides\n--------------"),
        Exercise("Ex. 2 - Walks", ((WALK, WALK),), typed="Ex. 2 - Walks\n-------------"),
        Exercise("Ex. 3 - Rolls", ((FORWARD, REVERSE),), typed="Ex. 3 - Rolls\n-------------"),
    ),
    foot="Ten minutes each day.",
    remarks=("Ten minutes each day.",),
)

HASHED = Sheet(
    name="hashed",
    title="Drills for Tuesday",
    head="Drills for Tuesday\nTime: 4/4",
    labels=("d", "b", "g", "d", "g"),
    padding=2,
    exercises=(
        Exercise("#1 Index on two", ((PAIRED, PAIRED),)),
        Exercise("#2 Hammer-ons", ((HAMMER, HAMMER),)),
        Exercise("#3 Slides:", ((SLIDE, SLIDE),)),
        Exercise("#4 Rest and listen", ((LONG, LONG),)),
    ),
)

LOUD = Sheet(
    name="loud",
    title="Drone string drills",
    head="Drone string drills\nStyle: down-picking\nTuning: sawmill\nTime: 4/4",
    labels=("D", "C", "G", "D", "G"),
    exercises=(
        Exercise(
            "DRILL ONE: THE STROKE", ((BUMP, BUMP),), before="Nail on the beat, then the brush."
        ),
        Exercise("DRILL TWO: THE THUMB", ((THUMBS, BUMP),), before="The thumb rests on the fifth."),
        Exercise("DRILL THREE: BOTH", ((BUMP, THUMBS, BUMP, LONG),), before="Keep it even."),
    ),
    remarks=("Nail on the beat, then the brush.", "The thumb rests on the fifth.", "Keep it even."),
)

GUITAR = Sheet(
    name="guitar",
    title="Guitar, fingers one by one",
    head="Guitar, fingers one by one\nInstrument: guitar\nTime: 4/4",
    labels=("e", "B", "G", "D", "A", "E"),
    exercises=(
        Exercise("No. 1", (("6:0 . 3:0 . 2:0 . 3:0 .",) * 2,)),
        Exercise("No. 2", (("5:3 . 3:0 . 2:1 . 3:0 .",) * 2,)),
        Exercise("No. 3", (("6:3 . 3:0 . 2:0 . 1:3 .",) * 2,)),
        Exercise("No. 4", (("6:0 . 6:1 . 6:2 . 6:3 .", "5:0 . 5:1 . 5:2 . 5:3 ."),)),
    ),
)

CHANGES = Sheet(
    name="changes",
    title="Changing chords",
    head="Changing chords\nTuning: gCGBD\nTime: 4/4\n\nRepeat each one four times.",
    labels=("D", "B", "G", "C", "g"),
    exercises=(
        Exercise(
            "C to F and back",
            (("4:0 2:1 5:0 2:1 1:2 2:1 3:0 2:1", "4:0 2:1 5:0 2:1 1:3 2:1 3:2 2:1"),),
            over="   C                 F",
        ),
        Exercise(
            "C to G and back",
            (("4:0 2:1 5:0 2:1 1:2 2:1 3:0 2:1", "4:2 2:0 5:0 2:0 1:0 2:0 3:0 2:0"),),
            over="   C                 G",
        ),
        Exercise(
            "All three in a row",
            (
                (
                    "4:0 2:1 5:0 2:1 1:2 2:1 3:0 2:1",
                    "4:0 2:1 5:0 2:1 1:3 2:1 3:2 2:1",
                    "4:2 2:0 5:0 2:0 1:0 2:0 3:0 2:0",
                    "4:0 2:1 5:0 2:1 1:2 2:1 3:0 2:1",
                ),
            ),
            over="   C                 F                 G                 C",
        ),
    ),
    remarks=("Repeat each one four times.",),
)

SHEETS = (
    NUMBERED,
    NAMED,
    BARE,
    BRACKETED,
    LETTERED,
    UNDERLINED,
    HASHED,
    LOUD,
    GUITAR,
    CHANGES,
)
