"""Fills in the template of the proxy's configuration."""

import re
from dataclasses import dataclass, fields
from ipaddress import ip_network
from pathlib import Path

from jinja2 import Environment, PackageLoader, StrictUndefined

from api.serving.nginx.refusals import REFUSALS
from api.settings import Settings

_HOST = r"(?:[A-Za-z0-9](?:[A-Za-z0-9.-]{0,251}[A-Za-z0-9])?|\[[0-9A-Fa-f:.]{2,45}\])"
_ADDRESS = re.compile(rf"{_HOST}:[0-9]{{1,5}}")
_SERVER_NAME = re.compile(r"(?:\*\.)?[A-Za-z0-9](?:[A-Za-z0-9.-]{0,251}[A-Za-z0-9])?")
_PREFIX = re.compile(r"(?:/[a-z0-9-]+)*")
_USER = re.compile(r"[a-z_][a-z0-9_-]*|")
# Nothing that ends a word, a directive or a quoted text in nginx's syntax.
_FILE = re.compile(r"/[A-Za-z0-9._/@+-]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class ProxyOptions:
    """What differs from one installation to the next."""

    server_names: tuple[str, ...] = ("localhost",)
    listen: tuple[str, ...] = ()
    upstreams: tuple[str, ...] = ("127.0.0.1:8000",)
    certificate: str = ""
    certificate_key: str = ""
    prefix: str = ""
    rate: int = 50
    burst: int = 100
    connections_per_address: int = 64
    connections: int = 16_384
    unlimited: tuple[str, ...] = ()
    trusted_proxies: tuple[str, ...] = ()
    header_seconds: int = 10
    body_seconds: int = 10
    send_seconds: int = 10
    idle_seconds: int = 60
    cache_folder: str = "/var/cache/nginx/tinwright"
    cache_megabytes: int = 256
    temp_folder: str = "/var/lib/nginx"
    log_folder: str = "/var/log/nginx"
    pid_file: str = "/run/nginx.pid"
    user: str = "www-data"

    def __post_init__(self) -> None:
        """Check what is written into the configuration.

        Raises:
            ValueError: a value would not be what nginx expects in its place.
        """
        for name in self.server_names:
            _check(_SERVER_NAME, "--server-name", name, "a host name, such as recipes.example")
        for address in self.listen:
            _check(_ADDRESS, "--listen", address, "an address and a port, such as 0.0.0.0:443 or [::]:443")
        for address in self.upstreams:
            _check(_ADDRESS, "--upstream", address, "an address and a port, such as 127.0.0.1:8001")
        _check(_PREFIX, "--prefix", self.prefix, "a path of small letters, digits and dashes, such as /tinwright")
        _check(_USER, "--user", self.user, "a user of this system")
        for option in ("certificate", "certificate_key"):
            if getattr(self, option):
                _check(_FILE, f"--{option.replace('_', '-')}", getattr(self, option), "an absolute path")
        for option in ("cache_folder", "temp_folder", "log_folder", "pid_file"):
            _check(_FILE, f"--{option.replace('_', '-')}", getattr(self, option), "an absolute path")
        for network in (*self.unlimited, *self.trusted_proxies):
            ip_network(network)
        if bool(self.certificate) != bool(self.certificate_key):
            raise ValueError("--certificate and --certificate-key belong together: give both or neither.")
        for field in fields(self):
            if field.type is int and getattr(self, field.name) < 1:
                raise ValueError(f"--{field.name.replace('_', '-')} must be at least 1.")


def _check(pattern: re.Pattern[str], option: str, value: str, expected: str) -> None:
    if not pattern.fullmatch(value):
        raise ValueError(f"{option}: {value!r} is not {expected}.")


def proxy_configuration(options: ProxyOptions, settings: Settings) -> str:
    """The text of an nginx configuration file.

    Args:
        options: what differs between installations.
        settings: the service's, whose size limits the proxy shares.

    Returns:
        A whole file, which nginx reads with `-c`.
    """
    environment = Environment(
        loader=PackageLoader("api.serving", "nginx"),
        undefined=StrictUndefined,
        autoescape=False,  # noqa: S701 - not HTML; ProxyOptions has checked every value
        trim_blocks=True,
        lstrip_blocks=True,
    )
    values = {field.name: getattr(options, field.name) for field in fields(options)}
    values["listen"] = options.listen or (f"0.0.0.0:{443 if options.certificate else 80}",)
    text = environment.get_template("nginx.conf.jinja").render(
        **values,
        refusals=REFUSALS,
        max_body_bytes=settings.max_body_bytes,
        max_url_bytes=settings.max_url_bytes,
    )
    return text.rstrip() + "\n"
