"""Typists with habits of their own, written apart from each other and without sight of the solver.

Each has ``type_tune(tune, style, rng)`` for the styles even, pushed, sloppy, squeezed, counted and
lettered. The project's own typist is ``typist.py`` in the folder above; ``people.py`` names all.
"""
