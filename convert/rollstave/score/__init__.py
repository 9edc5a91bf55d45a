"""The score: the one model that all writers share, and the decisions that go into it."""
