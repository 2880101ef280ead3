"""Field masks: `fields=targets(label,eggs)` selects parts of an answer.

A mask is a comma-separated list of field names. A name may be followed by a mask in parentheses for its own fields:

    mask  = name [ "(" mask ")" ] *( "," name [ "(" mask ")" ] )

A name without parentheses selects the whole field. Lists are passed through: the mask applies to each item.
"""

import re
from collections.abc import Iterable, Mapping
from typing import Any, get_args, get_origin

from pydantic import BaseModel

from domain.errors import DomainError, ErrorCollector, UnknownError, UnreadableError

MAX_MASK = 1_000  # our own limit: longer than a mask that names every field of a rescaling
_TOKEN = re.compile(r"[a-z][a-z0-9_]*|[(),]")
MAX_DEPTH = 12  # our own limit: deeper than any answer

Mask = Mapping[str, "Mask | None"]


def parse_mask(text: str) -> Mask:
    """Read a mask; the same name twice selects both parts.

    Args:
        text: the value of `fields`.
    Returns:
        The selected names. Each has the mask of its own fields, or None for the whole field.
    Raises:
        UnreadableError: the text is not a mask.

    >>> parse_mask("label,eggs(part,grams)")
    {'label': None, 'eggs': {'part': None, 'grams': None}}
    """
    if len(text) > MAX_MASK:
        raise _unreadable(f"A mask has at most {MAX_MASK:,} characters.")
    tokens = _TOKEN.findall(text)
    if "".join(tokens) != "".join(text.split()):
        raise _unreadable("A mask has names, commas and parentheses only.")
    tokens.reverse()  # so that pop() takes the next one
    mask: dict[str, Any] = {}
    _add_names(tokens, mask, depth=1)
    if tokens:
        raise _unreadable("There is a closing parenthesis too many.")
    return mask


def _add_names(tokens: list[str], mask: dict[str, Any], depth: int) -> None:
    if depth > MAX_DEPTH:
        raise _unreadable(f"A mask is at most {MAX_DEPTH} levels deep.")
    while True:
        name = tokens.pop() if tokens else ""
        if not name or name in "(),":
            raise _unreadable("A field name is missing.")
        mask.setdefault(name, None)
        if tokens and tokens[-1] == "(":
            tokens.pop()
            mask[name] = mask[name] or {}
            _add_names(tokens, mask[name], depth + 1)
            if not tokens or tokens.pop() != ")":
                raise _unreadable("A closing parenthesis is missing.")
        if not tokens or tokens[-1] != ",":
            if tokens and tokens[-1] != ")":
                raise _unreadable("A comma is missing between two names.")
            return
        tokens.pop()


def check_mask(mask: Mask, annotation: Any) -> None:  # noqa: ANN401 - any declared answer
    """Check that an answer of the declared type has every selected field.

    Args:
        mask: from `parse_mask`.
        annotation: the declared type of the answer.
    Raises:
        DomainErrors: every unknown name, each with the names that are there.
    """
    errors = ErrorCollector()
    _check(mask, annotation, (), errors)
    errors.raise_if_any()


def apply_mask(mask: Mask, answer: Any) -> Any:  # noqa: ANN401 - plain JSON
    """The selected parts of an answer; a selected field that this answer does not have stays left out.

    >>> apply_mask(parse_mask("a,b(c)"), {"a": 1, "b": [{"c": 2, "d": 3}], "e": 4})
    {'a': 1, 'b': [{'c': 2}]}
    """
    if isinstance(answer, list):
        return [apply_mask(mask, item) for item in answer]
    if not isinstance(answer, dict):
        return answer
    return {
        name: answer[name] if inner is None else apply_mask(inner, answer[name])
        for name, inner in mask.items()
        if name in answer
    }


def is_selected(path: tuple[str, ...], mask: Mask) -> bool:
    """Whether a mask selects the field at a path, or a part of it."""
    inner: Mask | None = mask
    for part in path:
        if inner is None:
            return True
        if part not in inner:
            return False
        inner = inner[part]
    return True


def mask_at(path: tuple[str, ...], mask: Mask) -> Mask | None:
    """The mask of a selected field; None if all of it is selected."""
    inner: Mask | None = mask
    for part in path:
        inner = None if inner is None else inner[part]
    return inner


def _check(mask: Mask, annotation: Any, path: tuple[str, ...], errors: ErrorCollector) -> None:  # noqa: ANN401
    fields = _fields(annotation)
    for name, inner in mask.items():
        where = ".".join((*path, name))
        with errors.at("fields"):
            if name not in fields:
                raise _unknown(where, fields)
            if inner is not None and not _fields(fields[name]):
                raise _unreadable(f"`{where}` has no fields of its own; leave its parentheses out.")
        if inner is not None and _fields(fields.get(name)):
            _check(inner, fields[name], (*path, name), errors)


def _unknown(where: str, fields: Iterable[str]) -> DomainError:
    return UnknownError(
        f"The answer has no field `{where}`.", candidates=tuple(sorted(fields)), code="unknown_answer_field"
    )


def _unreadable(why: str) -> UnreadableError:
    example = "targets(label,eggs(part,grams))"
    return UnreadableError(f"{why} Write field names with commas, such as `{example}`.", code="unreadable_mask")


def _fields(annotation: Any) -> dict[str, Any]:  # noqa: ANN401 - any annotation
    """Names and types of the fields of every model in an annotation, through lists, unions and aliases."""
    annotation = getattr(annotation, "__value__", annotation)
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return {field.alias or name: field.annotation for name, field in annotation.model_fields.items()}
    if get_origin(annotation) is None:
        return {}
    fields: dict[str, Any] = {}
    for part in get_args(annotation):
        fields |= _fields(part)
    return fields
