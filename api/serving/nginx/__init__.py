"""The configuration of nginx, the proxy in front of the service: a template and the command that fills it in."""
