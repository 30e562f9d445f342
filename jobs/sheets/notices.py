"""A withdrawn sheet is told to its lead and the owners by mail, unless they stopped these mails."""

from django.db.models import Q, QuerySet

from crewlog.dates import day_words
from crewlog.mail.outbox import is_set_up, queue_mail
from crewlog.mail.words import link
from crewlog.models import Membership, Role
from crewlog.models.mail import MailStop
from jobs.models import SheetWithdrawal


def told(withdrawal: SheetWithdrawal) -> QuerySet[Membership]:
    """Members who hear of a withdrawal: the job's lead and the owners who may still sign in. One query."""
    job = withdrawal.sheet.stem.job
    return (
        Membership.objects.filter(Q(person=job.lead_id) | Q(role=Role.OWNER), company=job.company_id)
        .filter(user__is_active=True)
        .exclude(mail_stops__kind=MailStop.WITHDRAWAL)
        .select_related("user", "company")
    )


def queue_withdrawal_mails(withdrawal: SheetWithdrawal) -> None:
    """Queue them in the transaction that withdraws the sheet."""
    if not is_set_up():
        return
    sheet = withdrawal.sheet
    facts = {
        "company": sheet.stem.job.company,
        "number": sheet.number,
        "revision": sheet.revision,
        "day": day_words(sheet.day),
        "place": sheet.stem.job.site_name,
        "reason": withdrawal.reason,
        "link": link("sheet", sheet.pk),
        "stop": link("reminders"),
    }
    for member in told(withdrawal):
        if not member.has_lapsed():
            queue_mail(kind="withdrawal", to=member.user.email, facts=facts, key=withdrawal.pk, user=member.user)
