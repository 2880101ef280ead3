"""A deprecated operation says so in its answers, in the document and on the page; today there is none."""

from datetime import UTC, datetime, timedelta, timezone

import pytest

from api.app import create_api, create_app
from api.contract import deprecation
from api.contract.deprecation import Deprecated
from api.settings import Settings
from tests.standing.asking import ask

SINCE = datetime(2023, 6, 30, 23, 59, 59, tzinfo=UTC)
UNTIL = datetime(2024, 7, 1, 1, 0, tzinfo=timezone(timedelta(hours=1)))
ENTRY = Deprecated(since=SINCE, until=UNTIL, instead="GET /v1/ingredients")
ANNOUNCED = {"deprecation", "sunset", "link"}


@pytest.mark.parametrize(
    ("method", "template", "path"),
    [
        ("GET", "/v1/units", "/v1/units"),
        ("GET", "/v1/ingredients/{ingredient_id}", "/v1/ingredients/butter"),
        ("GET", "/v1/ingredients/{ingredient_id}", "/v1/ingredients/nothing"),
    ],
)
def test_a_deprecated_operation_announces_its_end(
    monkeypatch: pytest.MonkeyPatch, method: str, template: str, path: str
) -> None:
    templates = create_api(Settings()).openapi()["paths"]
    template = next(
        candidate for candidate in templates if candidate.split("{")[0] == template.split("{", maxsplit=1)[0]
    )
    monkeypatch.setitem(deprecation.OPERATIONS, (method, template), ENTRY)
    app = create_app(Settings(public_url="https://tinwright.example"))
    for verb in ("GET", "HEAD"):
        answer = ask(app, verb, path)
        # The date of RFC 9745's own example, and RFC 8594's form of a date.
        assert answer.headers["deprecation"] == "@1688169599"
        assert answer.headers["sunset"] == "Mon, 01 Jul 2024 00:00:00 GMT"
        assert answer.headers["link"] == '<https://tinwright.example/changes>; rel="deprecation"; type="text/html"'
    assert not ANNOUNCED & ask(app, "GET", "/v1/eggs/classes").headers.keys()
    document = create_api(Settings()).openapi()
    assert document["paths"][template]["get"]["deprecated"] is True
    page = ask(app, "GET", "/changes").text
    assert f"<code>GET {template}</code></th><td>2023-06-30</td><td>2024-07-01</td>" in page


def test_nothing_is_deprecated_today() -> None:
    app = create_app(Settings())
    assert not ANNOUNCED & ask(app, "GET", "/v1/units").headers.keys()
    assert "No operation is deprecated today." in ask(app, "GET", "/changes").text
    operations = [
        operation for methods in create_api(Settings()).openapi()["paths"].values() for operation in methods.values()
    ]
    assert len(operations) > 20
    assert not any(operation.get("deprecated") for operation in operations)


def test_an_operation_is_not_removed_too_soon() -> None:
    with pytest.raises(ValueError, match="at least 12 months"):
        Deprecated(since=SINCE, until=SINCE + timedelta(days=300), instead="nothing")
    with pytest.raises(ValueError, match="time zone"):
        Deprecated(since=SINCE, until=datetime(2030, 1, 1), instead="nothing")  # noqa: DTZ001
