"""Every knob, from the environment, checked at start."""

from pathlib import Path
from typing import Annotated

from pydantic import Field
from pydantic_settings import BaseSettings, SettingsConfigDict

Origin = Annotated[str, Field(pattern=r"^https?://[A-Za-z0-9.-]+(:[0-9]{1,5})?$", max_length=200)]


class Settings(BaseSettings):
    """Read from `TINWRIGHT_...` variables; a bad value stops the start."""

    model_config = SettingsConfigDict(env_prefix="TINWRIGHT_", frozen=True, extra="ignore")

    max_body_bytes: int = Field(default=1_000_000, ge=1_000, le=50_000_000, description="Largest request body.")
    max_age_seconds: int = Field(
        default=3_600, ge=0, le=31_536_000, description="How long a GET's answer may be kept by a cache."
    )
    shop_file: Path | None = Field(
        default=None,
        description="The shop's own ingredients, packs and prices, as `api.shop` describes: CSV or .json.",
    )
    cors_origins: list[Origin] = Field(
        default=[], max_length=50, description='Origins whose pages may ask, as JSON: ["https://shop.example"].'
    )
