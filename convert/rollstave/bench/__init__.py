"""The teacher's bench: a tab's text and its engraved sheet side by side in the browser.

``serve`` opens it; ``app`` has its routes and ``guard`` says who may use them; ``document`` is the
file; ``preview`` makes the sheet and the list of what is worth a look, in a worker process;
``decide`` writes a chosen rhythm under a measure of the text. The page itself is in ``static/``.
"""
