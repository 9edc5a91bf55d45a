"""A small Sphinx project with tabs in it."""

project = "Larkspur Ferry music school"
author = "Larkspur Ferry music school"
extensions = ["rollstave_sphinx"]
numfig = True
html_theme = "alabaster"
rollstave_strict = True
