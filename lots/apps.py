"""The app: lays the append-only locks after every migrate, and checks that they stand."""

from __future__ import annotations

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class LotsConfig(AppConfig):
    """The one app of the ledger."""

    name = "lots"
    verbose_name = "Tea Lot Ledger"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Hook the locks to migrate and to the system checks."""
        from lots.models import locks

        post_migrate.connect(locks.after_migrate, sender=self)
        locks.register_check()
