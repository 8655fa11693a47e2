"""Forms of drawing that take more packages than planlint itself: what to install where they are not there."""

from collections.abc import Iterator
from contextlib import contextmanager


class ExtraNeeded(Exception):  # noqa: N818 - a refusal with its reason
    """A form needs packages that are not installed; the message says which extra brings them."""


@contextmanager
def needed(what: str) -> Iterator[None]:
    """Imports for one form of drawing."""
    try:
        yield
    except ImportError as problem:
        raise ExtraNeeded(
            f"{what} needs the extra `draw`: pip install 'planlint[draw]' ({problem})"
        ) from problem
