"""What administrators do to accounts: invite, open and close, let in again who lost the key."""

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
from inspections.services import second_factor
from inspections.services.roles import give_role
from inspections.services.sessions import end_sessions
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


@transaction.atomic
def take_second_factor_away(*, user: AbstractBaseUser, by: AbstractBaseUser) -> None:
    """Remove app and recovery codes of who lost them; the history of the account says so.

    Its sessions end: whoever found the phone may hold one.

    Raises
    ------
    ValidationError
        If it is one's own: only who still has the app may switch that off.
    PermissionDenied
        If it holds a role that ``by`` may not give out.
    """
    _refuse_who_works_elsewhere(user, by)
    if user.pk == by.pk:
        raise ValidationError(
            _(
                "This is your own account. Switch its second factor off on the page «Account», or"
                " ask another administrator."
            )
        )
    second_factor.remove(user=user)
    end_sessions(user=user)
    user._history_user, user._change_reason = by, "Second factor removed"
    # Nothing of the row changes; written, it leaves a line in the history.
    user.save(update_fields=["is_active"])


def _refuse_who_works_elsewhere(user: AbstractBaseUser, by: AbstractBaseUser) -> None:
    mine = districts_of(by, MANAGE_PEOPLE)
    theirs = set(user.held_roles.values_list("district_id", flat=True))
    if mine is not None and (user.is_superuser or not theirs <= {*mine}):
        raise PermissionDenied
