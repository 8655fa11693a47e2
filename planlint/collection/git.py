"""What git knows of a collection. Everything works without git; only ``changed_since`` cannot.

Git is asked with hooks and file monitors switched off: a collection is looked at, nothing in it is run.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

_MOST_SECONDS = 120.0
"""Longest that git may take to answer. Basis: our own judgement."""


class GitFailed(Exception):  # noqa: N818 - a refusal with its reason
    """Git is not there or did not answer; the message says what it said."""


def ignored(top: Path, names: Iterable[str]) -> set[str]:
    """Those of ``names`` (paths from the repository's top) that git ignores. Raises ``GitFailed``."""
    asked = b"\0".join(b"./" + os.fsencode(name) for name in names)
    if not asked:
        return set()
    # 1 means that none of them is ignored.
    answer = _ask(top, ["check-ignore", "-z", "--stdin"], asked + b"\0", may_end_with=(0, 1))
    return {os.fsdecode(name[2:]) for name in answer.split(b"\0") if name}


def changed_since(top: Path, revision: str) -> set[str]:
    """Files (paths from the top, ``/`` between) that differ from where this work left ``revision``, and new ones.

    Compared is the working tree with the last commit that both have in common. Raises ``GitFailed``.
    """
    commit = _ask(top, ["rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}"])
    base = _ask(top, ["merge-base", commit.decode().strip(), "HEAD"]).decode().strip()
    changed = _ask(top, ["diff", "--name-only", "-z", "--no-renames", "--no-ext-diff", base, "--"])
    new = _ask(top, ["ls-files", "-z", "--others", "--exclude-standard"])
    return {os.fsdecode(name) for name in (changed + new).split(b"\0") if name}


def _ask(
    top: Path, words: list[str], given: bytes | None = None, may_end_with: tuple[int, ...] = (0,)
) -> bytes:
    import subprocess  # noqa: PLC0415 - only where there is a repository

    safe = ["-c", "core.fsmonitor=false", "-c", f"core.hooksPath={os.devnull}"]
    try:
        done = subprocess.run(
            ["git", "-C", str(top), *safe, *words],
            input=given,
            stdin=subprocess.DEVNULL if given is None else None,
            capture_output=True,
            check=False,
            timeout=_MOST_SECONDS,
            env={**os.environ, "GIT_OPTIONAL_LOCKS": "0", "LC_ALL": "C"},
        )
    except (OSError, subprocess.SubprocessError) as problem:
        raise GitFailed(f"git does not answer: {problem}") from problem
    if done.returncode not in may_end_with:
        said = done.stderr.decode("utf-8", "replace").strip().splitlines()
        raise GitFailed(said[0] if said else f"git {words[0]} ended with {done.returncode}")
    return done.stdout
