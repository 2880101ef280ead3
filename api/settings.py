"""Every knob, from the environment, checked at start."""

from pydantic import Field
from pydantic_settings import BaseSettings, SettingsConfigDict


class Settings(BaseSettings):
    """Read from `TINWRIGHT_...` variables; a bad value stops the start."""

    model_config = SettingsConfigDict(env_prefix="TINWRIGHT_", frozen=True, extra="ignore")

    max_body_bytes: int = Field(default=1_000_000, ge=1_000, le=50_000_000, description="Largest request body.")
    max_age_seconds: int = Field(
        default=3_600, ge=0, le=31_536_000, description="How long a GET's answer may be kept by a cache."
    )
