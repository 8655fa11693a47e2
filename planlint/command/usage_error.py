"""Calls that ask for what there is not."""

from __future__ import annotations


class CallWrong(Exception):  # noqa: N818 - it is the call that is wrong
    """The command line asks for something that there is not; the message says what instead."""
