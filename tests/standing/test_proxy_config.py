"""The shipped proxy configuration: its command, and what nginx refuses with it."""

import re
import shutil
import ssl
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path

import httpx
import pytest

from api.__main__ import main
from api.pages.site import PROBLEM_TYPES
from api.serving.nginx.configuration import ProxyOptions, proxy_configuration
from api.serving.nginx.refusals import REFUSALS
from api.settings import Settings
from api.wire.problems import Problem
from tests.standing.proxying import Fleet, Proxy, dying_upstreams, get, needs_nginx, problem_of, proxy, read_answer

MALFORMED = "/problems/malformed_http"


@pytest.fixture(scope="module")
def fleet() -> Iterator[Fleet]:
    with Fleet(1, header_seconds=1) as running:
        yield running


@pytest.fixture
def running(fleet: Fleet) -> Proxy:
    return fleet.proxy


def test_the_command_prints_a_configuration_filled_with_its_options(capsys: pytest.CaptureFixture[str]) -> None:
    status = main(
        [
            "proxy-config",
            "--server-name",
            "recipes.example",
            "--listen",
            "[::]:8443",
            "--upstream",
            "127.0.0.1:8001",
            "--upstream",
            "127.0.0.1:8002",
            "--certificate",
            "/etc/tls/chain.pem",
            "--certificate-key",
            "/etc/tls/key.pem",
            "--rate",
            "7",
            "--unlimited",
            "192.0.2.0/24",
            "--trusted-proxy",
            "198.51.100.7",
        ]
    )
    printed = capsys.readouterr().out
    assert status == 0
    for line in (
        'server_name recipes.example "";',
        "listen [::]:8443 ssl;",
        "server 127.0.0.1:8001 max_fails=1 fail_timeout=1s;",
        "server 127.0.0.1:8002 max_fails=1 fail_timeout=1s;",
        "ssl_certificate_key /etc/tls/key.pem;",
        "zone=requests:10m rate=7r/s;",
        "192.0.2.0/24 0;",
        "set_real_ip_from 198.51.100.7;",
    ):
        assert line in printed
    assert "{{" not in printed


def test_sizes_are_those_of_the_service(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TINWRIGHT_MAX_BODY_BYTES", "2000000")
    monkeypatch.setenv("TINWRIGHT_MAX_URL_BYTES", "10000")
    assert main(["proxy-config"]) == 0
    printed = capsys.readouterr().out
    assert "client_max_body_size 2000000;" in printed
    assert "large_client_header_buffers 2 11k;" in printed


def test_every_option_has_a_flag(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["proxy-config", "--help"])
    flags = {
        flag.strip("-").replace("-", "_")
        for flag in re.findall(r"^  (--[a-z-]+)", capsys.readouterr().out, re.MULTILINE)
    }
    repeatable = {"server_name": "server_names", "upstream": "upstreams", "trusted_proxy": "trusted_proxies"}
    names = {flag.replace("-", "_") for flag in flags}
    assert {repeatable.get(name, name) for name in names} == {field.name for field in fields(ProxyOptions)}


@pytest.mark.parametrize(
    ("arguments", "reason"),
    [
        (["--server-name", "a;b"], "--server-name"),
        (["--upstream", "127.0.0.1"], "--upstream"),
        (["--listen", "0.0.0.0:80; include /etc/passwd"], "--listen"),
        (["--prefix", "tinwright/"], "--prefix"),
        (["--certificate", "/etc/tls/chain.pem"], "--certificate-key"),
        (["--log-folder", "/var/log/x;"], "--log-folder"),
        (["--rate", "0"], "--rate"),
        (["--unlimited", "shop.example"], "--unlimited: 'shop.example'"),
        (["--trusted-proxy", "10.0.0.1/8"], "--trusted-proxy: 10.0.0.1/8"),
        (["--upstream", "127.0.0.1:99999"], "--upstream: a port is a number from 1 to 65535"),
        (["--listen", "0.0.0.0:0"], "--listen"),
        (["--user", "www data"], "--user"),
    ],
)
def test_an_option_that_nginx_would_misread_is_refused(
    arguments: list[str], reason: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["proxy-config", *arguments]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert reason in printed.err


def test_each_refusal_is_a_problem_with_a_page() -> None:
    assert {refusal.code for refusal in REFUSALS} <= PROBLEM_TYPES.keys()
    assert len({refusal.nginx_status for refusal in REFUSALS}) == len(REFUSALS)
    # Generated clients require every field that the contract requires.
    assert all(Problem.model_validate_json(refusal.document("/prefix"), strict=True) for refusal in REFUSALS)
    # The document stands in single quotes in nginx's syntax, where $ and ' would end or change it.
    assert not [refusal for refusal in REFUSALS if set("$'\\") & set(refusal.document("/prefix"))]


@needs_nginx
@pytest.mark.parametrize(
    ("request_bytes", "status", "code"),
    [
        pytest.param(b"GET /v1/units HTTP/1.1\r\n\r\n", 400, "malformed_http", id="no Host"),
        pytest.param(get("/v1/units", "Host: other"), 400, "malformed_http", id="two Hosts"),
        pytest.param(
            b"GET /v1/units HTTP/2.0\r\nHost: service\r\n\r\n", 505, "http_version_not_supported", id="HTTP/2"
        ),
        pytest.param(
            b"POST /v1/convert HTTP/1.1\r\nHost: service\r\nTransfer-Encoding: gzip, chunked\r\n\r\n0\r\n\r\n",
            501,
            "unsupported_transfer_encoding",
            id="gzip before chunked",
        ),
        pytest.param(
            b"POST / HTTP/1.1\r\nHost: service\r\nTransfer-Encoding: chunked\r\nContent-Length: 5\r\n\r\n0\r\n\r\n",
            400,
            "malformed_http",
            id="both lengths",
        ),
        pytest.param(
            b"POST /v1/convert HTTP/1.1\r\nHost: service\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\nabcdef",
            400,
            "malformed_http",
            id="two lengths",
        ),
        pytest.param(
            b"POST /v1/convert HTTP/1.1\r\nHost: service\r\nTransfer-Encoding: chunked\r\n\r\nxyz\r\n",
            400,
            "malformed_http",
            id="no chunk size",
        ),
        pytest.param(get("/v1/units", "X: " + 200_000 * "x"), 431, "headers_too_large", id="one huge header"),
        pytest.param(get("/v1/units", *5_000 * ["X-Header: x"]), 431, "headers_too_large", id="5,000 headers"),
        pytest.param(get("/" + 200_000 * "x"), 414, "url_too_long", id="huge path"),
        pytest.param(b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03\r\n\r\n", 400, "malformed_http", id="TLS hello"),
        pytest.param(b"GET  HTTP/1.1\r\nHost: service\r\n\r\n", 400, "malformed_http", id="no path"),
        pytest.param(b"TRACE / HTTP/1.1\r\nHost: service\r\n\r\n", 405, "method_not_allowed", id="TRACE"),
        pytest.param(get("/v1/units", host="elsewhere.example"), 421, "unknown_host", id="another host"),
        pytest.param(b"A" * 5_000 + b" / HTTP/1.1\r\nHost: service\r\n\r\n", 400, "malformed_http", id="long method"),
        pytest.param(b"OPTIONS * HTTP/1.1\r\nHost: service\r\n\r\n", 400, "malformed_http", id="no path but a star"),
        pytest.param(get("/../../etc/passwd"), 400, "malformed_http", id="path above the root"),
        pytest.param(get("/%zz"), 400, "malformed_http", id="bad percent-encoding"),
        pytest.param(get("/v1/units", "X : y"), 400, "malformed_http", id="blank before a colon"),
        pytest.param(get("/v1/units", 'If-Match: "x"'), 412, "precondition_failed", id="If-Match"),
        pytest.param(get("/metrics"), 404, "not_found", id="metrics"),
        pytest.param(get("/proxy-problems/502"), 404, "not_found", id="a refusal's own path"),
        pytest.param(
            b"POST /v1/convert HTTP/1.1\r\nHost: service\r\nContent-Length: 1000001\r\n\r\n",
            413,
            "body_too_large",
            id="large body",
        ),
    ],
)
def test_a_malformed_or_large_request_is_a_problem(
    running: Proxy, request_bytes: bytes, status: int, code: str
) -> None:
    answer = running.ask(request_bytes)
    if code == "headers_too_large" and b"X-Header" in request_bytes:
        # Each field is small, so nginx passes them on, and the service refuses their number.
        assert answer[0] == status
        assert answer[1]["content-type"] == "application/problem+json"
        return
    assert problem_of(answer)["type"] == f"/problems/{code}"
    assert answer[0] == status
    assert running.ask(get("/healthz"))[0] == 200


@needs_nginx
@pytest.mark.parametrize("host", ["", "Host: service\r\n"])
def test_a_request_of_http_1_0_is_answered_with_and_without_host(running: Proxy, host: str) -> None:
    assert running.ask(f"GET /v1/units HTTP/1.0\r\n{host}\r\n".encode())[0] == 200


@needs_nginx
@pytest.mark.parametrize("address", ["http://service/v1/units", "/v1/units"])
def test_ranges_are_ignored_and_absolute_addresses_read(running: Proxy, address: str) -> None:
    for _ in range(2):  # the second answer comes from the cache
        assert running.ask(get(address, "Range: bytes=0-5"))[0] == 200


@needs_nginx
def test_headers_that_do_not_end_are_cut(running: Proxy) -> None:
    with running.connect() as connection:
        connection.sendall(get("/v1/units")[:-2] + b"X: ")
        with pytest.raises(ConnectionError):
            read_answer(connection)


@needs_nginx
def test_the_service_sees_the_client_and_not_what_it_claims() -> None:
    claims = ("X-Forwarded-For: 192.0.2.1", "X-Forwarded-Proto: https", "X-Forwarded-Host: elsewhere.example")
    with dying_upstreams(1) as (ports, received), proxy(ports) as running:
        running.ask(get("/v1/units?a=%2F", *claims, "X-Request-ID: mine", "Accept-Encoding: gzip"), source="127.0.6.1")
    head = received[0].decode("latin-1").split("\r\n")
    assert head[0] == "GET /v1/units?a=%2F HTTP/1.1"
    forwarded = dict(line.split(": ", 1) for line in head[1:] if line)
    assert forwarded["Host"] == forwarded["X-Forwarded-Host"] == "service"
    assert (forwarded["X-Forwarded-For"], forwarded["X-Forwarded-Proto"]) == ("127.0.6.1", "http")
    assert forwarded["X-Request-ID"] == "mine"
    assert "Accept-Encoding" not in forwarded


@needs_nginx
def test_a_body_in_one_byte_chunks_reaches_the_service_with_its_length() -> None:
    chunks = b"".join(b"1\r\n%c\r\n" % byte for byte in b"x" * 99_997 + b"END")
    head = b"POST /v1/rescale HTTP/1.1\r\nHost: service\r\nTransfer-Encoding: chunked\r\n\r\n"
    with dying_upstreams(1) as (ports, received), proxy(ports) as running:
        assert running.ask(head + chunks + b"0\r\n\r\n")[0] == 502
    assert b"\r\nContent-Length: 100000\r\n" in received[0]
    assert b"chunked" not in received[0]


@needs_nginx
def test_a_path_prefix_is_removed_before_the_service_sees_it(fleet: Fleet) -> None:
    with proxy(fleet.ports, prefix="/bake/tinwright") as prefixed:
        direct = httpx.get(f"http://127.0.0.1:{fleet.ports[0]}/v1/cuts?tin=square%2020%20cm&portions=9")
        through = httpx.get(f"http://127.0.0.1:{prefixed.port}/bake/tinwright/v1/cuts?tin=square%2020%20cm&portions=9")
        assert (through.status_code, through.content) == (direct.status_code, direct.content) == (200, direct.content)
        # An encoded slash stays one: the path is passed on as it was sent.
        missing = httpx.get(f"http://127.0.0.1:{prefixed.port}/bake/tinwright/v1/ingredients/a%2Fb")
        assert missing.status_code == 404
        outside = prefixed.ask(get("/v1/units"))
        assert problem_of(outside)["type"] == "/bake/tinwright/problems/not_found"
        assert prefixed.ask(get("/bake/tinwright/metrics"))[0] == 404


@pytest.fixture
def certificate() -> Iterator[tuple[str, str]]:
    """A certificate for `service` and its key, in a folder that nginx can read without rights."""
    if shutil.which("openssl") is None:
        pytest.skip("this machine has no openssl")
    with tempfile.TemporaryDirectory(prefix="tinwright-tls-") as folder:
        chain, key = Path(folder, "chain.pem"), Path(folder, "key.pem")
        command = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", "/CN=service"]
        names = ["-addext", "subjectAltName=DNS:service,IP:127.0.0.1"]
        subprocess.run([*command, *names, "-keyout", str(key), "-out", str(chain)], check=True, capture_output=True)
        Path(folder).chmod(0o755)
        key.chmod(0o644)
        yield str(chain), str(key)


@needs_nginx
def test_with_a_certificate_it_speaks_https_alone(fleet: Fleet, certificate: tuple[str, str]) -> None:
    chain, key = certificate
    context = ssl.create_default_context(cafile=chain)
    with (
        proxy(fleet.ports, certificate=chain, certificate_key=key) as secure,
        httpx.Client(verify=context, base_url=f"https://127.0.0.1:{secure.port}") as client,
    ):
        # A client sends no name for an address, so the handshake is rejected.
        with pytest.raises(httpx.ConnectError):
            client.get("/healthz")
        statuses = {
            host: client.get("/healthz", headers={"Host": host}, extensions={"sni_hostname": "service"}).status_code
            for host in ("service", "elsewhere.example")
        }
        assert statuses == {"service": 200, "elsewhere.example": 421}
        assert problem_of(secure.ask(get("/healthz")))["type"] == "/problems/https_needed"


def test_the_template_has_no_directive_that_repeats_a_post() -> None:
    directives = [
        line.strip()
        for line in proxy_configuration(ProxyOptions(), Settings()).splitlines()
        if line.strip().startswith("proxy_next_upstream")
    ]
    assert directives == [
        "proxy_next_upstream error timeout;",
        "proxy_next_upstream_tries 2;",
        "proxy_next_upstream_timeout 3s;",
    ]
