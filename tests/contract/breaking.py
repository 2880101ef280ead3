"""Whether a client made from one OpenAPI document still works with the service of a later one.

This is our own code, because no maintained package on PyPI does it for OpenAPI 3.1, and the maintained tools are not
Python packages. There are two rules. The new service must accept everything that an old client sends: the schemas of
requests may only become wider. An old client must understand everything that the new service sends: the schemas of
answers may only become narrower, and every field stays. A change of a keyword that the rules do not cover counts as a
break, so no change is overlooked.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Any

from api.contract.conventions import names_reached, schemas_within
from tests.contract.limits import looser_limits
from tests.openapi import inlined

METHODS = ("get", "put", "post", "delete", "options", "head", "patch", "trace")
ANNOTATIONS = {
    "title",
    "description",
    "examples",
    "example",
    "deprecated",
    "discriminator",
    "$comment",
    "$id",
    "default",
    "x-extensible-enum",  # a list that clients must expect to grow
}
COMPARED = {
    "type",
    "enum",
    "const",
    "properties",
    "required",
    "additionalProperties",
    "items",
    "anyOf",
    "oneOf",
    "$ref",
    "pattern",
    "format",
    "minimum",
    "maximum",
    "exclusiveMinimum",
    "exclusiveMaximum",
    "minLength",
    "maxLength",
    "minItems",
    "maxItems",
    "minProperties",
    "maxProperties",
}

KINDS = {
    type(None): "null",
    bool: "boolean",
    dict: "object",
    list: "array",
    float: "number",
    int: "integer",
    str: "string",
}

Schema = Mapping[str, Any]
ANYTHING: Schema = {}


class Direction(Enum):
    """The direction in which a value is sent."""

    REQUEST = "request"
    RESPONSE = "response"


def breaks(old: Schema, new: Schema) -> list[str]:
    """Return one sentence for each change in *new* that would break a client of *old*."""
    return list(dict.fromkeys(_Comparison(inlined(dict(old)), inlined(dict(new))).document()))


@dataclass
class _Comparison:
    """`old` is the document that the client was made from, `new` that of the service."""

    old: Schema
    new: Schema
    compared: set[tuple[Any, ...]] = field(default_factory=set)

    def document(self) -> Iterator[str]:
        yield from self.closed_answers()
        for path, methods in self.old["paths"].items():
            if path not in self.new["paths"]:
                yield f"{path}: the path is gone"
                continue
            for method in (method for method in METHODS if method in methods):
                where = f"{method.upper()} {path}"
                new_operation = self.new["paths"][path].get(method)
                if new_operation is None:
                    yield f"{where}: the operation is gone"
                else:
                    yield from self.operation(where, methods[method], new_operation)

    def closed_answers(self) -> Iterator[str]:
        """Schemas of answers that clients would read as closed, so that a later field would break them."""
        requested, answered = names_reached(dict(self.new))
        for name in sorted(answered - requested):
            for part in schemas_within(self.new["components"]["schemas"][name]):
                if part.get("additionalProperties") is False:
                    yield f"{name}: the answer is closed, so that no field can be added later"

    def operation(self, where: str, old: Schema, new: Schema) -> Iterator[str]:
        for key, label in (("operationId", "its operationId"), ("tags", "its tags, which name a client's modules")):
            if old.get(key) != new.get(key):
                yield f"{where}: {label} changed from {old.get(key)} to {new.get(key)}"
        if _requires_key(new, self.new) and not _requires_key(old, self.old):
            yield f"{where}: a key is newly required"
        yield from self.parameters(where, old, new)
        yield from self.body(where, old.get("requestBody"), new.get("requestBody"))
        for status, answer in old["responses"].items():
            if status not in new["responses"]:
                yield f"{where}: the answer {status} is gone"
            else:
                yield from self.answer(f"{where} {status}", answer, new["responses"][status])

    def parameters(self, where: str, old: Schema, new: Schema) -> Iterator[str]:
        before = {(parameter["in"], parameter["name"]): parameter for parameter in old.get("parameters", ())}
        after = {(parameter["in"], parameter["name"]): parameter for parameter in new.get("parameters", ())}
        for key, parameter in before.items():
            place = f"{where} parameter {key[1]}"
            if key not in after:
                yield f"{place}: gone"
                continue
            if after[key].get("required") and not parameter.get("required"):
                yield f"{place}: newly required"
            for keyword in ("style", "explode"):
                if parameter.get(keyword) != after[key].get(keyword):
                    yield f"{place}: {keyword} changed"
            yield from self.fits(place, parameter["schema"], after[key]["schema"], Direction.REQUEST)
        yield from (
            f"{where} parameter {key[1]}: new and required"
            for key, parameter in after.items()
            if key not in before and parameter.get("required")
        )

    def body(self, where: str, old: Schema | None, new: Schema | None) -> Iterator[str]:
        if old is None or new is None:
            if old is not None:
                yield f"{where}: the body is gone"
            elif new is not None and new.get("required"):
                yield f"{where}: a body is newly required"
            return
        if new.get("required") and not old.get("required"):
            yield f"{where}: the body is newly required"
        yield from self.contents(f"{where} body", old, new, Direction.REQUEST)

    def answer(self, where: str, old: Schema, new: Schema) -> Iterator[str]:
        yield from self.contents(where, old, new, Direction.RESPONSE)
        yield from (
            f"{where}: the header {header} is gone"
            for header in old.get("headers", {})
            if header not in new.get("headers", {})
        )

    def contents(self, where: str, old: Schema, new: Schema, direction: Direction) -> Iterator[str]:
        after = new.get("content", {})
        for kind, content in old.get("content", {}).items():
            if kind not in after:
                yield f"{where}: {kind} is gone"
                continue
            before, now = content["schema"], after[kind]["schema"]
            sent, accepted = (before, now) if direction is Direction.REQUEST else (now, before)
            yield from self.fits(where, sent, accepted, direction)

    def fits(self, where: str, sent: Schema, accepted: Schema, direction: Direction) -> Iterator[str]:
        """Report why a value of the schema *sent* may not fit *accepted*, or which fields of an answer are missing."""
        defaults = sent.get("default"), accepted.get("default")
        if direction is Direction.REQUEST and defaults[0] != defaults[1]:
            yield f"{where}: the default changed from {defaults[0]!r} to {defaults[1]!r}"
        sender, receiver = (self.old, self.new) if direction is Direction.REQUEST else (self.new, self.old)
        choices, accepting = _choices(sent, sender), _choices(accepted, receiver)
        # Schemas may be recursive: a pair that is being compared, or that was compatible, is not compared again.
        pair = (*map(id, choices), 0, *map(id, accepting), direction)
        if pair in self.compared:
            return
        self.compared.add(pair)
        problems = list(self.union(where, choices, accepting, direction))
        if problems:
            self.compared.discard(pair)
        yield from problems

    def union(self, where: str, choices: list[Schema], accepting: list[Schema], direction: Direction) -> Iterator[str]:
        """Each sent branch must fit an accepted branch; otherwise, report the problems with the nearest branch."""
        for choice in choices:
            tried = [list(self.single(where, choice, branch, direction)) for branch in accepting]
            if not all(tried):
                continue
            nearest = min(tried, key=len)
            alike = [
                problems for branch, problems in zip(accepting, tried, strict=True) if _name(branch) == _name(choice)
            ]
            yield from alike[0] if len(alike) == 1 else nearest

    def single(self, where: str, sent: Schema, accepted: Schema, direction: Direction) -> Iterator[str]:
        """Compare two schemas that are not unions."""
        yield from _unknown_keywords(where, sent, accepted)
        yield from _kinds(where, sent, accepted)
        yield from _values(where, sent, accepted)
        if direction is Direction.REQUEST:
            yield from looser_limits(where, sent, accepted)
        yield from self.fields(where, sent, accepted, direction)
        if "items" in accepted:
            yield from self.fits(f"{where}[]", sent.get("items", ANYTHING), accepted["items"], direction)

    def fields(self, where: str, sent: Schema, accepted: Schema, direction: Direction) -> Iterator[str]:
        sent_fields, accepted_fields = sent.get("properties", {}), accepted.get("properties", {})
        gone = (
            sent_fields.keys() - accepted_fields
            if direction is Direction.REQUEST
            else accepted_fields.keys() - sent_fields
        )
        yield from (f"{where}.{name}: gone" for name in sorted(gone))
        for name in sorted(set(accepted.get("required", ())) - set(sent.get("required", ()))):
            if name not in gone:
                yield f"{where}.{name}: " + (
                    "newly required" if direction is Direction.REQUEST else "may be left out now"
                )
        for name in sorted(sent_fields.keys() & accepted_fields):
            yield from self.fits(f"{where}.{name}", sent_fields[name], accepted_fields[name], direction)
        yield from self.others(where, sent, accepted, direction)

    def others(self, where: str, sent: Schema, accepted: Schema, direction: Direction) -> Iterator[str]:
        """Compare the schemas of additional properties."""
        more, allowed = sent.get("additionalProperties", True), accepted.get("additionalProperties", True)
        objects = "object" in _types(sent) and "object" in _types(accepted)
        if not objects or more is False or allowed is True:
            return
        if allowed is False:
            # New fields in an answer are compatible; additional fields of a request would be rejected.
            if direction is Direction.REQUEST:
                yield f"{where}: additional fields are newly rejected"
            return
        yield from self.fits(f"{where}.*", ANYTHING if more is True else more, allowed, direction)


def _requires_key(operation: Schema, document: Schema) -> bool:
    """Whether a request without a key is rejected: `{}` among the alternatives allows it."""
    alternatives = operation.get("security", document.get("security")) or [{}]
    return {} not in alternatives


def _choices(schema: Schema, document: Schema) -> list[Schema]:
    """The branches of a schema, with references resolved and nested unions flattened; or the schema itself."""
    while "$ref" in schema:
        schema = document["components"]["schemas"][schema["$ref"].rpartition("/")[2]]
    branches = [*schema.get("anyOf", ()), *schema.get("oneOf", ())]
    return [part for branch in branches for part in _choices(branch, document)] or [schema]


def _name(schema: Schema) -> str:
    return str(schema.get("title", schema.get("type")))


def _types(schema: Schema) -> set[str]:
    if "type" not in schema:
        values = [schema["const"]] if "const" in schema else schema.get("enum")
        return set(KINDS.values()) if values is None else {KINDS[type(value)] for value in values}
    kind = schema["type"]
    kinds = {kind} if isinstance(kind, str) else set(kind)
    return kinds | {"integer"} if "number" in kinds else kinds


def _unknown_keywords(where: str, sent: Schema, accepted: Schema) -> Iterator[str]:
    for key in sorted((sent.keys() | accepted.keys()) - COMPARED - ANNOTATIONS):
        if sent.get(key) != accepted.get(key):
            yield f"{where}: `{key}` changed, which these rules cannot judge"


def _kinds(where: str, sent: Schema, accepted: Schema) -> Iterator[str]:
    if unknown := _types(sent) - _types(accepted):
        yield f"{where}: {', '.join(sorted(unknown))} is not accepted"


def _values(where: str, sent: Schema, accepted: Schema) -> Iterator[str]:
    allowed = [accepted["const"]] if "const" in accepted else accepted.get("enum")
    if allowed is None:
        return
    sent_values = [sent["const"]] if "const" in sent else sent.get("enum")
    if sent_values is None:
        yield f"{where}: only {allowed} is accepted"
    elif unknown := [value for value in sent_values if value not in allowed]:
        yield f"{where}: {unknown} is not accepted"
