"""Instruments, tunings and how a fret becomes a pitch.

``model`` has the shapes of the data, ``table`` the data, ``tunings`` the reading of a tuning
that somebody typed, ``setup`` the rules from string and fret to pitch.
"""
