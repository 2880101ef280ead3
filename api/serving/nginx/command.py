"""`python -m api proxy-config`: print the proxy's configuration."""

import argparse
import sys
from typing import Any

from api.serving.environment import read_settings
from api.serving.nginx.configuration import ProxyOptions, proxy_configuration

_DEFAULTS = ProxyOptions()
_REPEATABLE = (
    ("--server-name", "NAME", "server_names", "host name that clients use; repeatable (default localhost)"),
    ("--listen", "ADDRESS:PORT", "listen", "repeatable (default 0.0.0.0:443 with a certificate, else 0.0.0.0:80)"),
    ("--upstream", "ADDRESS:PORT", "upstreams", "one process of the service; repeatable (default 127.0.0.1:8000)"),
    ("--unlimited", "NETWORK", "unlimited", "address without limits on rate and connections; repeatable"),
    ("--trusted-proxy", "NETWORK", "trusted_proxies", "load balancer whose X-Forwarded-For is trusted; repeatable"),
)
_SINGLE = (
    ("certificate", "FILE", "certificate chain for TLS, PEM"),
    ("certificate_key", "FILE", "its private key, PEM"),
    (
        "prefix",
        "PATH",
        "path of the service, such as /tinwright; removed before the service sees it; ends TINWRIGHT_PUBLIC_URL",
    ),
    ("rate", "N", "requests per second that one address may send"),
    ("burst", "N", "requests that one address may send at once before the rate holds"),
    ("connections_per_address", "N", "requests of one address that are being read or answered at the same time"),
    ("connections", "N", "connections of each worker process; needs twice as many open files"),
    ("header_seconds", "N", "time for a whole request header"),
    ("body_seconds", "N", "longest pause within a request body"),
    ("send_seconds", "N", "longest time in which a client reads nothing of its answer"),
    ("idle_seconds", "N", "time after which a connection without a request is closed"),
    ("cache_folder", "FOLDER", "where answers are cached"),
    ("cache_megabytes", "N", "largest size of that folder"),
    ("temp_folder", "FOLDER", "where long bodies and answers wait"),
    ("log_folder", "FOLDER", "where logs are written"),
    ("pid_file", "FILE", "where nginx writes its process id"),
    ("user", "NAME", "user of the worker processes; empty if nginx is not started as root"),
)


def add_proxy_config_command(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add `proxy-config` and its options to the commands."""
    parser = commands.add_parser(
        "proxy-config",
        help="print a configuration for nginx in front of the service",
        description="Print a complete configuration file for nginx in front of the service. Limits on the size of"
        " bodies and addresses are the service's own: set TINWRIGHT_MAX_BODY_BYTES and TINWRIGHT_MAX_URL_BYTES as for"
        " the service.",
    )
    for flag, metavar, name, text in _REPEATABLE:
        parser.add_argument(flag, action="append", metavar=metavar, dest=name, help=text)
    for name, metavar, text in _SINGLE:
        default = getattr(_DEFAULTS, name)
        parser.add_argument(
            f"--{name.replace('_', '-')}",
            metavar=metavar,
            type=type(default),
            default=default,
            help=f"{text} (default {default if default != '' else 'none'})",
        )


def run_proxy_config_command(options: argparse.Namespace) -> int:
    """Print the configuration.

    Args:
        options: as the parser read them.

    Returns:
        The exit status: 0; 2 if an option or a setting cannot be used, with the reason on standard error.
    """
    values: dict[str, Any] = {name: getattr(options, name) for name, _, _ in _SINGLE}
    for _, _, name, _ in _REPEATABLE:
        if repeated := getattr(options, name):
            values[name] = tuple(repeated)
    try:
        sys.stdout.write(proxy_configuration(ProxyOptions(**values), read_settings()))
    except ValueError as error:
        sys.stderr.write(f"{error}\n")
        return 2
    return 0
