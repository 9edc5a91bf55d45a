"""From typed text to the grid.

``decode`` turns bytes into lines, ``lines`` tells rows from words, ``headings`` reads what is said
about the tune, ``rows`` cuts a system into measures, ``strokes`` reads frets and signs, ``attach``
reads the lines above and below a system, and ``reader`` walks the file.
"""
