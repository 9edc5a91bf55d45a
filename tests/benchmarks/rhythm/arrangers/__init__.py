"""Arrangers written without sight of the solver: melody alone, with drone fills, and in rolls.

Each has ``arrange(tune, rng)``. The project's own are ``arrange.py`` and ``rolls.py`` in the folder
above; ``people.py`` names all.
"""
