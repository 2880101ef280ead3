"""The methods that a path allows, for the Allow header of OPTIONS and of 405."""

import re
from collections.abc import Iterable

from starlette.routing import BaseRoute, Route

Paths = tuple[tuple[re.Pattern[str], frozenset[str]], ...]


def methods_by_path(routes: Iterable[BaseRoute]) -> Paths:
    """The pattern and methods of each route, read once at start."""
    return tuple((route.path_regex, frozenset(route.methods or ())) for route in routes if isinstance(route, Route))


def allowed_methods(paths: Paths, path: str) -> list[str]:
    """Every method that a route of *path* allows, sorted; empty if there is no such path."""
    methods = {method for pattern, allowed in paths if pattern.match(path) for method in allowed}
    if not methods:
        return []
    return sorted(methods | {"OPTIONS"} | ({"HEAD"} if "GET" in methods else set()))
