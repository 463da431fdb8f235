"""A certificate of the boat's own, so that the page is secure and a browser gives the microphone.

Nobody but the boat vouches for it, so each phone asks once whether it is to be trusted; what is sent
is enciphered all the same. Made anew when the computer has another address or a year has passed.
"""

import ipaddress
import os
from collections.abc import Iterable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

LASTS: Final = timedelta(days=397)
"""Phones refuse certificates of servers that last much longer than a year."""
RENEW_BEFORE: Final = timedelta(days=30)


def own_certificate(file: Path, names: Iterable[str], now: datetime) -> None:
    """Put a certificate for these names and addresses, with its key, into a file, unless it is there."""
    wanted = {_name(name) for name in names}
    if file.exists() and _is_good(file, wanted, now):
        return
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "deckcall on this boat")])
    made = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))  # a phone's clock may be behind
        .not_valid_after(now + LASTS)
        .add_extension(x509.SubjectAlternativeName(sorted(wanted, key=str)), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )
    secret = key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    file.unlink(missing_ok=True)
    with os.fdopen(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
        out.write(secret + made.public_bytes(serialization.Encoding.PEM))


def _is_good(file: Path, wanted: set[x509.GeneralName], now: datetime) -> bool:
    """Return whether the certificate that is there does, so that phones need not be asked again."""
    try:
        held = x509.load_pem_x509_certificate(file.read_bytes())
        found = held.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (ValueError, x509.ExtensionNotFound):
        return False
    return wanted <= set(found) and held.not_valid_after_utc - now > RENEW_BEFORE


def _name(said: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(said))
    except ValueError:
        return x509.DNSName(said)
