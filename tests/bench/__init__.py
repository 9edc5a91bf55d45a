"""The teacher's bench: its parts, its server, and its page in a real browser."""
