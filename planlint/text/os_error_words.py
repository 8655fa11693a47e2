"""What the operating system refuses, in plain words."""

import errno

_WORDS = {
    errno.ENOENT: "there is no such file or folder",
    errno.ELOOP: "its links lead round in a ring",
    errno.EACCES: "you may not open it",
    errno.EPERM: "you may not do that",
    errno.EISDIR: "it is a folder",
    errno.ENOTDIR: "what should be a folder above it is a file",
    errno.ENOSPC: "the disk is full",
    errno.EROFS: "the disk can only be read",
    errno.ENAMETOOLONG: "its name is too long",
}


def refused_by_system(problem: BaseException) -> str:
    """Why a file could not be opened, read or written; in the system's own words where there are none of ours."""
    if isinstance(problem, OSError) and problem.errno in _WORDS:
        return _WORDS[problem.errno]
    return str(getattr(problem, "strerror", None) or problem)
