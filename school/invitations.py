"""One-time links: one that makes a school, printed for whoever installs the site, and those that a teacher gives."""

from __future__ import annotations

import datetime as dt
import hashlib
import secrets
from urllib.parse import urlsplit

from django.conf import settings
from django.core.signing import BadSignature, Signer
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from school.models import Invitation, Role

LIFETIME = dt.timedelta(days=7)
TOKEN_BYTES = 16
SERVED_AT = ":8000"
"""The port that the server opens unless it is told another one."""


class LinkUsed(Exception):
    """The link was used in the meantime."""


def _signer() -> Signer:
    return Signer(salt="school.invitations", sep=".")


def new_token() -> tuple[str, str]:
    """Return a token for a link, and its hash to keep."""
    token = _signer().sign(secrets.token_urlsafe(TOKEN_BYTES))
    return token, hash_of(token)


def hash_of(token: str) -> str:
    """Return the hash under which a token is kept: 128 random bits need neither salt nor a slow hash."""
    return hashlib.sha256(token.encode()).hexdigest()


def issue_school_link() -> str:
    """Return the token of a new link that makes a school; an earlier one, used or not, stops working."""
    token, kept = new_token()
    values = {"token_hash": kept, "created": timezone.now(), "expires": timezone.now() + LIFETIME}
    Invitation.objects.update_or_create(school=None, role=Role.TEACHER, defaults=values)
    return token


def issue_first_school_link() -> str | None:
    """Return the token of a new link that makes a school; None if one is open already, as of another worker."""
    Invitation.objects.filter(school=None, expires__lte=timezone.now()).delete()
    token, kept = new_token()
    try:
        with transaction.atomic():
            Invitation.objects.create(token_hash=kept, expires=timezone.now() + LIFETIME)
    except IntegrityError:
        return None
    return token


def find_invitation(token: str, *, to_a_school: bool) -> Invitation | None:
    """Return the open invitation of that token, which leads into a school, or makes one.

    A token that we have not signed is refused without a look at the rows.
    """
    try:
        _signer().unsign(token)
    except BadSignature:
        return None
    open_ones = Invitation.objects.filter(expires__gt=timezone.now(), school__isnull=not to_a_school)
    return open_ones.select_related("school").filter(token_hash=hash_of(token)).first()


def use_up(invitation: Invitation) -> bool:
    """Delete the invitation and tell whether it was still there as it was read: of two browsers, one gets in."""
    same = Invitation.objects.filter(pk=invitation.pk, token_hash=invitation.token_hash)
    deleted, _per_model = same.delete()
    return deleted == 1


def site_address() -> str:
    """Return the address of the site as the settings know it, for a link that is printed and not asked for."""
    host = next((name.lstrip(".") for name in settings.ALLOWED_HOSTS if name != "*"), "localhost")
    return f"https://{host}" if settings.HTTPS else f"http://{host}{SERVED_AT}"


def is_site(address: str) -> bool:
    """Tell whether somebody typed the address of a site."""
    parts = urlsplit(address)
    return parts.scheme in ("http", "https") and bool(parts.netloc)


def invitation_link(token: str, site: str) -> str:
    """Return the link by which an invited person comes, on the site of that address."""
    return f"{site.rstrip('/')}{reverse('invited')}?token={token}"


def school_link(token: str, site: str) -> str:
    """Return the link that makes a school, on the site of that address."""
    return f"{site.rstrip('/')}{reverse('first_teacher')}?token={token}"
