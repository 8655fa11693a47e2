"""What a screw, a nail or a bolt may carry: pulled along itself, pushed across, and both together.

Figures and their sources: ``rules/figures/screws.toml``. Allowed loads under normal duration, dry. The NDS was not
written for furniture, nor for screws aslant through a pocket: its equations are used as the nearest thing published.
"""

from math import ceil, hypot, pi, sqrt
from typing import NamedTuple

from planlint.geometry.joint_facts import Screw
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import dot
from planlint.model.fastener_sizes import NAILS
from planlint.model.timber import Material
from planlint.rulebook.figure_tables import figures
from planlint.rulebook.limits import NIL
from planlint.statics.wood_strength import Figure, gravity, screw_gravity
from planlint.text.rounding import TOUCH

ALONG_GRAIN = 0.87
"""Cosine of the angle to the grain within which a screw counts as driven into end grain: 30 degrees. Basis: our own
judgement."""
NEWTON = 0.224809
"""Pounds in a newton."""
TESTED_GAUGE = 0.190
"""Inches: the No. 10 screw of panel makers' tests."""


_LARGE = 0.25
"""Inches from which on the direction of the grain counts: NDS 2018, table 12.3.3."""


class Allowed(NamedTuple):
    """Pounds that a screw may carry: ``along`` pulled, ``across`` pushed; and what they rest on."""

    along: float | None
    """``None`` where no figure is published: then what pulls on it is not judged."""
    across: float
    basis: str
    head: bool = False
    """Whether it is the head that would pull through first."""
    nail: bool = False

    def used(self, along: float, across: float) -> float:
        """The share of what it may carry: 1 is all of it. NDS 2018, equation 12.4-1, turned into a share; of nails
        12.4-2."""
        if self.along is None:
            return across / self.across
        pull = max(0.0, along)
        if self.nail:
            return pull / self.along + across / self.across
        together = hypot(pull, across)
        return (pull * pull / self.along + across * across / self.across) / together if together else 0.0


def allowed(piece: Piece, screw: Screw) -> Allowed | None:
    """What a screw of the piece may carry: a part of the breaking load where no design value is published. ``None``
    where nothing is known of the wood."""
    drilled, into = screw.pocket.part.stock.material, screw.pocket.into.stock.material
    bite, under = screw_gravity(into), screw_gravity(drilled)
    grip, end = piece.grip(screw), _in_end_grain(piece, screw)
    if grip <= 0:
        return None  # It reaches nothing to hold in: other rules tell that.
    if screw.thread in {"nails", "bolts"}:
        main, side = _for_bearing(into, bite), _for_bearing(drilled, under)
        if main is None or side is None:
            return None
        if screw.thread == "bolts":
            return _bolted(screw, main, side, grip, end=end)
        return _nailed(screw, main, side, grip, end=end, solid=bite is not None and under is not None)
    edge = not screw.pocket.into.is_face(piece.entered(screw.pocket))
    board = board_withdrawal(into, screw.diameter, grip, edge=edge)
    pulled = board or (withdrawal(into, screw.diameter, grip, end=end) if bite is not None else None)
    if pulled is None:
        return None
    if pulled.breaks:
        safety = piece.limits.limit("joint-overload", "safety")
        times = f"over {safety.value:g}{f' ({safety.told})' if safety.shop else ''}"
        pulled = Figure(pulled.value / safety.value, f"{pulled.basis}, {times}", breaks=True)
    g = _for_bearing(into, bite), _for_bearing(drilled, under)
    if g[0] is None or g[1] is None:
        return None
    across = lateral(g[0], g[1], _gauge(screw), screw.diameter, grip, screw.pocket.setback)
    if end:
        across *= float(figures("screws")["lateral"]["end_grain"])
    held = pulled.value
    head = False
    if drilled.panel:
        through = pull_through(g[1], _gauge(screw), screw.pocket.setback)
        head, held = through < held, min(held, through)
    if held <= 0 or across <= 0:
        return None
    basis = "judgement" if pulled.breaks else "published source"
    return Allowed(held, across, f"{basis}: pulled, {pulled.basis}; {_ACROSS}", head)


def _nailed(screw: Screw, main: float, side: float, grip: float, *, end: bool, solid: bool) -> Allowed:
    """A nail across by its whole thickness, and pulled where its wood has a figure and its grain lies across it."""
    table, d = figures("screws"), screw.diameter or usual_nail(screw.length)
    under = screw.pocket.setback
    across = _across(main, side, d, d, grip, under) * (table["lateral"]["end_grain"] if end else 1.0)
    if end or not solid:
        return Allowed(None, across, f"{_ACROSS}; for what pulls on it no figure is published", nail=True)
    nail = table["nail_withdrawal"]
    held = nail["psi"] * main ** nail["power"] * d * grip
    head = next(row["head"] for row in table["nail_head"] if d <= row["thick"] + NIL)
    through = _pulled_through(side, head, under)
    basis = f"published source: pulled, {nail['from']}, recalled from memory; {_ACROSS}"
    return Allowed(min(held, through), across, basis, through < held, nail=True)


def _bolted(screw: Screw, main: float, side: float, grip: float, *, end: bool) -> Allowed:
    """A bolt across, as if its load ran across the grain of both woods; what its nut or insert bears is not told."""
    d = screw.diameter
    across = _across(main, side, d, d, grip + d, screw.pocket.setback, bolt=True)
    across *= figures("screws")["lateral"]["end_grain"] if end else 1.0
    return Allowed(None, across, f"{_ACROSS}; for what pulls on it no figure is published")


def usual_nail(length: float) -> float:
    """How thick a common nail of a length is, in inches, where the plan does not say it."""
    return next((thick for long, thick in reversed(NAILS.values()) if long <= length + NIL), NAILS[2][1])


_ACROSS = "across, NDS 2018, tables 12.3.1"


def _gauge(screw: Screw) -> int:
    """Its number; one that is told by its thickness has the number of that."""
    return screw.gauge or round((screw.diameter - 0.060) / 0.013)


def _for_bearing(material: Material, found: Figure | None) -> float | None:
    """G for bearing: of MDF and particleboard, of which the NDS has none, that of the lightest plywood. Basis: our own
    judgement."""
    if found is not None:
        return found.value
    return 0.42 if material.panel else None


def _in_end_grain(piece: Piece, screw: Screw) -> bool:
    """Whether a screw is driven along the grain of a solid part."""
    part = screw.pocket.into
    cosine = abs(dot(screw.pocket.direction, piece.body(part).grain))
    return part.stock.material.solid and cosine > ALONG_GRAIN


def withdrawal(material: Material, diameter: float, grip: float, *, end: bool) -> Figure | None:
    """Pounds to pull a screw, by its thread in the wood; ``end``: from end grain. Where the NDS has no design value,
    what tears it out."""
    table = figures("screws")
    nds, ultimate = table["withdrawal"], table["withdrawal_ultimate"]
    g, dry = screw_gravity(material), gravity(material)
    if g is None or dry is None:
        return None
    if end:
        pounds = ultimate["psi"] * dry.value**2 * diameter * grip * ultimate["end_grain"]
        return Figure(pounds, ultimate["end_grain_from"], breaks=True)
    if grip < nds["least_diameters"] * diameter - NIL:
        pounds = ultimate["psi"] * dry.value**2 * diameter * grip
        return Figure(pounds, f"{ultimate['from']}, from memory", breaks=True)
    return Figure(nds["psi"] * g.value**2 * diameter * grip, nds["from"])


def board_withdrawal(material: Material, diameter: float, grip: float, *, edge: bool) -> Figure | None:
    """Pounds at which a screw is torn from the face or the edge of MDF or particleboard; ``None`` for other woods."""
    rows = figures("screws")["panel_withdrawal"]
    kind = {"fibreboard": "medium-density fibreboard", "particleboard": "particleboard"}.get(material.kind)
    if kind is None:
        return None
    row = rows[kind]
    pounds = row["edge" if edge else "face"] * NEWTON * diameter / TESTED_GAUGE * min(grip, 1.0)
    return Figure(pounds, f"{row['from']}, recalled from memory", breaks=True)


def pull_through(g: float, gauge: int, under: float) -> float:
    """Pounds to pull a head through so much wood under it: NDS 2018, 12.2-6."""
    return _pulled_through(g, _row(gauge)["head"], under)


def _pulled_through(g: float, head: float, under: float) -> float:
    table = figures("screws")["pull_through"]
    return min(float(table["thin"] * pi * head * g**2 * under), float(table["thick"] * pi * head**2 * g**2))


def lateral(g_main: float, g_side: float, gauge: int, diameter: float, grip: float, side: float) -> float:
    """Pounds across a screw by the yield limit equations; ``grip`` in the main member with its point, ``side`` of wood
    under the head. Its root counts, and of the point half."""
    return _across(g_main, g_side, float(_row(gauge)["root"]), diameter, grip, side)


def _across(
    g_main: float, g_side: float, d: float, diameter: float, grip: float, side: float, *, bolt: bool = False
) -> float:
    table = figures("screws")
    rows = table["bending_yield"]
    yields = (
        table["bolt"]["yield_psi"]
        if bolt
        else next((row["psi"] for row in rows if diameter <= row["below"] + TOUCH), rows[-1]["psi"])
    )
    return yield_limit(
        _bearing(g_main, d), _bearing(g_side, d), d, max(grip - diameter, NIL), side, float(yields)
    )


def yield_limit(f_m: float, f_s: float, d: float, l_m: float, l_s: float, f_y: float) -> float:
    """The least of the six ways in which one pin through two woods gives way, over its reduction term: of one from
    1/4 in on loaded across the grain."""
    re, rt = f_m / f_s, l_m / l_s
    k1 = (sqrt(re + 2 * re**2 * (1 + rt + rt**2) + rt**2 * re**3) - re * (1 + rt)) / (1 + re)
    k2 = -1 + sqrt(2 * (1 + re) + 2 * f_y * (1 + 2 * re) * d**2 / (3 * f_m * l_m**2))
    k3 = -1 + sqrt(2 * (1 + re) / re + 2 * f_y * (2 + re) * d**2 / (3 * f_m * l_s**2))
    ways = (
        d * l_m * f_m,
        d * l_s * f_s,
        k1 * d * l_s * f_s,
        k2 * d * l_m * f_m / (1 + 2 * re),
        k3 * d * l_s * f_m / (2 + re),
        d**2 * sqrt(2 * f_m * f_y / (3 * (1 + re))),
    )
    term = figures("screws")["reduction"]
    if d >= _LARGE - NIL:
        return min(
            way / float(over * term["across_grain"]) for way, over in zip(ways, term["large"], strict=True)
        )
    over: float = term["small"] if d <= term["small_up_to"] else term["slope"] * d + term["start"]
    return min(ways) / over


def _bearing(g: float, d: float) -> float:
    table = figures("screws")["lateral"]
    psi: float = table["bearing_psi"] * g ** table["bearing_power"]
    if d >= _LARGE - NIL:
        psi = table["large_psi"] * g ** table["large_power"] / sqrt(d)
    steps = round(psi / 50)
    return 50.0 * steps


def _row(gauge: int) -> dict[str, float]:
    rows: list[dict[str, float]] = figures("screws")["gauge"]
    return min(rows, key=lambda row: abs(row["number"] - gauge))


def shared_by(many: int, times: float) -> int:
    """Screws that would evenly share so many times what ``many`` of them may carry: one more at least."""
    return max(many + 1, ceil(many * times))
