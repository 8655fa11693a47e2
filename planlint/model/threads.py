"""Which thread suits which wood: the wood that takes the thread decides."""

from __future__ import annotations

from planlint.model.timber import Material
from planlint.rulebook.limits import Limits


def suited_thread(material: Material, limits: Limits) -> str:
    """``"fine"`` for solid hardwood as dense as the rule thread-mismatch says, or ``"coarse"``.

    Plywood and boards made of chips or fibres take a coarse thread, common practice.
    """
    if material.kind != "hardwood" or material.specific_gravity is None:
        return "coarse"
    return "fine" if material.specific_gravity >= limits["thread-mismatch", "specific gravity"] else "coarse"
