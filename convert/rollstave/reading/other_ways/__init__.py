"""Tab that is typed in other ways than rows of dashes, brought to such rows.

``ways.ways`` gives the table: what each is called, and a function of the lines that gives the text
in rows and for each of its lines the line of the file that it came from (0 for none), or None.
"""
