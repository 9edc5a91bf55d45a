"""Other versions of generated tunes, held against a baseline and against what must be so.

``python -m tests.benchmarks.arranging`` prints the report.
"""
