"""The worst known requests of each operation, in every format that it offers."""

from typing import Any

import pytest

from api.app import create_api
from api.settings import Settings
from tests.load.worst import bodies, cards, conversions, formulas, headers, orders, recipes, slabs, topics
from tests.load.worst.asking import shown_as

DOCUMENT: dict[str, Any] = create_api(Settings()).openapi()
OPERATIONS = {
    operation["operationId"]: operation for methods in DOCUMENT["paths"].values() for operation in methods.values()
}
WORST = {
    name: build
    for topic in (bodies, cards, conversions, formulas, headers, orders, recipes, slabs, topics)
    for name, build in topic.WORST.items()
}


def formats_of(name: str) -> list[str]:
    """Every format of the operation that a request is for."""
    declared = OPERATIONS.get(name.partition(":")[0], {}).get("parameters", ())
    shared = DOCUMENT["components"]["parameters"]
    parameters = [shared[each["$ref"].rpartition("/")[2]] if "$ref" in each else each for each in declared]
    return next((parameter["schema"]["enum"] for parameter in parameters if parameter["name"] == "format"), ["json"])


CASES = [
    pytest.param(build if chosen == "json" else shown_as(build, chosen), id=f"{name} as {chosen}")
    for name, build in WORST.items()
    for chosen in (formats_of(name) if b"format=" not in build(0).query else ["json"])
]
