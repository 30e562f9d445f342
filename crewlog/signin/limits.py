"""How often a password or a code may be guessed: per account and address, never per account alone for the owner.

A try from a device that signed in to the account before counts against that device only, so nobody elsewhere can use
up its tries. Strangers share a limit for the account, which many addresses at once only slow down. A limit is a bucket
that leaks: a row in the database, locked while it is counted, the same for every process.
"""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction
from django.http import HttpRequest
from django.utils import timezone
from django.utils.crypto import salted_hmac

from crewlog.models.sign_in import SignInLimit
from crewlog.signin.address import client_address, network

SALT = "crewlog.signin.limits"


@dataclass(frozen=True, slots=True)
class Limit:
    """So many tries at once, refilled evenly over the time."""

    name: str
    tries: int
    window: dt.timedelta

    @property
    def interval(self) -> dt.timedelta:
        return self.window / self.tries


DEVICE = Limit("device", 10, dt.timedelta(minutes=10))
PAIR = Limit("pair", 5, dt.timedelta(minutes=5))
ADDRESS = Limit("address", 30, dt.timedelta(minutes=10))
STRANGERS = Limit("strangers", 300, dt.timedelta(hours=1))
RESETS = Limit("resets", 3, dt.timedelta(hours=1))


@dataclass(frozen=True, slots=True)
class Bucket:
    """One limit of somebody; `key` is a keyed digest of who it is."""

    limit: Limit
    key: str

    @classmethod
    def of(cls, limit: Limit, *who: str) -> "Bucket":
        said = "\n".join((limit.name, *who))
        return cls(limit, salted_hmac(SALT, said, algorithm="sha256").hexdigest())


@dataclass(frozen=True, slots=True)
class Refused:
    """No try is left; in so many minutes there is one again."""

    minutes: int


def buckets(request: HttpRequest, *, account: str, device: str, what: str) -> tuple[Bucket, ...]:
    """The limits of one try, the narrowest first: a wide one is not used up by tries that a narrow one refuses."""
    if device:
        return (Bucket.of(DEVICE, what, account, device),)
    place = network(client_address(request))
    return (
        Bucket.of(PAIR, what, account, place),
        Bucket.of(ADDRESS, what, place),
        Bucket.of(STRANGERS, what, account),
    )


def use_try(wanted: Iterable[Bucket]) -> Refused | None:
    """Count a try against every bucket, or against none when one is full."""
    with transaction.atomic():
        rows = []
        for bucket in wanted:
            row, refused = filled(bucket)
            if refused is not None:
                return refused
            rows.append(row)
        for row in rows:
            row.save(update_fields=["empty_at"])
    return None


def filled(bucket: Bucket) -> tuple[SignInLimit, Refused | None]:
    """The bucket's row with one try more, not yet saved, held until the transaction ends."""
    now = timezone.now()
    SignInLimit.objects.bulk_create([SignInLimit(key=bucket.key, empty_at=now)], ignore_conflicts=True)
    row = SignInLimit.objects.select_for_update().get(key=bucket.key)
    row.empty_at = max(row.empty_at, now) + bucket.limit.interval
    over = row.empty_at - now - bucket.limit.window
    if over > dt.timedelta(milliseconds=1):
        return row, Refused(minutes=max(1, -(-int(over.total_seconds()) // 60)))
    return row, None


@transaction.atomic
def give_back(wanted: Iterable[Bucket]) -> None:
    """Take a try back: it was right."""
    for bucket in wanted:
        row = SignInLimit.objects.select_for_update().filter(key=bucket.key).first()
        if row is not None:
            row.empty_at -= bucket.limit.interval
            row.save(update_fields=["empty_at"])


def forget_empty() -> int:
    """Delete buckets that have leaked empty. Returns how many."""
    count, _ = SignInLimit.objects.filter(empty_at__lt=timezone.now()).delete()
    return count
