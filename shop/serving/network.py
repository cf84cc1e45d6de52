"""The address to listen at, and the one that tablets in the workshop use. Sends nothing."""

from __future__ import annotations

import errno
import fcntl
import socket
import struct
from ipaddress import IPv4Address
from pathlib import Path

from shop.serving.problems import StartProblem

SIOCGIFADDR = 0x8915  # Linux, netdevice(7): the address of an interface
ROUTES = Path("/proc/net/route")


def listen(host: str, port: int) -> socket.socket:
    """Take the port now and keep it through everything that follows."""
    taken = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        taken.bind((host, port))
        taken.listen()
    except OSError as error:
        taken.close()
        raise StartProblem(_why_not(error, port)) from error
    return taken


def _why_not(error: OSError, port: int) -> str:
    other = port + 1 if 1024 <= port < 65535 else 8000
    if error.errno == errno.EADDRINUSE:
        return (
            f"Port {port} is taken by another program; stop that one, "
            f"or choose another port: script/server --port {other}."
        )
    if error.errno == errno.EACCES:
        return f"Port {port} is for administrators only; choose another: --port {other}."
    return f"Port {port} cannot be opened: {error.strerror}."


def addresses() -> list[str]:
    """The private IPv4 addresses of this machine, the one of the default route first."""
    first = _interface_of_default_route()
    names = sorted((name for _, name in socket.if_nameindex()), key=lambda name: name != first)
    found = [address for name in names if (address := _address_of(name)) is not None]
    return [str(address) for address in found if _reaches_the_workshop(address)]


def _reaches_the_workshop(address: IPv4Address) -> bool:
    return address.is_private and not address.is_loopback and not address.is_link_local


def _address_of(interface: str) -> IPv4Address | None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        request = struct.pack("256s", interface.encode()[:15])
        try:
            answer = fcntl.ioctl(asking, SIOCGIFADDR, request)
        except OSError:
            return None  # an interface without an IPv4 address
    return IPv4Address(answer[20:24])


def _interface_of_default_route() -> str:
    try:
        rows = [row.split() for row in ROUTES.read_text(encoding="ascii").splitlines()[1:]]
    except OSError:
        return ""
    return next((row[0] for row in rows if row[1] == "00000000"), "")
