"""How many threads the library of linear algebra may start: none of its own."""

import os


def one_thread() -> None:
    """Called before numpy is imported. Its library else keeps a thread for each core, which wait for one another longer
    than matrices of our size take (measured: 40 times), while plans are inspected on all cores already; and each asks
    for memory that a plan's limit does not have. Who has told it how many keeps that."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
