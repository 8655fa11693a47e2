"""What git has of a collection and did not put here: what a sparse checkout leaves out, and submodules not fetched."""

import os
from collections.abc import Collection, Iterable, Iterator
from pathlib import Path

from planlint.collection.collection_root import repository
from planlint.collection.git_knowledge import not_here


def submodules_not_here(folders: Iterable[str]) -> Iterator[str]:
    """Those in or around some folders, each once, as absolute paths. Git is asked only where there are submodules."""
    reals = [Path(folder).resolve() for folder in folders]
    for top in {top for top in map(repository, reals) if top and (top / ".gitmodules").is_file()}:
        for name in sorted(not_here(top)):
            place = top / name
            if name.endswith("/") and any(place.is_relative_to(real) for real in reals):
                yield str(place)


def not_here_of(ledger: Path, plans: Collection[str]) -> set[str]:
    """Of plans that are not found, by their names in a ledger, those that are only not checked out."""
    place = Path(os.path.realpath(ledger)).parent
    top = repository(place) if plans else None
    absent = not_here(top) if top else set()
    inside = tuple(name for name in absent if name.endswith("/"))
    below = {name: os.path.relpath(place / name, top).replace(os.sep, "/") for name in plans if absent}
    return {name for name, path in below.items() if path in absent or path.startswith(inside)}
