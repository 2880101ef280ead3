"""Which methods a path answers: for `Allow`, in OPTIONS and in a 405."""

import re
from collections.abc import Iterable

from starlette.routing import BaseRoute, Route

Paths = tuple[tuple[re.Pattern[str], frozenset[str]], ...]


def methods_by_path(routes: Iterable[BaseRoute]) -> Paths:
    """Each route's pattern and methods, read once at start."""
    return tuple((route.path_regex, frozenset(route.methods or ())) for route in routes if isinstance(route, Route))


def allowed_methods(paths: Paths, path: str) -> list[str]:
    """Every method that any route of *path* answers, sorted; empty if nothing is there."""
    methods = {method for pattern, known in paths if pattern.match(path) for method in known}
    if not methods:
        return []
    return sorted(methods | {"OPTIONS"} | ({"HEAD"} if "GET" in methods else set()))
