"""Who is asking: a tablet with its key, or somebody with a session of the office pages."""

from django.utils import timezone
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from yard.models import DeviceToken, Role, User
from yard.services.people import device_token_find, device_token_was_revoked

SCHEME = "Bearer"


class KeyWithdrawn(AuthenticationFailed):
    """Told apart from an unknown key, so that the tablet can say what to do with what it still keeps."""

    default_detail = (
        "This device was shut out. What it still keeps is not lost: save it as a file for the office, "
        "or sign the device in again."
    )
    default_code = "key_withdrawn"
    more = {"withdrawn": True}


class DeviceTokenAuthentication(BaseAuthentication):
    """`Authorization: Bearer <key>`, with the key that the sign-in of a device gave."""

    def authenticate(self, request: Request) -> tuple[User, DeviceToken] | None:
        words = get_authorization_header(request).decode("latin-1").split()
        if not words or words[0].lower() != SCHEME.lower():
            return None
        if len(words) != 2:
            raise AuthenticationFailed("The Authorization header is not 'Bearer' and one key.")
        token = device_token_find(secret=words[1], at=timezone.now())
        if token is None and device_token_was_revoked(secret=words[1]):
            raise KeyWithdrawn
        if token is None:
            raise AuthenticationFailed("This device key is unknown or was withdrawn; sign the device in again.")
        if token.shared:
            # Whoever holds the tablet is no manager through it, whoever let it in. In memory only.
            token.member.role = Role.TECHNICIAN
        return token.member.user, token

    def authenticate_header(self, request: Request) -> str:
        return SCHEME
