"""Fills in the template of the proxy's configuration."""

import re
from dataclasses import dataclass, fields
from ipaddress import ip_network
from urllib.parse import urlsplit

from jinja2 import Environment, PackageLoader, StrictUndefined

from api.serving.nginx.refusals import REFUSALS
from api.settings import Settings

MAX_PORT = 65_535  # 16 bits: RFC 9293, 3.1
_NAME = r"[A-Za-z0-9](?:[A-Za-z0-9.-]{0,251}[A-Za-z0-9])?"
_ADDRESS = re.compile(rf"(?:{_NAME}|\[[0-9A-Fa-f:.]{{2,45}}\]):[0-9]{{1,5}}")
# Nothing that ends a word, a directive or a quoted text in nginx's syntax.
_PATH = re.compile(r"/[A-Za-z0-9._/@+-]+")
_OPTIONAL_PATH = re.compile(rf"(?:{_PATH.pattern})?")
# By field: the option, the values that nginx reads as one word, and what to write.
_TEXTS = {
    "server_names": ("--server-name", re.compile(rf"(?:\*\.)?{_NAME}"), "a host name such as recipes.example"),
    "listen": ("--listen", _ADDRESS, "an address and a port, such as 0.0.0.0:443 or [::]:443"),
    "upstreams": ("--upstream", _ADDRESS, "an address and a port, such as 127.0.0.1:8001"),
    "prefix": ("--prefix", re.compile(r"(?:/[a-z0-9-]+)*"), "a path such as /tinwright, without a slash at its end"),
    "user": ("--user", re.compile(r"(?:[a-z_][a-z0-9_-]*)?"), "a user of this system"),
    "certificate": ("--certificate", _OPTIONAL_PATH, "an absolute path"),
    "certificate_key": ("--certificate-key", _OPTIONAL_PATH, "an absolute path"),
    "cache_folder": ("--cache-folder", _PATH, "an absolute path"),
    "temp_folder": ("--temp-folder", _PATH, "an absolute path"),
    "log_folder": ("--log-folder", _PATH, "an absolute path"),
    "pid_file": ("--pid-file", _PATH, "an absolute path"),
}


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
    cache_folder: str = "/var/lib/nginx/tinwright-cache"
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
        for name, (option, pattern, expected) in _TEXTS.items():
            value = getattr(self, name)
            for text in value if isinstance(value, tuple) else (value,):
                if not pattern.fullmatch(text):
                    raise ValueError(f"{option}: {text!r} is not {expected}.")
        _check_ports("--listen", self.listen)
        _check_ports("--upstream", self.upstreams)
        _check_networks("--unlimited", self.unlimited)
        _check_networks("--trusted-proxy", self.trusted_proxies)
        if bool(self.certificate) != bool(self.certificate_key):
            raise ValueError("--certificate and --certificate-key belong together: give both or neither.")
        for field in fields(self):
            if field.type is int and getattr(self, field.name) < 1:
                raise ValueError(f"--{field.name.replace('_', '-')} must be at least 1.")


def _check_ports(option: str, addresses: tuple[str, ...]) -> None:
    for address in addresses:
        if not 1 <= int(address.rpartition(":")[2]) <= MAX_PORT:
            raise ValueError(f"{option}: a port is a number from 1 to {MAX_PORT}; the address is {address}.")


def _check_networks(option: str, networks: tuple[str, ...]) -> None:
    for network in networks:
        try:
            ip_network(network)
        except ValueError as error:
            raise ValueError(f"{option}: {error}.") from None


def proxy_configuration(options: ProxyOptions, settings: Settings) -> str:
    """The text of an nginx configuration file.

    Args:
        options: what differs between installations.
        settings: the service's, whose size limits the proxy shares.

    Returns:
        A whole file, which nginx reads with `-c`.

    Raises:
        ValueError: the public URL of the service is not below the prefix.
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
    public_url = (settings.public_url or "").rstrip("/")
    if public_url and urlsplit(public_url).path != options.prefix:
        raise ValueError(
            f"--prefix: TINWRIGHT_PUBLIC_URL is {public_url}, so the prefix must be"
            f" {urlsplit(public_url).path or 'left out'}."
        )
    values["root"] = public_url or options.prefix
    text = environment.get_template("nginx.conf.jinja").render(
        **values,
        refusals=REFUSALS,
        max_body_bytes=settings.max_body_bytes,
        max_url_bytes=settings.max_url_bytes,
    )
    return text.rstrip() + "\n"
