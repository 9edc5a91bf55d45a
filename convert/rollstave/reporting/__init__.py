"""What the commands, the archive and the bench share: files out, and what is said about a tune.

``files`` writes whole files or none; ``summary`` says what was found, for people and programs.
"""
