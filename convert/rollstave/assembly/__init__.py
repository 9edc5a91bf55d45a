"""Where rollstave is put together: the only room that sees both the contract with plugins and the
rooms that read and write.

``plugins`` has the contract of this process and turns what plugins offer into the arguments that
the rooms take; ``dialects`` translates a text; ``writers`` finds formats and calls them; ``own``
offers the project's own parts as any plugin offers its own. The rooms know nothing of plugins.
"""
