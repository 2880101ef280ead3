"""Bodies of a megabyte that are all structure: nested and empty lists and objects, nulls, numbers that become 0."""

from tests.load.worst.asking import Build, HostileRequest

MEGABYTE = 1_000_000


def repeated(item: bytes) -> bytes:
    """A list of a megabyte."""
    return b"[" + b",".join([item] * ((MEGABYTE - 2) // (len(item) + 1))) + b"]"


BODIES = {
    "nested lists": b"[" * (MEGABYTE // 2) + b"]" * (MEGABYTE // 2),
    "nested objects": b'{"a":' * (MEGABYTE // 6) + b"1" + b"}" * (MEGABYTE // 6),
    "empty lists": repeated(b"[]"),
    "short lists": repeated(b"[[[]]]"),
    "lists as deep as a parser reads": repeated(b"[" * 190 + b"]" * 190),
    "objects as deep as a parser reads": repeated(b'{"a":' * 190 + b"1" + b"}" * 190),
    "objects in objects": repeated(b'{"a":{}}'),
    "texts": repeated(b'"a"'),
    "fields": b"{" + b",".join(b'"%06x":1' % i for i in range(MEGABYTE // 11)) + b"}",
    "one field, repeated": b"{" + b",".join([b'"zz":1'] * 110_000) + b"}",
    "one field, repeated less": b"{" + b",".join([b'"zz":1'] * 19_000) + b"}",
    "nulls": repeated(b"null"),
    "empty lists and a null": repeated(b"[]")[:-8] + b",null]",
    "empty lists and a number that becomes 0": repeated(b"[]")[:-8] + b",1e-400]",
    "lists that do not end": repeated(b"[]")[:-1],
}
OPERATIONS = {
    "compute_label": "/v1/label",
    "compute_balance": "/v1/balance",
    "compute_rescale": "/v1/rescale",
    "compute_conversion_columns": "/v1/convert/columns",
}


def sent(path: str, body: bytes) -> Build:
    """The body sent to an operation."""
    return lambda _: HostileRequest(path=path, query=b"format=json", body=body)


WORST: dict[str, Build] = {
    f"{operation}: {name}": sent(path, body) for operation, path in OPERATIONS.items() for name, body in BODIES.items()
}
