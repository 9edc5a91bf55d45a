"""Work in processes of its own, so that what aborts, hangs or eats memory costs one task.

with Workers(2, seconds=60, memory=GIGABYTE) as workers:
    future = workers.submit(work, "tune.txt")
    try:
        print(future.result())
    except WorkerLost as lost:
        print(lost.reason)  # "died", "too slow" or "too much memory"
"""

from rollstave.workers.inside import GIGABYTE, MEGABYTE
from rollstave.workers.lost import CannotStart, WorkerLost
from rollstave.workers.pool import Workers, cores

__all__ = ["GIGABYTE", "MEGABYTE", "CannotStart", "WorkerLost", "Workers", "cores"]
