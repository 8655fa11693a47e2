"""A sheet as SVG: the same text for the same sheet, small enough to be kept in git, numbers to 0.001 mm."""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from html import escape

from planlint.drawings.primitives import PENS, TONES, Area, Line, Sheet, Text
from planlint.drawings.viewpoints import SeenAt
from planlint.reports.safe_words import visible

FONT = "system-ui, 'DejaVu Sans', 'Liberation Sans', Arial, sans-serif"


def svg(sheet: Sheet, *, alone: bool = True) -> str:
    """The sheet as an SVG document; with ``alone`` false, as an element of a page, whose style sheet knows its classes.

    All words are escaped; there are no links, no scripts and nothing to fetch.
    """
    wide, high = _number(sheet.wide), _number(sheet.high)
    name = "".join(letter for letter in sheet.name if letter.isalnum() or letter in "-_")
    size = f'width="{wide}mm" height="{high}mm"' if alone else f'class="sheet" width="{wide}" height="{high}"'
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" {size} '
        f'role="img" aria-labelledby="{name}-t {name}-d">',
        f'<title id="{name}-t">{_safe(sheet.title)}</title>',
        f'<desc id="{name}-d">{_safe(sheet.says)}</desc>',
    ]
    if alone:
        parts.append(f"<style>{style()}</style>")
    parts.append(f'<path class="a-paper" d="M0 0H{wide}V{high}H0Z"/>')
    parts += _areas(sheet)
    parts += _lines(sheet)
    parts += [_text(item) for item in sheet.items if isinstance(item, Text)]
    parts.append("</svg>")
    return "\n".join(parts) + "\n"


def svg_of(sheets: Sequence[Sheet]) -> str:
    """Sheets as one document, under one another."""
    if len(sheets) == 1:
        return svg(sheets[0])
    wide, high = max(sheet.wide for sheet in sheets), sum(sheet.high for sheet in sheets)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_number(wide)} {_number(high)}" '
        f'width="{_number(wide)}mm" height="{_number(high)}mm">',
        f"<style>{style()}</style>",
    ]
    top = 0.0
    for sheet in sheets:
        parts += [f'<g transform="translate(0 {_number(top)})">', svg(sheet, alone=False).rstrip(), "</g>"]
        top += sheet.high
    return "\n".join([*parts, "</svg>"]) + "\n"


def style(prefix: str = "") -> str:
    """How the classes of a sheet look; tones may be given anew by custom properties of a page."""
    rules = [f"{prefix}path{{fill:none;stroke-linecap:round;stroke-linejoin:round}}"]
    for kind, pen in PENS.items():
        dashes = f";stroke-dasharray:{' '.join(map(_number, pen.dashes))}" if pen.dashes else ""
        rules.append(f"{prefix}.l-{_class(kind)}{{stroke:{_tone(pen.tone)};stroke-width:{pen.wide}{dashes}}}")
    rules += [f"{prefix}.a-{_class(tone)}{{fill:{_tone(tone)}}}" for tone in TONES]
    rules.append(f"{prefix}text{{font-family:{FONT};fill:{_tone('ink')};white-space:pre}}")
    rules += [
        f"{prefix}.b{{font-weight:bold}}",
        f"{prefix}.m{{text-anchor:middle}}",
        f"{prefix}.e{{text-anchor:end}}",
    ]
    rules.append(f"{prefix}text.t-fault{{fill:{_tone('fault')}}}")
    return "".join(rules)


def _tone(tone: str) -> str:
    return f"var(--{_class(tone)},{TONES[tone]})"


def _class(kind: str) -> str:
    return kind.replace(" ", "-")


def _areas(sheet: Sheet) -> Iterable[str]:
    """Filled areas in their order, neighbours of one tone together."""
    tone, path = "", ""
    for item in sheet.items:
        if isinstance(item, Area):
            if item.tone != tone and path:
                yield f'<path class="a-{_class(tone)}" d="{path}"/>'
                path = ""
            tone = item.tone
            path += _path(item.points, closed=True)
    if path:
        yield f'<path class="a-{_class(tone)}" d="{path}"/>'


def _lines(sheet: Sheet) -> Iterable[str]:
    paths: dict[str, list[str]] = {kind: [] for kind in PENS}
    for item in sheet.items:
        if isinstance(item, Line):
            paths[item.kind].append(_path(item.points, closed=item.closed))
    for kind, path in paths.items():
        if path:
            yield f'<path class="l-{_class(kind)}" d="{"".join(path)}"/>'


@lru_cache(maxsize=64)  # What is filled is outlined, too.
def _path(points: tuple[SeenAt, ...], *, closed: bool) -> str:
    (x, y), *rest = points
    words = [f"M{_number(x)} {_number(y)}"]
    for p, q in rest:
        if abs(p - x) < 5e-4:
            words.append(f"V{_number(q)}")
        elif abs(q - y) < 5e-4:
            words.append(f"H{_number(p)}")
        else:
            words.append(f"L{_number(p)} {_number(q)}")
        x, y = p, q
    return "".join(words) + ("Z" if closed else "")


def _text(text: Text) -> str:
    x, y = _number(text.at[0]), _number(text.at[1])
    classes = {"start": "", "middle": "m", "end": "e"}[text.anchor].split()
    classes += ["b"] * text.bold + [f"t-{_class(text.tone)}"] * (text.tone != "ink")
    marks = f' class="{" ".join(classes)}"' if classes else ""
    turn = f' transform="rotate({_number(-text.turn)} {x} {y})"' if abs(text.turn) > 0.01 else ""
    return f'<text x="{x}" y="{y}" font-size="{_number(text.size)}"{marks}{turn}>{_safe(text.words)}</text>'


def _safe(words: str) -> str:
    return escape(visible(words))


def _number(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
