"""From typed text to the grid.

``page`` turns bytes into lines, ``rows`` tells rows from words and cuts systems into measures,
``cells`` reads frets and signs, ``beside`` the lines over and under a system, ``words`` what is
said about the tune. ``stages`` has their order, which ``reader`` walks.
"""
