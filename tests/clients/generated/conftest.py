"""The document, from the code as it is now, and Node's programs."""

from pathlib import Path

import orjson
import pytest

from api.app import create_api
from api.settings import Settings
from tests.clients.generated.node import installed, require_node

collect_ignore = ["shop.py"]  # imports the package that a test generates


@pytest.fixture(scope="session")
def document(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The OpenAPI document in a file of its own."""
    path = tmp_path_factory.mktemp("contract") / "openapi.json"
    path.write_bytes(orjson.dumps(create_api(Settings()).openapi()))
    return path


@pytest.fixture(scope="session")
def node() -> Path:
    """The folder with Node's programs."""
    require_node()
    return installed()
