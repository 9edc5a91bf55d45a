"""Tabs that the tests of the plugins put into pages."""

ROLL = """\
Title: Ferry Roll
Tuning: gDGBD
Time: 4/4

D |-------0-------0-|-------0-------0-|
B |---0-------0-----|---1-------1-----|
G |-0-------0-------|-0-------0-------|
D |-----------------|-----------------|
g |-----0-------0---|-----0-------0---|
"""
# Fret 3 of the short string does not exist: the string starts beside fret 5 (common practice).
# It stands in the last line, column 9.
WRONG = """\
Tuning: gDGBD
Time: 4/4

D |-0---2---|
B |---1-----|
G |---------|
D |---------|
g |-----3---|
"""
WRONG_LINE, WRONG_COLUMN = 8, 9


def indented(text: str, by: int) -> str:
    """The text so many spaces further in."""
    return "".join(" " * by + line if line.strip() else line for line in text.splitlines(True))
