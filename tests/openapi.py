"""Reads an OpenAPI document for tests."""

import copy
from typing import Any

Document = dict[str, Any]


def inlined(document: Document) -> Document:
    """A copy in which every parameter and response stands where it is used; schemas stay references."""
    whole = copy.deepcopy(document)
    for methods in whole["paths"].values():
        for operation in methods.values():
            operation["parameters"] = [resolved(whole, part) for part in operation.get("parameters", ())]
            operation["responses"] = {
                status: with_headers(whole, resolved(whole, response))
                for status, response in operation.get("responses", {}).items()
            }
    return whole


def with_headers(document: Document, response: Document) -> Document:
    """A response with its headers in full."""
    headers = {name: resolved(document, header) for name, header in response.get("headers", {}).items()}
    return response | {"headers": headers} if headers else response


def resolved(document: Document, part: Document) -> Document:
    """A response or parameter, or what its reference leads to."""
    if "$ref" not in part:
        return part
    _, _, group, name = part["$ref"].split("/")
    declared: Document = document["components"][group][name]
    return declared
