"""Whether a client made from one OpenAPI document still works with the service of a later one.

Our own since nothing on PyPI that is kept for years does it for OpenAPI 3.1, and the well-kept tools are no Python
packages. Two rules carry it. What an old client sends, the new service must take: requests may only widen. What the
new service sends, an old client must understand: answers may only narrow, and every field it knew stays. A keyword
that the rules do not know counts as a break when it changes, so nothing passes unseen.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Any

from api.contract.conventions import names_reached, schemas_within
from tests.contract.limits import looser_limits
from tests.openapi import inlined

METHODS = ("get", "put", "post", "delete", "options", "head", "patch", "trace")
ABOUT = {"title", "description", "examples", "example", "deprecated", "discriminator", "$comment", "$id", "default"}
ABOUT |= {"x-extensible-enum"}  # a list that clients must expect to grow
KNOWN = {
    "type", "enum", "const", "properties", "required", "additionalProperties", "items", "anyOf", "oneOf", "$ref",
    "pattern", "format", "minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum", "minLength", "maxLength",
    "minItems", "maxItems", "minProperties", "maxProperties",
}  # fmt: skip

KINDS = {
    type(None): "null", bool: "boolean", dict: "object", list: "array", float: "number", int: "integer", str: "string",
}  # fmt: skip

Schema = Mapping[str, Any]
ANYTHING: Schema = {}


class Way(Enum):
    """Which way a value travels."""

    ASKED = "asked"
    ANSWERED = "answered"


def breaks(old: Schema, new: Schema) -> list[str]:
    """Everything in *new* that would break a client of *old*, a sentence each."""
    return list(dict.fromkeys(_Comparison(inlined(dict(old)), inlined(dict(new))).document()))


@dataclass
class _Comparison:
    """`old` is what the client knows, `new` what the service does."""

    old: Schema
    new: Schema
    seen: set[tuple[Any, ...]] = field(default_factory=set)

    def document(self) -> Iterator[str]:
        yield from self.closed_answers()
        for path, methods in self.old["paths"].items():
            if path not in self.new["paths"]:
                yield f"{path}: the path is gone"
                continue
            for method in (method for method in METHODS if method in methods):
                where = f"{method.upper()} {path}"
                there = self.new["paths"][path].get(method)
                if there is None:
                    yield f"{where}: the operation is gone"
                else:
                    yield from self.operation(where, methods[method], there)

    def closed_answers(self) -> Iterator[str]:
        """Schemas of answers that clients would read as closed, so that a later field would break them."""
        asked, answered = names_reached(dict(self.new))
        for name in sorted(answered - asked):
            for part in schemas_within(self.new["components"]["schemas"][name]):
                if part.get("additionalProperties") is False:
                    yield f"{name}: the answer is closed, so that no field can be added later"

    def operation(self, where: str, old: Schema, new: Schema) -> Iterator[str]:
        for key, named in (("operationId", "its operationId"), ("tags", "its tags, which name a client's modules")):
            if old.get(key) != new.get(key):
                yield f"{where}: {named} changed from {old.get(key)} to {new.get(key)}"
        if _asks_who(new, self.new) and not _asks_who(old, self.old):
            yield f"{where}: it asks who is calling now"
        yield from self.parameters(where, old, new)
        yield from self.body(where, old.get("requestBody"), new.get("requestBody"))
        for status, answer in old["responses"].items():
            if status not in new["responses"]:
                yield f"{where}: the answer {status} is gone"
            else:
                yield from self.answer(f"{where} {status}", answer, new["responses"][status])

    def parameters(self, where: str, old: Schema, new: Schema) -> Iterator[str]:
        before = {(one["in"], one["name"]): one for one in old.get("parameters", ())}
        after = {(one["in"], one["name"]): one for one in new.get("parameters", ())}
        for key, parameter in before.items():
            place = f"{where} parameter {key[1]}"
            if key not in after:
                yield f"{place}: gone"
                continue
            if after[key].get("required") and not parameter.get("required"):
                yield f"{place}: newly required"
            for how in ("style", "explode"):
                if parameter.get(how) != after[key].get(how):
                    yield f"{place}: {how} changed"
            yield from self.fits(place, parameter["schema"], after[key]["schema"], Way.ASKED)
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
        yield from self.contents(f"{where} body", old, new, Way.ASKED)

    def answer(self, where: str, old: Schema, new: Schema) -> Iterator[str]:
        yield from self.contents(where, old, new, Way.ANSWERED)
        yield from (
            f"{where}: the header {header} is gone"
            for header in old.get("headers", {})
            if header not in new.get("headers", {})
        )

    def contents(self, where: str, old: Schema, new: Schema, way: Way) -> Iterator[str]:
        after = new.get("content", {})
        for kind, content in old.get("content", {}).items():
            if kind not in after:
                yield f"{where}: {kind} is gone"
                continue
            before, now = content["schema"], after[kind]["schema"]
            sent, taken = (before, now) if way is Way.ASKED else (now, before)
            yield from self.fits(where, sent, taken, way)

    def fits(self, where: str, sent: Schema, taken: Schema, way: Way) -> Iterator[str]:
        """What keeps a value of the schema *sent* from being taken by *taken*; in an answer, what a client misses."""
        defaults = sent.get("default"), taken.get("default")
        if way is Way.ASKED and defaults[0] != defaults[1]:
            yield f"{where}: the default changed from {defaults[0]!r} to {defaults[1]!r}"
        sender, taker = (self.old, self.new) if way is Way.ASKED else (self.new, self.old)
        choices, takers = _choices(sent, sender), _choices(taken, taker)
        # A schema may hold itself; while a pair is compared, and once it was found sound, meeting it adds nothing.
        pair = (*map(id, choices), 0, *map(id, takers), way)
        if pair in self.seen:
            return
        self.seen.add(pair)
        found = list(self.union(where, choices, takers, way))
        if found:
            self.seen.discard(pair)
        yield from found

    def union(self, where: str, choices: list[Schema], takers: list[Schema], way: Way) -> Iterator[str]:
        """Each branch sent: some branch must take it, else what the nearest one lacks."""
        for choice in choices:
            tried = [list(self.one(where, choice, taker, way)) for taker in takers]
            if not all(tried):
                continue
            nearest = min(tried, key=len)
            alike = [found for taker, found in zip(takers, tried, strict=True) if _name(taker) == _name(choice)]
            yield from alike[0] if len(alike) == 1 else nearest

    def one(self, where: str, sent: Schema, taken: Schema, way: Way) -> Iterator[str]:
        """Two schemas that are no unions."""
        yield from _unknown_keywords(where, sent, taken)
        yield from _kinds(where, sent, taken)
        yield from _values(where, sent, taken)
        if way is Way.ASKED:
            yield from looser_limits(where, sent, taken)
        yield from self.fields(where, sent, taken, way)
        if "items" in taken:
            yield from self.fits(f"{where}[]", sent.get("items", ANYTHING), taken["items"], way)

    def fields(self, where: str, sent: Schema, taken: Schema, way: Way) -> Iterator[str]:
        given, known = sent.get("properties", {}), taken.get("properties", {})
        gone = given.keys() - known if way is Way.ASKED else known.keys() - given
        yield from (f"{where}.{name}: gone" for name in sorted(gone))
        for name in sorted(set(taken.get("required", ())) - set(sent.get("required", ()))):
            if name not in gone:
                yield f"{where}.{name}: " + ("newly required" if way is Way.ASKED else "may be left out now")
        for name in sorted(given.keys() & known):
            yield from self.fits(f"{where}.{name}", given[name], known[name], way)
        yield from self.others(where, sent, taken, way)

    def others(self, where: str, sent: Schema, taken: Schema, way: Way) -> Iterator[str]:
        """Fields that have no name of their own in the contract."""
        more, allowed = sent.get("additionalProperties", True), taken.get("additionalProperties", True)
        objects = "object" in _types(sent) and "object" in _types(taken)
        if not objects or more is False or allowed is True:
            return
        if allowed is False:
            # An answer with more fields than a client knows is growth; a request's are refused.
            if way is Way.ASKED:
                yield f"{where}: further fields are refused now"
            return
        yield from self.fits(f"{where}.*", ANYTHING if more is True else more, allowed, way)


def _asks_who(operation: Schema, document: Schema) -> bool:
    """Whether nobody is answered who does not say who he is: `{}` among the alternatives means that all are."""
    alternatives = operation.get("security", document.get("security")) or [{}]
    return {} not in alternatives


def _choices(schema: Schema, document: Schema) -> list[Schema]:
    """The branches of a schema, without references and without unions in unions; itself if it is none."""
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


def _unknown_keywords(where: str, sent: Schema, taken: Schema) -> Iterator[str]:
    for key in sorted((sent.keys() | taken.keys()) - KNOWN - ABOUT):
        if sent.get(key) != taken.get(key):
            yield f"{where}: `{key}` changed, which these rules cannot judge"


def _kinds(where: str, sent: Schema, taken: Schema) -> Iterator[str]:
    if strange := _types(sent) - _types(taken):
        yield f"{where}: {', '.join(sorted(strange))} is not understood"


def _values(where: str, sent: Schema, taken: Schema) -> Iterator[str]:
    allowed = [taken["const"]] if "const" in taken else taken.get("enum")
    if allowed is None:
        return
    given = [sent["const"]] if "const" in sent else sent.get("enum")
    if given is None:
        yield f"{where}: only {allowed} is understood"
    elif strange := [value for value in given if value not in allowed]:
        yield f"{where}: {strange} is not understood"
