"""How phones reach this machine: what it listens on, and the address that links are built from.

The environment decides (HOST, PORT, TLS, SITE_URL); else what the owner chose on the page, kept in
DATA_DIR; else this machine alone. Knows no Django: the settings stand on it.
"""

import json
import os
import socket
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import asdict, dataclass
from ipaddress import ip_address, ip_network
from pathlib import Path
from urllib.parse import urlsplit

from shared.site import environment as env

FILE = "address.json"
EVERYWHERE = ("0.0.0.0", "::")  # noqa: S104 (what is told apart, not listened on)
THIS_MACHINE = "127.0.0.1"
OWN_CERTIFICATE = "local"
# The port with TLS stands so far above the plain one: 8443 beside 8000.
TLS_ABOVE = 443
# Private and link-local use: RFC 1918, RFC 6598, RFC 3927, RFC 4193, RFC 4291.
PRIVATE = (
    "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "100.64.0.0/10", "169.254.0.0/16",
    "127.0.0.0/8", "fc00::/7", "fe80::/10", "::1/128",
)  # fmt: skip

OWN_NAMES = ("local", "localhost", "lan", "home.arpa")  # RFC 6762, 6761, common use, 8375.


@dataclass(frozen=True, slots=True)
class SiteAddress:
    """`url` is what links begin with; `tls` is "local" for a certificate of our own making."""

    url: str
    host: str = THIS_MACHINE
    tls: str = ""


def kept(folder: Path) -> SiteAddress | None:
    """What was chosen on the page; None if nothing was, or it cannot be read."""
    try:
        return SiteAddress(**json.loads((folder / FILE).read_text()))
    except (OSError, ValueError, TypeError):
        return None


def keep(folder: Path, reach: SiteAddress) -> None:
    """In one step, so that nobody reads half of it."""
    half = folder / f"{FILE}.{os.getpid()}"
    half.write_text(json.dumps(asdict(reach)))
    half.replace(folder / FILE)


def port() -> int:
    return env.whole("PORT", 8000, 1, 65535)


def tls_port() -> int:
    return env.whole("TLS_PORT", min(port() + TLS_ABOVE, 65535), 1, 65535)


def inner_port() -> int:
    """Where the web server waits for what had TLS around it; 0 if there is none."""
    return env.whole("TLS_INNER_PORT", 0, 0, 65535)


def now(folder: Path) -> SiteAddress:
    """What this installation does by its environment and what is kept in its folder."""
    return by(kept(folder))


def by(chosen: SiteAddress | None) -> SiteAddress:
    """What it would do with this choice: the environment goes before it.

    A choice that listens as the environment says decides which of the addresses links have.
    """
    tls = env.text("TLS", chosen.tls if chosen else "").lower()
    if tls not in {"", "off", OWN_CERTIFICATE}:
        raise env.bad("TLS", "local for a certificate of this machine's own, as in TLS=local")
    tls = "" if tls == "off" else tls
    usual = EVERYWHERE[0] if tls else THIS_MACHINE
    host = env.like(
        "HOST",
        r"[A-Za-z0-9][A-Za-z0-9.-]*|[\da-fA-F:.]+",
        "an address of this machine, as in HOST=0.0.0.0",
        default=chosen.host if chosen else usual,
    )
    fits = chosen is not None and (chosen.host, chosen.tls) == (host, tls)
    url = env.text("SITE_URL") or (chosen.url if chosen and fits else "")
    return SiteAddress(url.rstrip("/") or usual_url(host, tls), host, tls)


def usual_url(host: str, tls: str) -> str:
    """For an installation that was told none: by this machine's address in its network.

    A name that nobody knows here would lead this machine's own browser nowhere too.
    """
    name = host
    if host in EVERYWHERE:
        ours = own_hosts()
        vouched = (each for each in ours if not tls or is_private(each))
        name = next((each for each in vouched if not trouble(each, ours)), "localhost")
    elif is_loopback(host):
        name = "localhost"
    return own_url(name, tls)


def own_url(name: str, tls: str) -> str:
    name = f"[{name}]" if ":" in name else name
    return f"https://{name}:{tls_port()}" if tls else f"http://{name}:{port()}"


def trust_url(url: str, tls: str) -> str:
    """The plain page of the same machine that leads a phone to trust it; empty if none needs to."""
    return own_url(urlsplit(url).hostname or "", "") + "/trust/" if tls else ""


def own_addresses() -> tuple[str, ...]:
    """This machine's addresses in its networks (IPv4), the one that others see first.

    A datagram socket that is connected sends nothing; it only asks which way a packet would go.
    """
    found: list[str] = []
    for far in ("192.0.2.1", "10.255.255.254", "192.168.255.254"):
        with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as trial:
            trial.connect((far, 9))
            found.append(trial.getsockname()[0])
    with suppress(OSError):
        found += socket.gethostbyname_ex(socket.gethostname())[2]
    return tuple(dict.fromkeys(each for each in found if not is_loopback(each)))


def own_names() -> tuple[str, ...]:
    """What this machine is called: in its network by multicast DNS (RFC 6762), and by itself."""
    name = socket.gethostname().strip(".").lower()
    if not name or name == "localhost" or is_loopback(name):
        return ()
    first = name.split(".")[0]
    return tuple(dict.fromkeys((f"{first}.local", name)))


def own_hosts() -> tuple[str, ...]:
    """Every name and address by which this machine may be asked in its network."""
    return own_addresses() + own_names()


def is_loopback(host: str) -> bool:
    try:
        return ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return host == "localhost" or host.endswith(".localhost")


def is_only_here(url: str) -> bool:
    """Whether nothing but this machine can open this address."""
    return is_loopback(urlsplit(url).hostname or "localhost")


def is_private(host: str) -> bool:
    """Whether this name or address is of a private network: our authority vouches for no other."""
    try:
        address = ip_address(host)
    except ValueError:
        return any(host == each or host.endswith(f".{each}") for each in OWN_NAMES)
    return any(address in ip_network(each) for each in PRIVATE)


def is_own_network(url: str) -> bool:
    """Whether this address leads nowhere outside the network that the machine is in."""
    return is_private(urlsplit(url).hostname or "")


def trouble(host: str, ours: Iterable[str]) -> str:
    """Why phones cannot reach this machine by this name, in a sentence; empty if they may.

    A name is looked up; an address must be one of this machine's.
    """
    if is_loopback(host):
        return f"{host} is this machine alone. Choose a name or an address of the network."
    ours = tuple(ours)
    try:
        ip_address(host)
    except ValueError:
        try:
            socket.getaddrinfo(host, None)
        except (OSError, UnicodeError):
            return f"Nobody knows the name {host} here. Choose an address of digits instead."
        return ""
    if host not in ours:
        return f"{host} is not this machine any more. Choose one of {', '.join(ours) or 'none'}."
    return ""
