"""What a run was made with: reports that differ in it tell different things, and are not joined."""

from dataclasses import dataclass

from planlint import __version__


@dataclass(frozen=True)
class RunMarks:
    """Marks are hexadecimal digits; ``None`` where there is nothing to mark."""

    version: str = __version__
    settings: str | None = None
    """Of all settings files that hold for what was found."""
    ledger: str | None = None
    """Of what the ledger holds."""
    revision: str | None = None
    """The commit that was checked out."""
    plans: str | None = None
    """Of all plans of a run that was divided, their names and what is in them: parts of unlike plans make no whole."""
    rule_pages: str = ""
    """Where the settings say that pages about the rules lie."""


UNMARKED = RunMarks()
"""A run of which nothing is known but the version."""


def data_mark(data: bytes) -> str:
    """16 hexadecimal digits."""
    from hashlib import sha256  # noqa: PLC0415

    return sha256(data).hexdigest()[:16]
