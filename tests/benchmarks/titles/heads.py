"""Lines that people put over the title of a tune, and what they put around it: for texts whose
title is known, typed once more under another head. All of it is invented.
"""

from __future__ import annotations

from random import Random

_PEOPLE = (
    *("Edda Marsh", "Nils Hagenow", "Wilma Stroud", "Tobias Rook", "Fenella Birch", "J. Appleyard"),
    *("Aunt Hedwig", "Mr. Colebrook", "Ines P. Varga", "Rosamund", "Joris", "Sigrun Dahl"),
)
_PLACES = (
    *("the Anchor", "the village hall", "the old pump house", "St Bride's", "the harbour office"),
    *("Mill Street", "Ropewalk Lane", "the tea room", "room 4"),
)
_GROUPS = (
    *("Riverside Pickers", "Mill Street Ukulele Society", "Monday Fiddle Circle", "BANJO CLASS"),
    *("Harbour String Band", "Larkspur Ferry School of Music", "Junior Mandolin Group"),
    *("Old-Time Society of the Lower Marsh", "STRUM GROUP", "Kitchen Music Circle", "Guitar Club"),
)
_DAYS = ("Monday", "Wednesday", "Thursday evening", "first Friday", "Sunday after church")
_INSTRUMENTS = ("banjo", "guitar", "mandolin", "ukulele", "tenor banjo", "fiddle", "bass")

_OVER = (
    "{group}, {day}, {place}",
    "{group} - {day}",
    "{group}",
    "{group}: {day}, upstairs at {place}",
    "The {group} meets at {place}",
    "*** {group} - bulletin no. {n} ***",
    "{group}, newsletter {n}",
    "Spring Recital at {place}",
    "Harvest Supper in {place}",
    "SONGS FOR THE HARVEST SUPPER",
    "Summer Camp Songbook",
    "Open stage, {n}th of May",
    "Evening of music for {person}",
    "Set {n}, second half",
    "Number {n} on the list",
    "Item {n}",
    "Folder of {person}",
    "Property of {person}, do not fold",
    "Practice sheet for {person}, lesson {n}",
    "Exercise book of {person}, {n}th week",
    "Homework for {person}",
    "Piece for week {n}",
    "TUNE FOR {day}",
    "TODAY'S TUNE",
    "THIS WEEK'S SONG",
    "The new tune",
    "Song of the week",
    "PIECE OF THE TERM",
    "NUMBER ONE FOR BEGINNERS",
    "Next {day}",
    "From: {person}",
    "To: {group}",
    "Author: {person}",
    "Contributor: {person}",
    "Player: {person}",
    "Typed by {person}",
    "From {person}, with thanks",
    "Tab from {person}, {day}",
    "{person}",
    "{person}, {place}",
    "Hi {person},",
    "Dear {person}",
    "Here is the one I promised.",
    "Can somebody check the second half?",
    "{Instrument} tab",
    "TAB FOR {INSTRUMENT}",
    "{Instrument} group",
    "LOW STRINGS NOTES, by {person}",
    "{INSTRUMENT} CORNER",
    "THE {INSTRUMENT} PAGE",
    "Lesson {n}",
    "Handout {n}",
    "Page {n}",
)
_TITLES = (
    *("{t}",) * 6,
    '"{t}"',
    '"{t}" by {person}',
    '"{t}", a waltz by {person}',
    '"{t}" - made by {person} for {place}',
    "Handout {n}: {t}",
    "song no. {n}: {t}",
    "lesson sheet {n}: {t}",
    "My song: {t}",
    "Our new tune: {t}",
    "This week: {t}",
    "Second {instrument} - {t}",
    "{INSTRUMENT} PART - {t}",
    "RHYTHM {INSTRUMENT} - {t}",
    "{Instrument} part: {t}",
    "Next up: {t}",
    "=== {t} ===",
    "[ {t} ]",
    "{t} (trad.)",
    "{t} by {person}",
    "the tune is called {t}",
)


def under_another_head(lines: list[str], at: int, title: str, random: Random) -> list[str]:
    """The lines of a text whose line ``at`` is its title, with other lines over it, and it may be
    dressed or part of a line."""
    said = {
        "n": random.randint(2, 9),
        "person": random.choice(_PEOPLE),
        "place": random.choice(_PLACES),
        "group": random.choice(_GROUPS),
        "day": random.choice(_DAYS),
        "instrument": (instrument := random.choice(_INSTRUMENTS)),
        "Instrument": instrument.capitalize(),
        "INSTRUMENT": instrument.upper(),
        "t": title.upper() if random.random() < 1 / 6 else title,
    }
    over = [form.format(**said) for form in random.sample(_OVER, random.choice((1, 1, 1, 2, 2, 3)))]
    over = [x.upper() if random.random() < 1 / 8 else x for x in over]
    gaps = [[""] if random.random() < 1 / 2 else [] for _ in over]
    own = lines[at].replace(title, random.choice(_TITLES).format(**said), 1)
    return [
        *lines[:at],
        *(x for line, gap in zip(over, gaps, strict=True) for x in (line, *gap)),
        own,
        *lines[at + 1 :],
    ]
