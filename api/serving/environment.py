"""Reads the settings from the environment, and checks it for variables that are not settings."""

import os
from difflib import get_close_matches

from pydantic import ValidationError

from api.settings import PREFIX, Settings

MAX_SHOWN_LETTERS = 60  # of a bad value in a message
SLIP_RATIO = 0.85  # our own choice, of difflib's ratio: one or two letters of a setting's name are wrong


def read_settings() -> Settings:
    """Read the settings of this process.

    Returns:
        The settings.

    Raises:
        ValueError: some values are invalid; the message has a line for each.
    """
    try:
        return Settings()
    except ValidationError as error:
        lines = []
        for invalid in error.errors(include_url=False):
            field = str(invalid["loc"][0])
            value = repr(invalid["input"])[:MAX_SHOWN_LETTERS]
            description = Settings.model_fields[field].description
            lines.append(f"{PREFIX}{field.upper()}: {invalid['msg']}; the value is {value}. {description}")
    raise ValueError("\n".join(lines))


def unknown_variables() -> list[str]:
    """Find variables with our prefix that are not settings; each is a warning.

    Returns:
        A warning for each variable.

    Raises:
        ValueError: a name differs from a setting's by a typing slip, so a limit or a key check may be missing.
    """
    settings = [f"{PREFIX}{field.upper()}" for field in Settings.model_fields]
    unknown = sorted(name for name in os.environ if name.upper().startswith(PREFIX) and name.upper() not in settings)
    nearest = {name: get_close_matches(name.upper(), settings, n=1, cutoff=SLIP_RATIO) for name in unknown}
    slips = [f"{name} is not a setting. Did you mean {match[0]}?" for name, match in nearest.items() if match]
    if slips:
        raise ValueError("\n".join(slips))
    return [f"{name} is not a setting and has no effect." for name in unknown]
