"""Reads a large body that may be wrong in every part without collecting a hundred thousand errors.

A model collects every error before it fails, and an error costs ten times as much as a valid value. So a large body is
first checked for its size, and then read by a copy of the model whose lists stop at their first invalid item. Only if
that fails, and the body has few enough parts, the model itself reads it and reports every error.
"""

from collections.abc import Callable, Collection
from copy import copy
from functools import lru_cache
from types import UnionType
from typing import Annotated, Any, TypeAliasType, Union, get_args, get_origin

import msgspec
import orjson
from pydantic import BaseModel, FailFast, TypeAdapter, ValidationError, create_model
from pydantic.fields import FieldInfo

SMALL = 4_000  # bytes: every error in so few is found in some twenty milliseconds; our own limit
MAX_FIELDS, MAX_ITEMS = 200, 20_000  # of one object and of one list: several times what any model has
# Objects and lists, and the fields and other values in them: more than any request has that is answered. To the values
# are added those of `MAX_COLUMNS` columns as long as the longest list.
MAX_PARTS, MAX_VALUES, MAX_COLUMNS = 10_000, 20_000, 10
FEW_PARTS = 1_500  # commas, objects and lists of a body whose every error is reported
FEW_FIELDS, FEW_COMMAS = 8_000, 40_000  # a body with no more is not counted exactly
_NOT_STRUCTURE = bytes(set(range(256)) - set(b'{}[],:"'))
_SCALARS = frozenset({str, int, float, bool, type(None)})


class TooManyFields(ValueError):  # noqa: N818 - it becomes a problem document
    """An object with more fields, a list with more items, or a body with more of both, than any model has."""


class MalformedJson(ValueError):  # noqa: N818 - it becomes a problem document
    """A text that is no JSON, and too large to be read by the model; the message says why."""


def bounded(declared: TypeAdapter[Any], annotation: Any) -> Callable[[bytes], Any]:  # noqa: ANN401 - any annotation
    """A reader of bodies.

    Args:
        declared: validates the body.
        annotation: the model of the body.
    Returns:
        A function from the bytes to the model. It raises `ValidationError`, for a large body with one error for each
        list, and what `size_check` raises.
    """
    check_size = size_check(annotation)

    @lru_cache(maxsize=1)  # built when it is first needed, since it would take a part of the start
    def fail_fast() -> TypeAdapter[Any]:
        return TypeAdapter(failing_fast(annotation))

    def read(raw: bytes) -> object:
        if len(raw) <= SMALL:
            return declared.validate_json(raw)
        check_size(raw)
        try:
            return fail_fast().validate_json(raw)
        except ValidationError:
            if raw.count(b",") + raw.count(b"{") + raw.count(b"[") > FEW_PARTS:
                raise
        return declared.validate_json(raw)

    return read


def size_check(annotation: Any) -> Callable[[bytes], None]:  # noqa: ANN401 - any annotation
    """A check that a body has not more parts than any that the model accepts.

    It raises `TooManyFields`, or `MalformedJson` if the body would have too many but is no JSON.
    """

    @lru_cache(maxsize=1)  # computed when it is first needed, since it would take a part of the start
    def longest() -> int:
        return longest_list(annotation)

    def check(raw: bytes) -> None:
        if len(raw) > SMALL:
            _check_size(raw, longest)

    return check


def failing_fast(annotation: Any) -> Any:  # noqa: ANN401 - any annotation
    """The same type with lists that stop at their first invalid item."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return _failing_fast_model(annotation)
    if isinstance(annotation, TypeAliasType):
        value = failing_fast(annotation.__value__)
        return annotation if value is annotation.__value__ else value
    origin, arguments = get_origin(annotation), get_args(annotation)
    if origin is list:
        item = failing_fast(arguments[0])
        return Annotated[list[item], FailFast()]  # type: ignore[valid-type]
    if origin is Annotated:
        inner = failing_fast(arguments[0])
        return annotation if inner is arguments[0] else Annotated[inner, *arguments[1:]]
    if origin in {Union, UnionType}:
        members = tuple(failing_fast(argument) for argument in arguments)
        unchanged = all(member is argument for member, argument in zip(members, arguments, strict=True))
        return annotation if unchanged else Union[members]  # noqa: UP007 - of a tuple
    return annotation


@lru_cache(maxsize=256)  # our models, each used in several requests
def _failing_fast_model(model: type[BaseModel]) -> type[BaseModel]:
    changed: dict[str, Any] = {
        name: (inner, copy(info))
        for name, info in model.model_fields.items()
        if (inner := failing_fast(info.annotation)) is not info.annotation
    }
    return create_model(model.__name__, __base__=model, **changed) if changed else model


def longest_list(annotation: Any) -> int:  # noqa: ANN401 - any annotation
    """The greatest length that any list of a type may have."""
    if isinstance(annotation, TypeAliasType):
        return longest_list(annotation.__value__)
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return _longest_list_of(annotation)
    origin, arguments = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return max(longest_list(arguments[0]), _max_length(arguments[0], arguments[1:]))
    if origin is list or origin in {Union, UnionType}:
        return max(map(longest_list, arguments))
    return 0


@lru_cache(maxsize=256)
def _longest_list_of(model: type[BaseModel]) -> int:
    return max(
        (
            max(longest_list(info.annotation), _max_length(info.annotation, info.metadata))
            for info in model.model_fields.values()
        ),
        default=0,
    )


def _max_length(annotation: Any, metadata: Collection[Any]) -> int:  # noqa: ANN401 - any annotation
    if not any(get_origin(kind) is list for kind in (annotation, *get_args(annotation))):
        return 0
    of_fields = (limit for info in metadata if isinstance(info, FieldInfo) for limit in info.metadata)
    return max((getattr(limit, "max_length", None) or 0 for limit in (*metadata, *of_fields)), default=0)


def _check_size(raw: bytes, longest: Callable[[], int]) -> None:
    few_parts = raw.count(b"{") + raw.count(b"[") <= MAX_PARTS
    if few_parts and raw.count(b":") <= FEW_FIELDS and raw.count(b",") <= FEW_COMMAS:
        return
    max_values = MAX_VALUES + MAX_COLUMNS * longest()
    structure = _structure(raw)
    parts, fields = structure.count(b"{") + structure.count(b"["), structure.count(b":")
    # A field that is repeated counts each time, since the model reads each.
    if parts > MAX_PARTS or fields > MAX_VALUES or structure.count(b",") > max_values:
        _check_syntax(raw)
        raise TooManyFields
    try:
        whole = orjson.loads(raw)
    except orjson.JSONDecodeError:
        return  # the model reports it
    left: list[Any] = [] if type(whole) in _SCALARS else [whole]
    count = 0
    while left:
        part = left.pop()
        is_object = type(part) is dict
        values: Collection[Any] = part.values() if is_object else part
        count += len(values)
        if len(values) > (MAX_FIELDS if is_object else MAX_ITEMS) or count > max_values:
            raise TooManyFields
        if not _SCALARS.issuperset(map(type, values)):
            left += [value for value in values if type(value) not in _SCALARS]


def _structure(raw: bytes) -> bytes:
    r"""The brackets, commas and colons of a JSON text that are not in strings: what it would hold, without parsing it.

    >>> _structure(b'{"a": ["[", 1], "\\\\\\"{": {}}')
    b'{:[,],:{}}'
    """
    unescaped = raw.replace(rb"\\", b"").replace(rb"\"", b"")
    return b"".join(unescaped.translate(None, _NOT_STRUCTURE).split(b'"')[::2])


def _check_syntax(raw: bytes) -> None:
    """Let a text that is no JSON be refused as such, although it is too large to be parsed into objects."""
    try:
        msgspec.json.decode(raw, type=msgspec.Raw)  # reads the text without making objects of it
    except RecursionError:
        raise MalformedJson("recursion limit exceeded") from None
    except (msgspec.MsgspecError, UnicodeDecodeError) as error:
        raise MalformedJson(str(error).removeprefix("JSON is malformed: ")) from None
