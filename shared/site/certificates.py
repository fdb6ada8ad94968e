"""A certificate of this machine's own making, for phones in the same network.

An authority is made once and lies in DATA_DIR; phones are asked to trust it. It may vouch for
private networks and this machine's names alone (name constraints, RFC 5280, 4.2.1.10), so that
whoever steals its key cannot stand in for anything else. The certificate is made anew when the
machine's addresses change, or thirty days before it ends.
"""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address, ip_network
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from shared.site.reach import OWN_NAMES, PRIVATE, is_private

FOLDER = "tls"
AUTHORITY_YEARS = 10
# Apple's phones take 825 days at most from an authority that their user added.
GOOD_FOR, RENEW_BEFORE = timedelta(days=397), timedelta(days=30)


def authority_file(data: Path) -> Path:
    return data / FOLDER / "authority.pem"


def certificate_files(data: Path) -> tuple[Path, Path]:
    """The chain and the key that a server loads."""
    return data / FOLDER / "certificate.pem", data / FOLDER / "key.pem"


def prepare(data: Path, hosts: Sequence[str], *, now: datetime | None = None) -> bool:
    """Make what is missing or out of date; whether a certificate was made."""
    now = now or datetime.now(UTC)
    folder = data / FOLDER
    folder.mkdir(mode=0o700, exist_ok=True)
    authority, key = _authority(folder, now)
    names = dict.fromkeys([*hosts, "localhost", "127.0.0.1", "::1"])
    wanted = [name for name in names if is_private(name)]
    chain, own_key = certificate_files(data)
    if chain.exists() and own_key.exists() and _is_good(chain, authority, wanted, now):
        return False
    leaf_key = ec.generate_private_key(ec.SECP256R1())
    leaf = (
        _builder("Between Lessons on this machine", authority.subject, leaf_key, now, GOOD_FOR)
        .add_extension(x509.SubjectAlternativeName([_name(each) for each in wanted]), False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(key.public_key()), False)
        .sign(key, hashes.SHA256())
    )
    pem = serialization.Encoding.PEM
    _write(chain, leaf.public_bytes(pem) + authority.public_bytes(pem))
    _write(own_key, _private(leaf_key))
    return True


def _authority(folder: Path, now: datetime) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    path, key_path = folder / "authority.pem", folder / "authority.key"
    if path.exists() and key_path.exists():
        key = serialization.load_pem_private_key(key_path.read_bytes(), password=None)
        if isinstance(key, ec.EllipticCurvePrivateKey):
            return x509.load_pem_x509_certificate(path.read_bytes()), key
    key = ec.generate_private_key(ec.SECP256R1())
    usage = x509.KeyUsage(
        key_cert_sign=True, crl_sign=True, digital_signature=False, content_commitment=False,
        key_encipherment=False, data_encipherment=False, key_agreement=False,
        encipher_only=False, decipher_only=False,
    )  # fmt: skip
    name = _subject("Between Lessons, this studio’s own")
    lasting = timedelta(days=365 * AUTHORITY_YEARS)
    made = (
        _builder("Between Lessons, this studio’s own", name, key, now, lasting)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), True)
        .add_extension(usage, True)
        .add_extension(x509.NameConstraints(_permitted(), None), True)
        .sign(key, hashes.SHA256())
    )
    _write(path, made.public_bytes(serialization.Encoding.PEM))
    _write(key_path, _private(key))
    return made, key


def _permitted() -> list[x509.GeneralName]:
    networks = [x509.IPAddress(ip_network(each)) for each in PRIVATE]
    return [*(x509.DNSName(each) for each in OWN_NAMES), *networks]


def _is_good(
    chain: Path, authority: x509.Certificate, wanted: Iterable[str], now: datetime
) -> bool:
    """Whether the certificate that lies there is the authority's, names all, and lasts a while."""
    try:
        leaf = x509.load_pem_x509_certificate(chain.read_bytes())
        leaf.verify_directly_issued_by(authority)
        names = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except Exception:
        return False
    return leaf.not_valid_after_utc - RENEW_BEFORE > now and {*map(_name, wanted)} <= {*names}


def _builder(
    subject: str, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, now: datetime, for_: timedelta
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(_subject(subject))
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))  # A phone's clock may be behind.
        .not_valid_after(now + for_)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), False)
    )


def _subject(name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])


def _name(host: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ip_address(host))
    except ValueError:
        return x509.DNSName(host)


def _private(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )


def _write(path: Path, content: bytes) -> None:
    """Readable by this system user alone, and never half there."""
    half = path.with_suffix(".half")
    half.unlink(missing_ok=True)
    half.touch(mode=0o600)
    half.write_bytes(content)
    half.replace(path)
