"""Data only: what each thing is called, one row for each, for all who deal with it."""
