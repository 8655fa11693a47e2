"""Which thread suits which wood: the wood that takes the thread decides."""

from __future__ import annotations

from planlint.model.timber import Material

HARD_FROM_GRAVITY = 0.48
"""Solid hardwood at or above this specific gravity takes a fine thread, all else a coarse one.

Basis: our own judgement, set so that the woods that common practice names fall on the side it names
them for: fine in oak, maple, walnut, cherry and hickory (cherry, 0.50, is the lightest of them); coarse in pine.
"""


def suited_thread(material: Material, hard_from: float = HARD_FROM_GRAVITY) -> str:
    """``"fine"`` or ``"coarse"``. Plywood and boards made of chips or fibres take a coarse thread, common practice."""
    if material.kind != "hardwood" or material.specific_gravity is None:
        return "coarse"
    return "fine" if material.specific_gravity >= hard_from else "coarse"
