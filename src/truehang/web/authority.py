"""Who vouches for this server to a phone? An authority of its own, where no certificate is given.

The authority and the certificate of this server are each one file, with the key in it, that only
this user may read. A phone that trusts the authority takes each new certificate by itself; so the
authority may vouch for nothing but names and addresses of one's own network, and is made anew only
when it nears its end or a name is asked for that it may not vouch for.
"""

from __future__ import annotations

import ipaddress
import socket
from collections.abc import Collection
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from truehang.store import private

if TYPE_CHECKING:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey

AUTHORITY_LIFE = timedelta(days=3650)
SITE_LIFE = timedelta(days=397)
"""Phones refuse certificates of servers that last much longer (common practice, no source)."""
RENEWED_BEFORE = timedelta(days=60)
_SLOW_CLOCKS = timedelta(days=1)
_OWN_NETWORKS = (
    # RFC 1918, 3927, 6598, 4193, 4291; loopback RFC 1122 and 4291.
    "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "100.64.0.0/10",
    "127.0.0.0/8", "fc00::/7", "fe80::/10", "::1/128",
)  # fmt: skip
_OWN_DOMAINS = ("local", "lan", "internal", "home.arpa", "localhost")
"""Names that nobody owns (RFC 6762, 8375, 6761), and one that many routers give."""


@dataclass(frozen=True, slots=True)
class Vouched:
    """What a server shows and what phones are to trust. `site` is the file with certificate and
    key, `authority` the authority's certificate (DER); `until` is when the certificate ends, and
    `anew` says that the authority was made just now: no phone trusts it yet."""

    site: Path
    authority: bytes
    until: datetime
    anew: bool

    @property
    def fingerprint(self) -> str:
        """The authority's SHA-256 in pairs, as phones print it."""
        from hashlib import sha256

        return sha256(self.authority).digest().hex(" ").upper()


def vouched(
    folder: Path, names: Collection[str], also: Collection[str] = (), now: datetime | None = None
) -> Vouched:
    """The authority and the certificate of these names and addresses, kept in `folder`; made or
    renewed where they must be. `also` are names that are no reason for a new authority.

    Raises OSError where it can't be written.
    """
    now = now or datetime.now(UTC)
    known = _read(folder / "authority.pem")
    anew = known is None or _ends(known[0], now) or not _covers(known[0], names)
    if anew or known is None:
        known = _authority({*names, *also}, now)
        private.write(folder / "authority.pem", [_pem(*known)])
    wanted = sorted({*names, *(name for name in also if _covers(known[0], [name]))})
    site = _read(folder / "site.pem")
    if site is None or _ends(site[0], now) or not _stands(site[0], known[0], wanted):
        site = _site(known, wanted, now)
        private.write(folder / "site.pem", [_pem(*site)])
    from cryptography.hazmat.primitives.serialization import Encoding

    return Vouched(
        folder / "site.pem", known[0].public_bytes(Encoding.DER), site[0].not_valid_after_utc, anew
    )


def local_name() -> str:
    """This machine's name on its network, where the machine itself answers to it; "" otherwise."""
    name = socket.gethostname().partition(".")[0].lower() + ".local"
    return name if _resolves(name) else ""


def _resolves(name: str) -> bool:
    from threading import Thread

    found: list[object] = []

    def look() -> None:
        try:
            found.extend(socket.getaddrinfo(name, None))
        except OSError:
            return

    asking = Thread(target=look, daemon=True)  # a resolver may take many seconds to say no
    asking.start()
    asking.join(2.0)
    return bool(found)


# ---------------------------------------------------------------- what is kept


def _read(path: Path) -> tuple[x509.Certificate, EllipticCurvePrivateKey] | None:
    """What is kept there; None where nothing is, or nothing that can be used."""
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    try:
        data = path.read_bytes()
        certificate, key = x509.load_pem_x509_certificate(data), load_pem_private_key(data, None)
    except (FileNotFoundError, ValueError):
        return None
    if not isinstance(key, EllipticCurvePrivateKey) or key.public_key() != certificate.public_key():
        return None
    private.folder(path.parent)
    path.chmod(private.FILE)
    return certificate, key


def _ends(certificate: x509.Certificate, now: datetime) -> bool:
    """Whether it nears its end: an authority must outlive what it vouches for."""
    from cryptography import x509

    basic = certificate.extensions.get_extension_for_class(x509.BasicConstraints).value
    margin = RENEWED_BEFORE + (SITE_LIFE if basic.ca else timedelta())
    return certificate.not_valid_after_utc - now < margin or certificate.not_valid_before_utc > now


def _covers(authority: x509.Certificate, names: Collection[str]) -> bool:
    """Whether the authority may vouch for all of these."""
    from cryptography import x509

    allowed = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    subtrees = allowed.permitted_subtrees or ()
    domains = [one.value for one in subtrees if isinstance(one, x509.DNSName)]
    networks = [one.value for one in subtrees if isinstance(one, x509.IPAddress)]

    def covered(name: str) -> bool:
        address = _address(name)
        if address is None:
            return any(name == domain or name.endswith(f".{domain}") for domain in domains)
        return any(address in network for network in networks)  # type: ignore[operator]

    return all(map(covered, names))


def _stands(site: x509.Certificate, authority: x509.Certificate, names: Collection[str]) -> bool:
    """Whether the certificate is this authority's and holds for all of these names."""
    from cryptography import x509
    from cryptography.exceptions import InvalidSignature

    try:
        site.verify_directly_issued_by(authority)
    except (InvalidSignature, ValueError, TypeError):
        return False
    held = site.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return {str(one.value) for one in held} >= set(names)


def _address(name: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        return ipaddress.ip_address(name)
    except ValueError:
        return None


def _pem(certificate: x509.Certificate, key: EllipticCurvePrivateKey) -> bytes:
    from cryptography.hazmat.primitives import serialization as s

    private_key = key.private_bytes(s.Encoding.PEM, s.PrivateFormat.PKCS8, s.NoEncryption())
    return certificate.public_bytes(s.Encoding.PEM) + private_key


# ---------------------------------------------------------------- what is made


def _general(names: Collection[str]) -> list[x509.GeneralName]:
    from cryptography import x509

    told: list[x509.GeneralName] = []
    for name in names:
        address = _address(name)
        told.append(x509.DNSName(name) if address is None else x509.IPAddress(address))
    return told


def _authority(
    names: Collection[str], now: datetime
) -> tuple[x509.Certificate, EllipticCurvePrivateKey]:
    """A new authority, for one's own network and for names asked for that lie outside of it."""
    from cryptography import x509

    own: list[x509.GeneralName] = [x509.DNSName(domain) for domain in _OWN_DOMAINS]
    own += [x509.IPAddress(ipaddress.ip_network(network)) for network in _OWN_NETWORKS]
    for name in names:
        address = _address(name)
        own.append(
            x509.DNSName(name) if address is None else x509.IPAddress(ipaddress.ip_network(address))
        )
    key, subject = _key(), _name(f"Truehang on {socket.gethostname()[:40]}")
    builder = (
        _builder(subject, key, now, AUTHORITY_LIFE)
        .issuer_name(subject)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(x509.NameConstraints(own, None), critical=True)
    )
    return _signed(builder, key), key


def _site(
    authority: tuple[x509.Certificate, EllipticCurvePrivateKey],
    names: Collection[str],
    now: datetime,
) -> tuple[x509.Certificate, EllipticCurvePrivateKey]:
    """A new certificate of these names."""
    from cryptography import x509
    from cryptography.x509.oid import ExtendedKeyUsageOID

    certificate, signing = authority
    key = _key()
    identifier = x509.AuthorityKeyIdentifier.from_issuer_public_key(signing.public_key())
    builder = (
        _builder(_name("Truehang"), key, now, SITE_LIFE)
        .issuer_name(certificate.subject)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(_general(names)), critical=False)
        .add_extension(identifier, critical=False)
    )
    return _signed(builder, signing), key


def _key() -> EllipticCurvePrivateKey:
    from cryptography.hazmat.primitives.asymmetric import ec

    return ec.generate_private_key(ec.SECP256R1())


def _name(text: str) -> x509.Name:
    from cryptography import x509

    return x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, text)])


def _builder(
    subject: x509.Name, key: EllipticCurvePrivateKey, now: datetime, life: timedelta
) -> x509.CertificateBuilder:
    from cryptography import x509

    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - _SLOW_CLOCKS)
        .not_valid_after(now + life)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _usage(*, signs: bool) -> x509.KeyUsage:
    from cryptography import x509

    return x509.KeyUsage(
        digital_signature=not signs, key_cert_sign=signs, crl_sign=signs,
        content_commitment=False, key_encipherment=False, data_encipherment=False,
        key_agreement=False, encipher_only=False, decipher_only=False,
    )  # fmt: skip


def _signed(builder: x509.CertificateBuilder, key: EllipticCurvePrivateKey) -> x509.Certificate:
    from cryptography.hazmat.primitives import hashes

    return builder.sign(key, hashes.SHA256())
