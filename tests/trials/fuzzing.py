"""Sending odd requests to the site's own addresses, and what came of them."""

import random
from collections import Counter
from dataclasses import dataclass, field
from urllib.parse import quote

from django.db import connection, transaction
from django.test import Client
from django.urls import reverse

from tests.files import close_file
from tests.trials.odd import METHODS, Odd, fields_of, odd_body, odd_headers, odd_query, odd_segment

MOST_BROKEN = 40  # enough to go on with
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


@dataclass(slots=True)
class Outcome:
    """Statuses by how often they came, and every request that broke something."""

    statuses: Counter = field(default_factory=Counter)
    broken: list = field(default_factory=list)

    def __str__(self):
        said = ", ".join(f"{status}: {count}" for status, count in sorted(self.statuses.items(), key=str))
        return f"{sum(self.statuses.values())} requests on {connection.vendor} ({said}); {len(self.broken)} broken"


class Fuzzer:
    """Odd requests from a seed. `rows` are (name, arguments needed, method); `people` are memberships by name."""

    def __init__(self, *, seed, rows, arguments, people):
        self.seed, self.rows, self.arguments, self.people = seed, rows, arguments, people
        self.fields = {}

    def run(self, count, first=0):
        outcome = Outcome()
        for number in range(first, first + count):
            odd = number
            try:
                odd = self.request(number)
                status = self.send(odd)
            except Exception as error:
                outcome.statuses["exception"] += 1
                outcome.broken.append(f"{odd}\n    {type(error).__name__}: {str(error)[:300]}")
                if len(outcome.broken) >= MOST_BROKEN:
                    break
                continue
            outcome.statuses[status] += 1
            if status >= 500:
                outcome.broken.append(f"{odd}\n    answered {status}")
        return outcome

    def request(self, number):
        """The request of a number: the same for the same seed."""
        dice = random.Random(f"{self.seed}:{number}")
        name, needed, method = dice.choice(self.rows)
        person = dice.choice(sorted(self.people)) if dice.random() < 0.5 else "owner"
        path, is_whole = self.path(dice, name, needed)
        if dice.random() < 0.04:
            method = dice.choice(METHODS)
        query = odd_query(dice) if dice.random() < 0.6 else ""
        body, content_type = b"", ""
        if method not in ("GET", "HEAD"):
            fields = self.fields_at(path, person) if is_whole else {}
            body, content_type = odd_body(dice, fields)
        address = f"{path}?{query}" if query else path
        return Odd(number, person, method, address, body, content_type, odd_headers(dice))

    def path(self, dice, name, needed):
        """An address with, now and then, one of its parts replaced; and whether it is whole."""
        kwargs = {key: value for each in needed for key, value in self.arguments[each].items()}
        path = reverse(name, kwargs=kwargs)
        if kwargs and dice.random() < 0.35:
            spoiled = quote(str(kwargs[dice.choice(sorted(kwargs))]))
            return f"/{path[1:].replace(spoiled, odd_segment(dice), 1)}", False
        return path, True

    def fields_at(self, path, person):
        """The boxes of the page at an address, as the owner or the inspector sees it."""
        for who in (person, "owner", "inspector", "lead"):
            if (path, who) not in self.fields:
                with transaction.atomic():
                    answer = self.client(who).get(path, follow=True)
                    is_page = answer.status_code == 200 and answer["Content-Type"].startswith("text/html")
                    self.fields[path, who] = fields_of(answer.content.decode()) if is_page else {}
                    if answer.streaming:
                        close_file(answer)
                    transaction.set_rollback(True)
            if self.fields[path, who]:
                return self.fields[path, who]
        return {}

    def client(self, person):
        client = Client()
        if self.people[person] is not None:
            client.force_login(self.people[person].user, backend=BACKEND)
        return client

    def send(self, odd):
        """The status of the answer, read to its end. What it changed is withdrawn."""
        path, _, query = odd.path.partition("?")
        with transaction.atomic():
            client = self.client(odd.person)
            answer = client.generic(
                odd.method, path, odd.body, odd.content_type or "application/octet-stream",
                headers=odd.headers, QUERY_STRING=query,
            )  # fmt: skip
            if answer.streaming:
                b"".join(answer.streaming_content)
                close_file(answer)
            transaction.set_rollback(True)
        return answer.status_code
