"""What is told beside a report."""

import sys


def tell(words: str) -> None:
    """Words on standard error, in which no name steers a terminal or speaks to a build server that keeps the log."""
    from planlint.reports.safe_words import inert, visible  # noqa: PLC0415 - most runs say nothing

    shown = "\n".join(map(visible, words.split("\n")))
    print(f"planlint: {inert(shown)}", file=sys.stderr)
