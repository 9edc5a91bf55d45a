"""A whole archive of tabs at once: found, named, converted in workers, placed, reported.

    sources ──▶ names ──▶ run ──▶ workers (task: read, convert, stage) ──▶ placing ──▶ report
                           ▲                                                  │
                           └───────────────────── state ◀─────────────────────┘

``model`` has what flows; ``making`` is one file to bytes, shared with plain conversion.
"""
