"""The address a request truly comes from, behind as many proxies as the settings say and no more."""

import ipaddress

from django.conf import settings
from django.http import HttpRequest

UNKNOWN = "0.0.0.0"  # noqa: S104 - a request over a socket has no address; nothing is bound to this


def client_address(request: HttpRequest) -> str:
    """The client's address: each proxy of ours appends whom it saw, so it is counted from the right.

    What stands further left was written by the client and counts for nothing. Without a proxy, or with fewer entries
    than proxies, it is the address that the connection itself came from.
    """
    connected = clean(request.META.get("REMOTE_ADDR", "")) or UNKNOWN
    entries = request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")
    proxies = settings.PROXIES
    if proxies == 0 or len(entries) < proxies:
        return connected
    return clean(entries[-proxies]) or connected


def clean(text: str) -> str:
    """One address without port and brackets; an IPv4 address written as IPv6 as IPv4. Empty for anything else."""
    text = text.strip()
    if text.startswith("["):
        text = text[1:].partition("]")[0]
    elif text.count(":") == 1:
        text = text.partition(":")[0]
    try:
        address = ipaddress.ip_address(text.partition("%")[0])
    except ValueError:
        return ""
    mapped = getattr(address, "ipv4_mapped", None)
    return str(mapped or address)


def network(address: str) -> str:
    """What one connection has to itself: an IPv4 address, or the /64 an IPv6 address lies in."""
    if ":" not in address:
        return address
    return str(ipaddress.IPv6Network(f"{address}/64", strict=False).network_address)
