"""Calls that ask for what there is not, told with what is nearest to it."""

import argparse
from collections.abc import Callable, Iterable

from planlint.model.nearest_name import nearest
from planlint.text.measures import in_words


class CallWrong(Exception):  # noqa: N818 - it is the call that is wrong
    """The command line asks for something that there is not; the message says what instead."""


def one_of(*words: str) -> Callable[[str], str]:
    """The reader of a word that is one of several."""

    def check(word: str) -> str:
        if word in words:
            return word
        otherwise = f"say {in_words(words, 'or')}"
        raise argparse.ArgumentTypeError(
            f"there is no {call_word(word)}; {nearest_or(word, words, otherwise)}"
        )

    return check


def add_form(
    parser: argparse.ArgumentParser, *forms: str, usual: str | None = None, behind: str = ""
) -> None:
    """The option that says in which form a command tells or writes what it has to."""
    told = f"{in_words(forms, 'or')}{behind}"
    parser.add_argument("--as", dest="form", metavar="FORM", default=usual, type=one_of(*forms), help=told)


def nearest_or(word: str, known: Iterable[str], otherwise: str) -> str:
    """What is offered for a word that is not known."""
    near = nearest(word, known)
    return f"the nearest is {near}" if near else otherwise


def call_word(word: str) -> str:
    """A word of the call, so that it can steer no terminal and fill no screen."""
    return (
        ascii(word if len(word) <= 60 else f"{word[:60]}...") if not word.isprintable() else f"'{word[:60]}'"
    )
