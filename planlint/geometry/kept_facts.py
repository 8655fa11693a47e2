"""Facts that are kept: each is worked out when first asked for, and holds as long as what it hangs on stays the same.

``of_parts`` hangs on the parts alone, ``of_sides`` on how two sides meet, ``of_joint`` on one joint as it is said,
``of_piece`` on the whole. Floors above keep theirs by the same means: a function of a piece, so marked.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from functools import cached_property, wraps
from operator import attrgetter
from typing import Any, Concatenate, ParamSpec, Protocol, TypeVar

from planlint.model.plan import Join

_T = TypeVar("_T")
_More = ParamSpec("_More")


_Answers = dict[object, Any]
"""By the question, and what else it was asked with."""


class _Unknown:
    """What is not answered yet."""


_UNKNOWN = _Unknown()


class Facts:
    """What has been answered."""

    def __init__(self) -> None:
        self.sides: defaultdict[int, _Answers] = defaultdict(dict)
        self.joints: defaultdict[int, _Answers] = defaultdict(dict)
        """Both by the number of a joint."""
        self.piece: _Answers = {}

    def take(self, other: Facts, joints: Iterable[int]) -> None:
        """Take over what is known there of sides, and of joints that are the same here."""
        self.sides = other.sides
        for index in joints:
            if index in other.joints:
                self.joints[index] |= other.joints[index]


class HasFacts(Protocol):
    """What facts are kept with: a piece."""

    @property
    def facts(self) -> Facts: ...


_Piece = TypeVar("_Piece", bound=HasFacts)


class of_parts(cached_property[_T]):  # noqa: N801 - used as a decorator
    """A fact that stays true when joints are drilled, screwed or glued otherwise, or are left out."""

    @classmethod
    def names(cls, kind: type) -> Iterator[str]:
        return (name for of in kind.__mro__ for name, each in vars(of).items() if isinstance(each, cls))


_OfJoint = Callable[Concatenate[_Piece, Join, _More], _T]


def of_sides(ask: _OfJoint[_Piece, _More, _T]) -> _OfJoint[_Piece, _More, _T]:
    """A fact of how the two sides of a joint meet: it stays true however the joint is made."""
    return _kept(ask, attrgetter("facts.sides"))


def of_joint(ask: _OfJoint[_Piece, _More, _T]) -> _OfJoint[_Piece, _More, _T]:
    """A fact of one joint as it is said, or of a row of it."""
    return _kept(ask, attrgetter("facts.joints"))


def _kept(
    ask: _OfJoint[_Piece, _More, _T], among: Callable[[_Piece], defaultdict[int, _Answers]]
) -> _OfJoint[_Piece, _More, _T]:
    @wraps(ask)
    def asked(piece: _Piece, join: Join, /, *args: _More.args, **named: _More.kwargs) -> _T:
        known = among(piece)[join.index]
        about = (ask, *args) if args else ask
        found: _T | _Unknown = known.get(about, _UNKNOWN)
        if isinstance(found, _Unknown):
            found = known[about] = ask(piece, join, *args, **named)
        return found

    return asked


def of_piece(ask: Callable[Concatenate[_Piece, _More], _T]) -> Callable[Concatenate[_Piece, _More], _T]:
    """A fact of the whole piece; what else is asked with must be hashable."""

    @wraps(ask)
    def asked(piece: _Piece, /, *args: _More.args, **named: _More.kwargs) -> _T:
        about = (ask, *args)
        known = piece.facts.piece
        if about not in known:
            known[about] = ask(piece, *args, **named)
        found: _T = known[about]
        return found

    return asked
