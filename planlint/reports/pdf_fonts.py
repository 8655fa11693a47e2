"""Words of PDFs in the fonts that have their characters, by reportlab (the extras ``draw`` and ``sheet``)."""

from contextlib import suppress
from functools import cache
from html import escape
from typing import Any

from planlint.reports.safe_words import visible
from planlint.reports.sheet_section import unbroken


@cache
def _fonts() -> dict[bool, dict[str, Any]]:
    """By whether it is bold, fonts in the order in which they are asked, each with the characters that it has. Both of
    the first lie in the package of reportlab itself, and may be handed on."""
    from reportlab.pdfbase import pdfmetrics  # noqa: PLC0415
    from reportlab.pdfbase.ttfonts import TTFont  # noqa: PLC0415

    files = {False: {"Vera": "Vera.ttf"}, True: {"VeraBold": "VeraBd.ttf"}}
    with suppress(ImportError):
        import font_roboto  # noqa: PLC0415 - for Greek, Cyrillic and further Latin letters

        files[False]["Roboto"], files[True]["RobotoBold"] = font_roboto.Roboto, font_roboto.RobotoBold
    for name, file in (each for named in files.values() for each in named.items()):
        pdfmetrics.registerFont(TTFont(name, file))
    return {
        bold: {name: pdfmetrics.getFont(name).face.charToGlyph for name in named}
        for bold, named in files.items()
    }


def font_runs(words: str, bold: bool = False) -> list[tuple[str, str]]:
    """Words by the fonts that have their characters; those that none has are written out, as a terminal report does."""
    fonts = _fonts()[bold]
    first = next(iter(fonts))
    found: list[tuple[str, str]] = []
    for c in unbroken(visible(words)):
        font = next((name for name, known in fonts.items() if ord(c) in known), None)
        run = c if font is not None else f"\\u{ord(c):04x}"
        if found and found[-1][0] == (font or first):
            run = found.pop()[1] + run
        found.append((font or first, run))
    return found


CODES = "What reads \\u and a number is a letter that no font of this file has; as HTML it stands as it is."
"""What is said once in a file in which words are written out."""


def letters_written_out(words: str, bold: bool = False) -> str:
    """Words as they stand on paper where a letter of theirs has no font; else nothing."""
    found = "".join(run for _, run in font_runs(words, bold))
    return found if len(found) > len(visible(words)) else ""


def marked_up(words: str, bold: bool = False) -> str:
    """The same as what reportlab's paragraphs read."""
    return "".join(f'<font name="{font}">{escape(run)}</font>' for font, run in font_runs(words, bold))


def points_wide(words: str, size: float, bold: bool = False) -> float:
    from reportlab.pdfbase.pdfmetrics import stringWidth  # noqa: PLC0415

    return sum(float(stringWidth(run, font, size)) for font, run in font_runs(words, bold))


def write(
    canvas: Any, at: tuple[float, float], words: str, size: float, anchor: str, bold: bool = False
) -> None:
    """Words on a canvas, or what is drawn like one; ``anchor`` is ``start``, ``middle`` or ``end``."""
    share = {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
    x = at[0] - share * points_wide(words, size, bold)
    for font, run in font_runs(words, bold):
        canvas.setFont(font, size)
        canvas.drawString(x, at[1], run)
        x += canvas.stringWidth(run, font, size)
