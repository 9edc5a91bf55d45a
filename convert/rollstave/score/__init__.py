"""The score: the one model that all writers share."""
