"""Every knob, from the environment, checked at start."""

from pathlib import Path
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field
from pydantic_core import from_json
from pydantic_settings import BaseSettings, NoDecode, SettingsConfigDict

PREFIX = "TINWRIGHT_"
Origin = Annotated[str, Field(pattern=r"^https?://[A-Za-z0-9.-]+(:[0-9]{1,5})?$", max_length=200)]
# Read here and not by the library, which would name no variable in what it says of bad JSON.
Origins = Annotated[
    list[Origin], NoDecode, BeforeValidator(lambda read: from_json(read) if isinstance(read, str) else read)
]


class Settings(BaseSettings):
    """Read from `TINWRIGHT_...` variables; a bad value stops the start (`api.serving.environment` says how)."""

    model_config = SettingsConfigDict(env_prefix=PREFIX, frozen=True, extra="ignore")

    max_body_bytes: int = Field(default=1_000_000, ge=1_000, le=50_000_000, description="Largest request body.")
    max_url_bytes: int = Field(
        default=65_536,
        ge=2_000,
        le=1_000_000,
        description="Longest path and query; a column of 1,000 rows has 60,000.",
    )
    max_header_bytes: int = Field(default=16_384, ge=2_000, le=262_144, description="Header fields, all together.")
    max_headers: int = Field(default=100, ge=20, le=1_000, description="How many header fields.")
    header_seconds: float = Field(default=10, ge=0.5, le=120, description="Until a request's headers are all there.")
    body_seconds: float = Field(default=30, ge=0.5, le=600, description="From then until its body is.")
    write_seconds: float = Field(default=30, ge=0.5, le=600, description="How long a client may take nothing in.")
    keep_alive_seconds: int = Field(
        default=5, ge=1, le=3_600, description="How long a connection waits for its next request."
    )
    max_connections: int = Field(default=800, ge=10, le=100_000, description="Open connections, of each worker.")
    max_in_work: int = Field(
        default=64, ge=1, le=10_000, description="Requests in work of each worker; 503 for those beyond."
    )
    drain_seconds: float = Field(
        default=0, ge=0, le=300, description="From SIGTERM until no more connections are taken; not ready meanwhile."
    )
    stop_seconds: int = Field(default=10, ge=1, le=600, description="How long what is in work then has to be finished.")
    max_age_seconds: int = Field(
        default=3_600, ge=0, le=31_536_000, description="How long a GET's answer may be kept by a cache."
    )
    shop_file: Path | None = Field(
        default=None,
        description="The shop's own ingredients, packs and prices, as `api.shop_file` describes: CSV or .json.",
    )
    keys_file: Path | None = Field(
        default=None,
        description="Keys that requests must show, as `api.serving.keys.keyring` describes; read again on SIGHUP.",
    )
    access: Literal["open"] | None = Field(
        default=None, description="`open`: without keys on an address that other machines reach."
    )
    tls_in_front: bool = Field(
        default=False, description="Whether all who ask come by https: browsers are then told to keep to it."
    )
    log_level: Literal["debug", "info", "warning", "error"] = Field(default="info", description="Least level logged.")
    log_requests: bool = Field(default=True, description="Whether each request has a line, or only those that failed.")
    metrics: bool = Field(default=True, description="Whether requests are counted and `/metrics` answers.")
    metrics_port: int | None = Field(
        default=None, ge=1, le=65_535, description="A port for `/metrics` alone; the service's own has none then."
    )
    metrics_host: str = Field(default="127.0.0.1", max_length=253, description="The address that port is bound to.")
    metrics_access: Literal["open"] | None = Field(
        default=None, description="`open`: that port, which asks for no key, on an address that other machines reach."
    )
    cors_origins: Origins = Field(
        default=[],
        max_length=50,
        description='Origins whose pages may ask, each without a path, as JSON: ["https://shop.example"].',
    )
