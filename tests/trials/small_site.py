"""A site of one owner and one item on a database of the trial's own, written to as a browser would."""

import os
import re
import secrets
import uuid
from pathlib import Path

from tests.trials.odd import fields_of

FILLER_BYTES = 1_800  # written in hexadecimal: what packs well would take long to fill a disk


def prepare(*, database_url, var):
    """Point the settings at the trial's own places. Before anything of Django is imported."""
    os.environ.update(
        DATABASE_URL=database_url,
        CREWLOG_VAR=str(var),
        CREWLOG_FILES=str(Path(var) / "files"),
        CREWLOG_LOCAL="yes",
        CREWLOG_DEBUG="no",
        CREWLOG_HOSTS="testserver,127.0.0.1",
        DJANGO_SETTINGS_MODULE="crewlog.settings",
    )
    import logging

    import django

    django.setup()
    logging.disable(logging.CRITICAL)


class SmallSite:
    """The site, with a client signed in as its owner."""

    def __init__(self):
        from django.core.management import call_command

        from tests.factories.crewlog import CompanyFactory, MembershipFactory
        from tests.factories.gear import ItemFactory

        call_command("migrate", verbosity=0, interactive=False)
        call_command("createcachetable", verbosity=0)
        company = CompanyFactory(name="Small Site")
        self.owner = MembershipFactory(company=company, person__company=company)
        self.item = ItemFactory(company=company, tag="B-01")
        self.client = self.signed_in()

    def signed_in(self):
        from django.test import Client

        client = Client(raise_request_exception=False)
        client.force_login(self.owner.user, backend="allauth.account.auth_backends.AuthenticationBackend")
        return client

    def hidden(self, path):
        """Hidden boxes of a page's form, as a browser sends them back."""
        html = self.client.get(path).content.decode()
        names = re.findall(r'<input[^>]*type="hidden"[^>]*name="([^"]+)"', html)
        return {name: values[0] for name, values in fields_of(html).items() if name in names}

    def record_event(self, **files):
        """Send one event. Gives its mark and the answer."""
        mark = uuid.uuid4().hex
        path = f"/gear/{self.item.tag}/event/"
        said = {
            "kind": "near_miss_not_loaded",
            "happened_on": self.item.company.today().isoformat(),
            "description": f"{mark} {secrets.token_hex(FILLER_BYTES)}",
            "loaded": "no",
        }
        return mark, self.client.post(path, {**self.hidden(path), **said, **files})

    def stored_marks(self):
        """Marks of every event on record."""
        from gear.models import GearEvent

        return {words[:32] for words in GearEvent.objects.values_list("description", flat=True)}

    def faults(self):
        """What recomputing the chain and reading every kept file finds."""
        from crewlog.evidence import verify

        return verify(self.item.company, files=True).fault
