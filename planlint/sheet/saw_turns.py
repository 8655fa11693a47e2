"""When each cut can be made: all of one turn before the next, so that fence and stop are set the fewest times."""

from __future__ import annotations

from enum import IntEnum


class SawTurn(IntEnum):
    """Each turn needs what those before it cut."""

    BAND = 0
    """Bands crosscut from whole sheets."""
    RIP = 1
    """Strips of sheets, and parts of bands."""
    CROSSCUT = 2
    """Parts of strips and of boards, and what is too long on a band."""
    TRIM = 3
    """What is too wide on a strip or a board."""
    PLANED_RIP = 4
    PLANED_CROSSCUT = 5
    """Rough parts, to their sizes once they are planed."""

    @property
    def rips(self) -> bool:
        return self in {SawTurn.RIP, SawTurn.TRIM, SawTurn.PLANED_RIP}


def turns_of(*, along: bool) -> tuple[SawTurn, SawTurn, SawTurn]:
    """Of a sheet with strips along its grain, or across it: the strips, the parts of each, what is trimmed."""
    return (
        (SawTurn.RIP, SawTurn.CROSSCUT, SawTurn.TRIM)
        if along
        else (SawTurn.BAND, SawTurn.RIP, SawTurn.CROSSCUT)
    )
