"""A collection as a program asks for it: files and folders in, inspections out."""

from collections.abc import Iterator
from concurrent.futures import Executor

from planlint.collection.collection_root import find_root
from planlint.collection.collection_run import RunWay, inspect_found
from planlint.collection.discovery import discover
from planlint.inspection.inspection_result import Inspection
from planlint.inspection.plan_files import STANDARD_INPUT
from planlint.model.workshop import Settings
from planlint.settings.layered_settings import Shop


def inspect_paths(
    paths: list[str], settings: Settings | None, workers: int, executor: Executor | None
) -> Iterator[Inspection]:
    """See ``planlint.inspect_collection``."""
    root = find_root(path for path in paths if path != STANDARD_INPUT)
    shop = Shop()
    settings_for = (lambda _: settings) if settings else shop.settings_for
    way = RunWay(settings_for, workers=workers, executor=executor)
    for _, inspection in inspect_found(discover(paths, root, None if settings else shop.left_out), way):
        yield inspection
