"""Texts typed by people who have not seen the code, with the truth written before the first run.

``python -m tests.benchmarks.unlike`` reads them all and reports; nothing is tuned on them. Each
text ``NN.txt`` has its truth in ``NN.json``; ``truth.py`` says what is in it, ``score.py``
compares.
"""
