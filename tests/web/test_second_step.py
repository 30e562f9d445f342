"""The second step that a company asks of a role: one guard over every page."""

import pytest
from allauth.mfa.models import Authenticator
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from crewlog.company.services import change_company
from crewlog.models import Company, Record
from tests.pages import html_of
from tests.web.posting import shown_token
from tests.web.signing_in import PASSWORD, let_in, set_up_app, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def passwords(request):
    """Everybody of the cast can sign in with the one password."""
    cache.clear()
    let_in(
        *(request.getfixturevalue(name) for name in ("owner", "inspector", "climber") if name in request.fixturenames)
    )


@pytest.fixture
def asks_owners(company):
    company.second_step_owners = True
    company.save()


def test_a_new_company_asks_nobody_for_a_second_step(owner, signed_in):
    assert signed_in(owner).get(reverse("store")).status_code == 200


def test_an_owner_without_the_second_step_gets_its_page_alone(asks_owners, owner, signed_in):
    client = signed_in(owner)
    for name in ("today", "store", "company", "crew", "records", "devices", "account_change_password"):
        answer = client.get(reverse(name))
        assert (answer.status_code, answer["Location"]) == (302, reverse("mfa_index")), name
    page = client.get(reverse("mfa_index"))
    assert page.status_code == 200
    assert "Set one up to continue" in html_of(page)
    assert f'action="{reverse("account_logout")}" data-sign-out>' in html_of(page)
    assert client.get(reverse("account_logout")).status_code == 200
    assert client.get(reverse("account_reset_password")).status_code == 200


def test_nothing_can_be_posted_without_it_either(asks_owners, owner, signed_in, company):
    client = signed_in(owner)
    answer = client.post(reverse("company"), {"name": "Changed", "_draft": "0123456789abcdef"})
    assert answer["Location"] == reverse("mfa_index")
    assert "drafts-taken" not in answer.cookies
    assert "Nothing was saved. Your company requires" in html_of(client.get(reverse("mfa_index")))
    assert Company.objects.get(pk=company.pk).name != "Changed"


def test_a_part_or_data_is_told_and_not_led_to_a_page(asks_owners, owner, signed_in):
    client = signed_in(owner)
    part = client.get(reverse("store"), headers={"HX-Request": "true"})
    assert (part.status_code, part["HX-Redirect"]) == (204, reverse("mfa_index"))
    data = client.post(reverse("store"), "{}", content_type="application/json")
    assert (data.status_code, data.json()["error"]) == (403, "second-step-missing")


def test_other_roles_go_on_and_inspectors_are_asked_apart(asks_owners, inspector, climber, signed_in, company):
    assert signed_in(climber).get(reverse("store")).status_code == 200
    assert signed_in(inspector).get(reverse("store")).status_code == 200
    company.second_step_inspectors = True
    company.save()
    assert signed_in(inspector).get(reverse("store"))["Location"] == reverse("mfa_index")


def test_with_it_everything_opens_and_the_last_one_cannot_be_switched_off(asks_owners, owner):
    client = Client()
    sign_in(client, owner)
    set_up_app(owner)
    assert client.get(reverse("store")).status_code == 200
    client.post(reverse("account_reauthenticate"), {"password": PASSWORD})
    client.post(reverse("mfa_deactivate_totp"))
    assert Authenticator.objects.filter(user=owner.user, type="totp").exists()


def test_recovery_codes_alone_are_no_second_step(asks_owners, owner, signed_in):
    Authenticator.objects.create(user=owner.user, type="recovery_codes", data={})
    assert signed_in(owner).get(reverse("store"))["Location"] == reverse("mfa_index")


def test_the_owner_sets_who_is_asked_and_it_stays_on_record(owner, signed_in, company):
    client = signed_in(owner)
    sent = {"second_step_inspectors": "on", "shared_idle_min": "30"} | shown_token(client.get(reverse("sign_in_rules")))
    assert client.post(reverse("sign_in_rules"), sent).status_code == 302
    company.refresh_from_db()
    assert (company.second_step_owners, company.second_step_inspectors, company.shared_idle_min) == (False, True, 30)
    assert "second_step_inspectors" in Record.objects.get(kind="crewlog.company-changed").body
    refused = client.post(reverse("sign_in_rules"), {**sent, "shared_idle_min": "1"})
    assert refused.status_code == 422
    assert "5 to 240 minutes" in html_of(refused)
    assert 'value="1"' in html_of(refused)


def test_the_later_of_two_owners_is_asked_before_a_rule_of_signing_in_is_undone(owner, signed_in, company):
    client, where = signed_in(owner), reverse("sign_in_rules")
    opened = {"shared_idle_min": "30"} | shown_token(client.get(where))
    change_company(actor=owner, second_step_owners=False, second_step_inspectors=True, shared_idle_min=15)
    asked = client.post(where, opened)
    assert asked.status_code == 409
    assert "Take theirs: yes" in html_of(asked)
    company.refresh_from_db()
    assert (company.second_step_inspectors, company.shared_idle_min) == (True, 15)
    chosen = {"choose-second_step_inspectors": "theirs", "choose-shared_idle_min": "mine"}
    assert client.post(where, opened | shown_token(asked) | chosen).status_code == 302
    company.refresh_from_db()
    assert (company.second_step_inspectors, company.shared_idle_min) == (True, 30)
