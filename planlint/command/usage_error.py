"""Calls that ask for what there is not, and what commands are told with."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import argparse

    Commands = argparse._SubParsersAction[Any]
    """What a command is added to."""
    OneOf = Callable[..., Callable[[str], str]]
    """Makes the reader of a word that is one of several."""


class CallWrong(Exception):  # noqa: N818 - it is the call that is wrong
    """The command line asks for something that there is not; the message says what instead."""
