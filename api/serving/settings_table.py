"""The table of settings in the operating guide: `python -m api.serving.settings_table` writes it again."""

import sys
from pathlib import Path
from typing import Any

from pydantic.fields import FieldInfo

from api.settings import PREFIX, Settings

GUIDE = Path(__file__).parent / "README.md"
BEGIN, END = "<!-- settings: written by python -m api.serving.settings_table -->", "<!-- end of settings -->"


def settings_table() -> str:
    """The settings as a table in Markdown.

    Returns:
        A row for each field of the settings model, in its order: variable, meaning, default and limits.
    """
    rows = [
        f"| `{PREFIX}{name.upper()}` | {field.description} | {_default_of(field)} | {_limits_of(field)} |"
        for name, field in Settings.model_fields.items()
    ]
    return "\n".join(["| variable | meaning | default | limits |", "| --- | --- | --- | --- |", *rows])


def with_table(guide: str) -> str:
    """The guide with the present table in place of the one it has.

    Args:
        guide: the text of the guide.

    Returns:
        The text, which differs from *guide* if the settings have changed.
    """
    before, rest = guide.split(BEGIN)
    _, after = rest.split(END)
    return f"{before}{BEGIN}\n\n{settings_table()}\n\n{END}{after}"


def _default_of(field: FieldInfo) -> str:
    value: Any = field.default
    if value is None or value == []:
        return "none"
    if isinstance(value, bool):
        return str(value).lower()
    return f"{value:g}" if isinstance(value, float) else str(value)


def _limits_of(field: FieldInfo) -> str:
    limits = {name: getattr(part, name) for part in field.metadata for name in ("ge", "le") if hasattr(part, name)}
    return f"{limits['ge']} to {limits['le']}" if len(limits) == 2 else ""


if __name__ == "__main__":
    GUIDE.write_text(with_table(GUIDE.read_text("utf-8")), "utf-8")
    sys.stdout.write(f"{GUIDE} is up to date\n")
