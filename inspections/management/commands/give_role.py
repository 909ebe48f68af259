"""``manage.py give_role``: make an account something in a district, or in all of them."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.contrib.auth import get_user_model
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from inspections.roles import Role
from inspections.services.roles import give_role
from inventory.models import District


class Command(BaseCommand):
    help = (
        "Give an account a role, in one district or in all. Whoever is an administrator then gives"
        " out further roles on the page «People and roles»."
        " Example: manage.py give_role chief administrator"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("account", help="name of the account")
        parser.add_argument("role", choices=Role.values)
        parser.add_argument("--district", default="", help="code of the district; all without it")

    def handle(self, *args: Any, **options: Any) -> None:
        name, code = options["account"], options["district"]
        user = get_user_model().objects.filter(username=name).first()
        if user is None:
            raise CommandError(
                f"account: nobody is called «{name}». Make it by createsuperuser, or correct it.",
                returncode=2,
            )
        district = District.objects.filter(code=code).first() if code else None
        if code and district is None:
            known = ", ".join(District.objects.values_list("code", flat=True)) or "none yet"
            raise CommandError(
                f"--district: there is no district «{code}». Use one of these: {known}.",
                returncode=2,
            )
        try:
            held = give_role(user=user, role=options["role"], district=district)
        except ValidationError as refusal:
            raise CommandError(" ".join(refusal.messages), returncode=2) from refusal
        self.stdout.write(f"{name}: {held}")
