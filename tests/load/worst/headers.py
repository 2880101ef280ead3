"""Requests with long headers and queries."""

from tests.load.worst.asking import Build, HostileRequest, get


def _headers(name: str, value: str) -> Build:
    return lambda turn: HostileRequest(path="/v1/units", headers=[(name.encode(), value.format(turn=turn).encode())])


ACCEPT = ",".join(f"application/x{{turn}}{i};q=0.{i % 9 + 1};level={i}" for i in range(1_000))
ETAGS = ",".join(f'"{{turn}}{i}"' for i in range(2_000))
MANY = "&".join(f"{i:x}=" for i in range(11_000))  # within the limit on a URL
WORST: dict[str, Build] = {
    "any: Accept of 1,000 ranges": _headers("accept", ACCEPT),
    "any: If-None-Match of 2,000 tags": _headers("if-none-match", ETAGS),
    "any: 11,000 parameters": lambda _: HostileRequest(path="/v1/units", query=MANY.encode()),
    "any: 11,000 parameters to a model": lambda _: HostileRequest(path="/v1/oven", query=MANY.encode()),
    "any: one parameter 5,900 times": lambda _: HostileRequest(
        path="/v1/oven", query=b"&".join([b"setting=1"] * 5_900)
    ),
    "get_health": lambda _: get("/healthz"),
    "get_readiness": lambda _: get("/readyz"),
}
