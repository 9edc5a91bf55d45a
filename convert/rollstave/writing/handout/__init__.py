"""Hand-outs: headed exercises on pages, with words, chord shapes and charts between them.

``records.py`` says what a hand-out is, ``joining.py`` makes one score of its exercises, which is
engraved, played and typed like any other, ``blocks.py`` and ``pages.py`` put it on pages.
"""
