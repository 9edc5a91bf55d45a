"""Proofreading: what a good editor would mark in a tab that can be read.

``proofread`` is the one way in. Each check is a function from a tune to its marks, in a file of
its own; ``CHECKS`` in :mod:`rollstave.proofreading.proofread` names them in order.
"""

from rollstave.proofreading.correction import Correction
from rollstave.proofreading.proofread import proofread

__all__ = ["Correction", "proofread"]
