"""The way to a service: how the environment sets it up, and what may stand in it."""

import os
from urllib.parse import urlsplit

import httpx


def set_up() -> list[str]:
    """Return the variables set that say how the network is reached."""
    known = {f"{name}_proxy" for name in ("http", "https", "all", "no")}
    known |= {"ssl_cert_file", "ssl_cert_dir", "sslkeylogfile"}
    return sorted(name for name in os.environ if name.casefold() in known)


def broken(error: httpx.RequestError) -> str:
    """Return in words what became of a connection."""
    host = urlsplit(str(error.request.url)).hostname
    if not isinstance(error, httpx.ConnectError):
        return f"the connection to {host} broke off"
    if "certificate" not in str(error).casefold():
        return f"{host} can't be reached"
    return (
        f"what answers in place of {host} has a certificate that isn't trusted, as where the "
        "network has a login page or the computer's clock is wrong"
    )


def same_house(asked: httpx.URL, target: httpx.URL) -> bool:
    """Return whether a redirect stays with the host, and doesn't leave encryption behind."""
    return (asked.scheme, asked.host, asked.port) == (target.scheme, target.host, target.port)
