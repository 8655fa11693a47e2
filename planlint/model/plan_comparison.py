"""What a plan says, wherever in its text that stands: two texts of one plan are held against one another by it."""

from dataclasses import fields, is_dataclass

from planlint.model.plan import Join, Part
from planlint.model.provenance import Provenance
from planlint.text.source import PlanText, Span

AS_WRITTEN = frozenset({"written"})
"""Fields that keep the words themselves."""


def comparable(thing: object) -> object:
    """A plan, or a thing of one, by all its fields but for places in the text: equal where the same is said.

    A part that something else is told of counts by its name; in which order the placings of a join stand, not at all.
    """
    if isinstance(thing, Span | PlanText | Provenance):
        return None
    if isinstance(thing, tuple):
        return tuple(map(comparable, thing))
    if not is_dataclass(thing):
        return thing
    told: dict[str, object] = {}
    for each in fields(thing):
        value = getattr(thing, each.name)
        if each.name not in AS_WRITTEN:
            told[each.name] = value.name if isinstance(value, Part) else comparable(value)
    if isinstance(thing, Join):
        told["placings"] = frozenset(map(comparable, thing.placings))
    return type(thing), tuple(told.values())
