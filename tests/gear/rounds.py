"""Answering items of a round in the tests as a phone would."""

import datetime as dt

from django.utils import timezone

from gear.examinations.measuring import when_new
from gear.models import RoundDraftItem
from gear.rounds.services import Device, Given, keep_answers, start_round
from gear.rounds.sign import fingerprint, review_round, sign_round


def told():
    """What is typed where the employer is told of what fails now: boxes hold minutes."""
    return {"told_at": f"{timezone.now() + minutes(1):%Y-%m-%dT%H:%M}", "told_how": "by telephone to the owner"}


def opened(member, *items, kind="thorough"):
    return start_round(actor=member, items=items, kind=kind, title="Van 1")


def row_of(draft, item):
    return RoundDraftItem.objects.select_related("item__company", "draft").get(draft=draft, item=item)


def all_good(item, **changes):
    """Every point good, every measure as new, as typed."""
    typed = {f"answer_{point.code}": "good" for point in item.declared.checklist.points}
    for measure in item.declared.measures:
        if measure.has_limit:
            typed[f"measure_{measure.name}"] = f"{when_new(item, measure) or 0:g}"
    return typed | changes


def answer(member, draft, item, *, at=None, device="phone", now=None, seconds=None, **typed):
    """Send answers of one item; all good unless something is typed."""
    now = now or timezone.now()
    row = row_of(draft, item)
    given = [Given(name, value, at or now) for name, value in (typed or all_good(item)).items()]
    return keep_answers(
        actor=member,
        draft=draft,
        device=Device(device, now, 60),
        answers={row.position: given},
        seconds={row.position: seconds} if seconds is not None else None,
    )


def answer_all(member, draft):
    """Every item of a draft good, sent together."""
    now = timezone.now()
    rows = draft.rows.select_related("item")
    given = {row.position: [Given(name, value, now) for name, value in all_good(row.item).items()] for row in rows}
    return keep_answers(
        actor=member, draft=draft, device=Device("phone", now), answers=given, seconds=dict.fromkeys(given, 3)
    )


def sign(member, draft):
    return sign_round(actor=member, draft=draft, shown=fingerprint(review_round(draft)))


def minutes(count):
    return dt.timedelta(minutes=count)


def groups(draft):
    return {line.row.item.tag: line.group for line in review_round(draft)}
