"""A passkey without a browser: what a phone answers to the server's options (WebAuthn Level 3, 5.1)."""

from __future__ import annotations

import hashlib
import json
import secrets
from dataclasses import dataclass, field
from typing import Any, Final

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from fido2.cose import ES256
from fido2.utils import websafe_encode
from fido2.webauthn import Aaguid, AttestationObject, AttestedCredentialData, AuthenticatorData

PRESENT: Final = AuthenticatorData.FLAG.UP
WHOLE: Final = PRESENT | AuthenticatorData.FLAG.UV


def _told(kind: str, options: dict[str, Any], site: str) -> bytes:
    return json.dumps({"type": kind, "challenge": options["challenge"], "origin": site}).encode()


@dataclass
class SoftPasskey:
    """One passkey for one site. `asks` is whether it asks for finger, face or PIN."""

    site: str = "http://testserver"
    asks: bool = True
    secret: ec.EllipticCurvePrivateKey = field(default_factory=lambda: ec.generate_private_key(ec.SECP256R1()))
    key: bytes = field(default_factory=lambda: secrets.token_bytes(16))
    owner: str = ""

    @property
    def _flags(self) -> AuthenticatorData.FLAG:
        return WHOLE if self.asks else PRESENT

    def made(self, options: dict[str, Any]) -> dict[str, Any]:
        """The answer to the options of making one."""
        self.owner = options["user"]["id"]
        public = ES256.from_cryptography_key(self.secret.public_key())  # type: ignore[no-untyped-call]
        data = AuthenticatorData.create(
            hashlib.sha256(options["rp"]["id"].encode()).digest(),
            self._flags | AuthenticatorData.FLAG.AT,
            0,
            AttestedCredentialData.create(Aaguid.NONE, self.key, public),
        )
        response = {
            "clientDataJSON": websafe_encode(_told("webauthn.create", options, self.site)),
            "attestationObject": websafe_encode(AttestationObject.create("none", data, {})),
        }
        return self._credential(response) | {"clientExtensionResults": {"credProps": {"rk": True}}}

    def used(self, options: dict[str, Any], **instead: Any) -> dict[str, Any]:
        """The answer to the options of using it; `instead` says something else than it would."""
        told = _told("webauthn.get", options, self.site)
        data = AuthenticatorData.create(hashlib.sha256(options["rpId"].encode()).digest(), self._flags, 1)
        signed = self.secret.sign(bytes(data) + hashlib.sha256(told).digest(), ec.ECDSA(SHA256()))
        response = {
            "clientDataJSON": websafe_encode(told),
            "authenticatorData": websafe_encode(data),
            "signature": websafe_encode(signed),
            "userHandle": self.owner,
        }
        return self._credential(response | instead)

    def _credential(self, response: dict[str, Any]) -> dict[str, Any]:
        key = websafe_encode(self.key)
        return {"id": key, "rawId": key, "type": "public-key", "clientExtensionResults": {}, "response": response}


__all__ = ["SoftPasskey"]
