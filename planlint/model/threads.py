"""Which thread suits which wood: the wood that takes the thread decides."""

from planlint.model.timber import Material
from planlint.rulebook.limits import Limits


def suited_thread(material: Material, limits: Limits) -> str:
    """``"fine"`` for solid hardwood as dense as the rule thread-mismatch says, or ``"coarse"``.

    Plywood and boards made of chips or fibres take a coarse thread, a hardwood without a figure (European oak, teak)
    a fine one: common practice.
    """
    if material.kind != "hardwood":
        return "coarse"
    gravity, hard_from = material.specific_gravity, limits["thread-mismatch", "specific gravity"]
    return "fine" if gravity is None or gravity >= hard_from else "coarse"
