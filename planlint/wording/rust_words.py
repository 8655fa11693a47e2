"""The words for screws that rust."""

from planlint.checks.corrosion import Rusting
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.text.measures import listed
from planlint.wording.finding_text import Told


def corrosion(_piece: Piece, _found: Finding, fact: Rusting) -> Told:
    kinds = {each.kind for join in fact.joins for each in join.fastenings if each.driven}
    what = "screws" if kinds <= {"screws"} else "fasteners"
    screws = f"{what} that are {fact.metal}" if fact.metal else f"plain {what}"
    woods = listed(list(dict.fromkeys(part.stock.material.name for part in fact.parts)), 3)
    joints = f"{len(fact.joins)} joint{'s' if len(fact.joins) > 1 else ''}"
    where = f"{listed([part.name for part in fact.parts], 4)} ({woods}), at {joints}"
    if fact.why == "treated":
        return Told(
            f"{screws.capitalize()} go into treated wood, {where}: its preservative eats steel and plated zinc.",
            [
                f"Use stainless or hot-dip galvanized {what}, and say so under `plan`: `screws stainless`.",
                "Follow the maker of the wood, and local codes where they ask for more.",
            ],
        )
    stains = (
        "steel turns the wood blue-black where it gets wet, and rusts"
        if fact.why == "tannin"
        else ("steel rusts in the weather, and weakens the wood round it")
    )
    return Told(
        f"{screws.capitalize()} stand outdoors in {where}: {stains}.",
        [
            f"Use stainless {what}, or {what} coated for use outdoors, and say so under `plan`: `screws stainless`."
        ],
    )
