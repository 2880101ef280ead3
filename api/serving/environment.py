"""The settings as the environment has them, and what to tell whoever wrote something else there."""

import os
import re
from collections.abc import Iterator
from difflib import get_close_matches
from typing import Any

from pydantic import ValidationError

from api.settings import PREFIX, Settings

MOST_SHOWN = 60  # our own limit: letters of a value in a message
# Our own choices, of difflib's ratio: from the first on a name is a slip (a letter, an `_`), from the second on akin.
SLIP, AKIN = 0.85, 0.6
_OPTIONS = {"ACCESS", "HOST", "PORT", "WORKERS"}  # of the command line
_OF_TESTS = re.compile(r"LONG_TESTS|NO_[A-Z]+")
# Kubernetes' Service links, where a Service is named as we are.
_LINK = re.compile(r"(\w+_)?(SERVICE_(HOST|PORT(_\w+)?)|PORT_[0-9]+_(TCP|UDP|SCTP)(_(ADDR|PORT|PROTO))?)")
_LINK_VALUE = re.compile(r"(tcp|udp|sctp)://")
_LINKS_OFF = "Kubernetes sets it for a Service of that name; enableServiceLinks: false in the pod's spec ends that."


def read_settings() -> Settings:
    """The settings of this process.

    Raises:
        ValueError: some cannot be used; a line for each variable says what would be right.
    """
    try:
        return Settings()
    except ValidationError as error:
        fields = dict.fromkeys(str(one["loc"][0]) for one in error.errors())
    raise ValueError("\n".join(_what_is_right(field) for field in fields))


def unknown_variables() -> list[str]:
    """What is said in the environment to nobody, a line for each variable of our prefix that is no setting.

    A slip of the pen stops the start: whoever meant a limit or a lock should not find out later that there is none. A
    name that is like none of ours is told and no more, since it does no harm by itself: it may be a newer version's,
    whose settings stay when one goes back in a hurry, or another program's.

    Raises:
        ValueError: a name is a setting's but for a slip; with the setting's.
    """
    fields = [field.upper() for field in Settings.model_fields]
    slips, strange = [], []
    for variable, value in _ours():
        name = variable.upper().removeprefix(PREFIX)
        if name in fields or _OF_TESTS.fullmatch(name) or _LINK.fullmatch(name) or _LINK_VALUE.match(value):
            continue
        if slip := get_close_matches(name, fields, n=1, cutoff=SLIP):
            slips.append(f"{variable} is no setting, and nearly one: {PREFIX}{slip[0]}. Mend the name, or unset it.")
        elif name in _OPTIONS:
            strange.append(f"{variable} is no setting and changes nothing: say --{name.lower()} on the command line.")
        else:
            akin = get_close_matches(name, fields, n=1, cutoff=AKIN)
            hint = f"; the nearest is {PREFIX}{akin[0]}" if akin else ""
            strange.append(f"{variable} is no setting and changes nothing{hint}.")
    if slips:
        raise ValueError("\n".join(slips))
    return strange


def _ours() -> Iterator[tuple[str, str]]:
    """Names in any case, as the settings are read."""
    return ((name, value) for name, value in sorted(os.environ.items()) if name.upper().startswith(PREFIX))


def _what_is_right(field: str) -> str:
    variable = f"{PREFIX}{field.upper()}"
    value = next((value for name, value in _ours() if name.upper() == variable), "")
    shown = value if len(value) <= MOST_SHOWN else f"{value[:MOST_SHOWN]}..."
    told = f"{variable}: {shown!r} is not {_right(field)}. {Settings.model_fields[field].description}"
    return f"{told} {_LINKS_OFF}" if _LINK_VALUE.match(value) else told


def _right(field: str) -> str:
    schema: dict[str, Any] = Settings.model_json_schema()["properties"][field]
    schema = next(iter(schema.get("anyOf", ())), schema)  # of a value that may be left out the value
    if "enum" in schema or "const" in schema:
        words = schema.get("enum") or [schema["const"]]
        return " or ".join([", ".join(words[:-1]), words[-1]] if words[1:] else words)
    kinds = {"boolean": "true or false", "array": "a JSON list as it should be", "string": "such a text"}
    if schema["type"] in kinds:
        return kinds[schema["type"]]
    kind = "a whole number" if schema["type"] == "integer" else "a number"
    return f"{kind} from {schema['minimum']} to {schema['maximum']}"
