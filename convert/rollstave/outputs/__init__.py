"""Putting files in their places: whole, never over an input, never over what is not ours.

``own`` is the hidden folder beside outputs, ``ledger`` what was written there before, ``disk``
writes and keeps what is replaced, ``guard`` says whether an output may go to its place, ``place``
does it all for a few files, ``rewrite`` changes a user's own file.
"""
