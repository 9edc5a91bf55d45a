"""Sentences with the facts that they state, by persons who had not seen the code.

A line of ``dev.jsonl`` and ``held.jsonl`` has a ``text``, its ``facts`` ({} where it states none)
and the ``person`` in whose manner it is written. The persons of the two files are different, so
that ``held`` tells of people whom nobody has met; it is reported on in totals only. The truth is
the author's judgement (common practice, no source).
"""
