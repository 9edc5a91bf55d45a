"""Rows of a tab: which lines are rows, which rows are a system, where its measures are."""
