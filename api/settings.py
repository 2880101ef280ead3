"""The settings of the service, read from environment variables and checked at the start."""

from pathlib import Path
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field
from pydantic_core import from_json
from pydantic_settings import BaseSettings, NoDecode, SettingsConfigDict

PREFIX = "TINWRIGHT_"
_ORIGIN = r"^https?://[A-Za-z0-9.-]+(:[0-9]{1,5})?$"
Origin = Annotated[str, Field(pattern=_ORIGIN, max_length=200)]
# Parsed here, since the settings library reports bad JSON without the name of the variable.
Origins = Annotated[
    list[Origin], NoDecode, BeforeValidator(lambda value: from_json(value) if isinstance(value, str) else value)
]


def _not_empty(value: object) -> object:
    """An empty path would be the working directory."""
    if value == "":
        raise ValueError("give the path of a file, or do not set the variable")
    return value


FilePath = Annotated[Path, BeforeValidator(_not_empty)]


class Settings(BaseSettings):
    """One `TINWRIGHT_...` variable for each field; an invalid value stops the start."""

    model_config = SettingsConfigDict(env_prefix=PREFIX, frozen=True, extra="ignore")

    max_body_bytes: int = Field(
        default=1_000_000, ge=1_000, le=50_000_000, description="Largest request body with a Content-Length, in bytes."
    )
    max_url_bytes: int = Field(
        default=65_536,
        ge=2_000,
        le=1_000_000,
        description="Longest path and query together, in bytes. A column of 1,000 rows needs 60,000.",
    )
    max_header_bytes: int = Field(
        default=16_384,
        ge=2_000,
        le=262_144,
        description="Largest total of the names and values of a request's header fields, in bytes.",
    )
    max_headers: int = Field(default=100, ge=20, le=1_000, description="Largest number of header fields in a request.")
    body_seconds: float = Field(
        default=30, ge=0.5, le=600, description="Time for a request body to arrive after its headers, in seconds."
    )
    write_seconds: float = Field(
        default=30,
        ge=0.5,
        le=600,
        description="Time for a client to accept the next 64 kB of an answer, in seconds; then it is disconnected.",
    )
    keep_alive_seconds: int = Field(
        default=5,
        ge=1,
        le=3_600,
        description="Time that an idle connection stays open for its next request, in seconds.",
    )
    max_in_work: int = Field(
        default=64,
        ge=1,
        le=10_000,
        description="Largest number of requests in progress at once; further requests get a 503 with Retry-After.",
    )
    drain_seconds: float = Field(
        default=2,
        ge=0,
        le=300,
        description="Time between SIGTERM and the end of accepting connections, in seconds. Requests are answered and"
        " /readyz is 503 meanwhile, so that a proxy stops sending requests here.",
    )
    stop_seconds: int = Field(
        default=10, ge=1, le=600, description="Time to finish the requests in progress after that, in seconds."
    )
    max_age_seconds: int = Field(
        default=3_600,
        ge=0,
        le=31_536_000,
        description="How long caches may keep the answer to a GET (max-age), in seconds.",
    )
    compression: bool = Field(
        default=True,
        description="Whether answers above 1 kB are compressed with gzip for clients that accept it. Turn it off if a"
        " proxy compresses them.",
    )
    public_url: str | None = Field(
        default=None,
        pattern=r"^https?://[A-Za-z0-9.-]+(:[0-9]{1,5})?(/[A-Za-z0-9._~/-]*)?$",
        max_length=200,
        description="URL under which clients reach the service through a proxy, such as https://tinwright.example/bake."
        " Links in pages, problems and the OpenAPI document begin with it. A service on loopback that asks for no keys"
        " answers to this host, localhost, 127.0.0.1 and [::1] only.",
    )
    shop_file: FilePath | None = Field(
        default=None,
        description="Path of the shop's own ingredients, packs and prices, a CSV or JSON file (`api/shop_file.py`).",
    )
    keys_file: FilePath | None = Field(
        default=None,
        description="Path of the keys file. If set, every request must send a key. The file is read again on SIGHUP.",
    )
    access: Literal["open"] | None = Field(
        default=None, description="`open` lets the service start without keys on an address that others can reach."
    )
    tls_in_front: bool = Field(
        default=False,
        description="Whether all clients use https through a proxy; answers then carry Strict-Transport-Security.",
    )
    log_level: Literal["debug", "info", "warning", "error"] = Field(default="info", description="Lowest level logged.")
    log_requests: bool = Field(
        default=True, description="Whether every request is logged; if not, only failed requests are."
    )
    metrics: bool = Field(default=True, description="Whether requests are counted and /metrics is served.")
    metrics_port: int | None = Field(
        default=None,
        ge=1,
        le=65_535,
        description="Port that serves /metrics only. If it is not set, /metrics is on the service's port.",
    )
    metrics_host: str = Field(
        default="127.0.0.1", max_length=253, description="Address that the metrics' port listens on."
    )
    metrics_access: Literal["open"] | None = Field(
        default=None,
        description="`open` lets the metrics' port, which asks for no key, listen on an address that others can reach.",
    )
    cors_origins: Origins = Field(
        default=[],
        max_length=50,
        description="Origins whose web pages may call the service, each without a path, as a JSON list such as"
        ' ["https://shop.example"].',
    )
