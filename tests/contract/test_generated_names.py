"""What client generators make of the document: every schema is one class, and every class has a name of its own."""

import re
from collections.abc import Iterator
from typing import Any

from api.app import create_api
from api.settings import Settings

DOCUMENT = create_api(Settings()).openapi()
SCHEMAS = DOCUMENT["components"]["schemas"]
OPERATIONS = [operation for path in DOCUMENT["paths"].values() for operation in path.values()]
VERBS = {"get", "list", "compute", "measure", "read", "choose"}
EXAMPLES = {"example", "examples"}  # these hold no schemas


def parts(part: Any, path: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every object of the document with its path."""
    if isinstance(part, dict):
        yield path, part
        for name, value in part.items():
            if name not in EXAMPLES:
                yield from parts(value, f"{path}/{name}")
    elif isinstance(part, list):
        for place, value in enumerate(part):
            yield from parts(value, f"{path}/{place}")


def test_the_only_union_is_the_tin_as_data() -> None:
    unions = {path for path, part in parts(DOCUMENT) for kind in ("anyOf", "oneOf") if kind in part}
    assert unions == {"/components/schemas/TinShape"}


def test_the_union_names_each_of_its_schemas_by_shape() -> None:
    union = SCHEMAS["TinShape"]
    assert union["discriminator"]["propertyName"] == "shape"
    mapping = union["discriminator"]["mapping"]
    assert {kind["$ref"] for kind in union["oneOf"]} == set(mapping.values())
    for shape, reference in mapping.items():
        schema = SCHEMAS[reference.rsplit("/", 1)[-1]]
        assert "shape" in schema["required"]
        assert schema["properties"]["shape"]["const"] == shape


def test_a_type_is_never_a_list() -> None:
    assert [path for path, part in parts(DOCUMENT) if isinstance(part.get("type"), list)] == []


def test_every_schema_has_the_name_of_a_class() -> None:
    # Two models of one name would be told apart by their module paths.
    assert [name for name in SCHEMAS if not re.fullmatch(r"[A-Z][A-Za-z0-9]*", name)] == []
    assert len({name.casefold() for name in SCHEMAS}) == len(SCHEMAS)


def test_operation_ids_are_a_verb_and_a_noun() -> None:
    ids = [operation["operationId"] for operation in OPERATIONS]
    assert len(set(ids)) == len(ids)
    assert [name for name in ids if not re.fullmatch(rf"({'|'.join(VERBS)})(_[a-z]+)+", name)] == []


def test_no_class_of_an_operation_has_the_name_of_a_schema() -> None:
    classes = {
        "".join(word.capitalize() for word in operation["operationId"].split("_")) + ending
        for operation in OPERATIONS
        for ending in ("", "Request", "Response", "Params", "Body")
    }
    assert classes & set(SCHEMAS) == set()


def test_every_object_inside_a_schema_is_a_schema_of_its_own() -> None:
    inline = [
        path
        for path, part in parts(SCHEMAS)
        if path.count("/") > 1 and part.get("type") == "object" and "properties" in part
    ]
    assert inline == []
