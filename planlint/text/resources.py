"""Where the files that ship with the tool lie: in the package once installed, beside it in a checkout."""

from pathlib import Path

PACKAGE = Path(__file__).parent.parent


def resource(folder: str, name: str = "") -> Path:
    """The place of a shipped file, such as ``resource("grammar", "plan.lark")``; without ``name``, its folder.

    The folder is looked for inside the package (an installed wheel) and else beside it (a checkout). A file
    that is not there is the caller's to report: the path into the checkout is given all the same.
    """
    inside = PACKAGE / folder
    return (inside if inside.is_dir() else PACKAGE.parent / folder) / name
