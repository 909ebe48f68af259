"""New accounts, and links by which somebody sets a password."""

from __future__ import annotations

from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractBaseUser
from django.contrib.auth.tokens import default_token_generator
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode
from django.utils.translation import gettext as _

from inspections.rights import districts_of
from inspections.roles import MANAGE_PEOPLE
from inspections.services.roles import give_role
from inventory.models import District


@transaction.atomic
def invite(
    *, username: str, email: str, role: str, district: District | None, by: AbstractBaseUser
) -> AbstractBaseUser:
    """Make an account that waits for its password, with its first role.

    Raises
    ------
    ValidationError
        If the name is taken or no name, or ``by`` may not give that role there.
    """
    user = get_user_model()(username=username.strip(), email=email.strip())
    user.set_unusable_password()
    user.full_clean()
    user.save()
    give_role(user=user, role=role, district=district, by=by)
    return user


def password_link(*, user: AbstractBaseUser, by: AbstractBaseUser) -> str:
    """Return the path by which somebody sets a password: once, within ``PASSWORD_RESET_TIMEOUT``.

    Whoever holds it becomes that account, so it is given to those alone who may give out every role
    that the account holds.
    """
    _refuse_who_works_elsewhere(user, by)
    uid = urlsafe_base64_encode(force_bytes(user.pk))
    return reverse("password-set", args=[uid, default_token_generator.make_token(user)])


@transaction.atomic
def open_or_close(*, user: AbstractBaseUser, is_active: bool, by: AbstractBaseUser) -> None:
    """Close an account, or open it again; its roles stay, its sessions end.

    Raises
    ------
    ValidationError
        If it is one's own: nobody locks themselves out.
    PermissionDenied
        If it holds a role that ``by`` may not give out.
    """
    _refuse_who_works_elsewhere(user, by)
    if user.pk == by.pk:
        raise ValidationError(_("This is your own account. Another administrator may close it."))
    user.is_active = is_active
    user.save(update_fields=["is_active"])


def _refuse_who_works_elsewhere(user: AbstractBaseUser, by: AbstractBaseUser) -> None:
    mine = districts_of(by, MANAGE_PEOPLE)
    theirs = set(user.held_roles.values_list("district_id", flat=True))
    if mine is not None and (user.is_superuser or not theirs <= {*mine}):
        raise PermissionDenied
