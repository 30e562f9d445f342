"""Pages of failures: held, said at item, store and round; told; taken back; and photographs of a round."""

import datetime as dt

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from gear.models import EmployerTold, FailureMistaken, GearItem, RoundPhotograph
from tests.factories.gear import ItemFactory, examiner
from tests.files import close_file, jpeg
from tests.gear.rounds import all_good, answer, opened, sign
from tests.pages import html_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def ines(inspector):
    return examiner(inspector)


@pytest.fixture
def browse(signed_in, ines):
    return signed_in(ines)


@pytest.fixture
def rope(company):
    return ItemFactory(company=company, rope=True, tag="R-01")


def url(name, draft, place=1):
    return reverse(name, args=[draft.pk, place])


def test_a_failure_shows_at_its_item_in_the_round_and_in_the_signed_round(browse, ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail", saw_sheath="cut at 3 m")
    html = html_of(browse.get(url("round_item", draft)))
    assert "Failed: held, out of use" in html
    assert "cut at 3 m" in html
    told = reverse("item_told", args=["R-01"])
    assert told in html
    assert told in html_of(browse.get(reverse("round", args=[draft.pk])))
    signed = sign(ines, draft).round
    html = html_of(browse.get(reverse("round_signed", args=[signed.pk])))
    assert told in html


def test_a_wrong_tap_is_taken_back_on_its_page_with_a_reason(browse, ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, **all_good(rope, answer_sheath="fail"))
    address = url("round_mistake", draft)
    assert address in html_of(browse.get(url("round_item", draft)))
    form = {"because": "glove on the wrong tile", "looked_at_again": "on"}
    response = browse.post(address, form)
    assert response.status_code == 422
    assert "Answer the point again first" in html_of(response)
    answer(ines, draft, rope, answer_sheath="good")
    refused = browse.post(address, {"because": "glove on the wrong tile"})
    assert refused.status_code == 422
    assert "glove on the wrong tile" in html_of(refused)
    assert browse.post(address, form).status_code == 302
    assert FailureMistaken.objects.get().because == "glove on the wrong tile"
    assert GearItem.objects.get(pk=rope.pk).quarantined_on is None
    html = html_of(browse.get(rope.get_absolute_url()))
    for words in ("Failed in a round: held", "Failure entered by mistake", "glove on the wrong tile"):
        assert words in html


def told_form(page, **changes):
    """What the page would post, the moment and how it was told added."""
    failure = page.context["form"]["failure"].value()
    at = timezone.now() + dt.timedelta(minutes=1)
    return {"failure": failure, "at": f"{at:%Y-%m-%dT%H:%M}", "how": "by telephone", "danger": "could"} | changes


def test_the_page_tells_of_the_failure_it_showed_and_not_of_one_found_meanwhile(browse, ines, rope):
    draft = opened(ines, rope)
    address = reverse("item_told", args=["R-01"])
    answer(ines, draft, rope, answer_sheath="fail", saw_sheath="cut at 3 m")
    page = browse.get(address)
    answer(ines, draft, rope, answer_ends="fail", saw_ends="eye worn")
    refused = browse.post(address, told_form(page, how=""))
    assert refused.status_code == 422
    assert "cut at 3 m" in html_of(refused)
    assert "eye worn" not in html_of(refused)
    assert browse.post(address, told_form(page)).status_code == 302
    assert EmployerTold.objects.get().failure.point == "sheath"
    assert "eye worn" in html_of(browse.get(address))


def test_the_page_names_every_failure_that_the_telling_covers(browse, ines, rope):
    draft = opened(ines, rope)
    answer(ines, draft, rope, answer_sheath="fail", saw_sheath="cut at 3 m")
    answer(ines, draft, rope, answer_ends="fail", saw_ends="eye worn")
    page = html_of(browse.get(reverse("item_told", args=["R-01"])))
    assert "cut at 3 m" in page
    assert "eye worn" in page


def test_the_page_takes_no_failure_of_another_item(browse, ines, company, rope):
    other = ItemFactory(company=company, rope=True, tag="R-02")
    draft = opened(ines, rope, other)
    for item in (rope, other):
        answer(ines, draft, item, answer_sheath="fail", saw_sheath="cut")
    page = browse.get(reverse("item_told", args=["R-02"]))
    for typed in (told_form(page), told_form(page, failure="")):
        response = browse.post(reverse("item_told", args=["R-01"]), typed)
        assert response.status_code == 422
        assert "Open this page again" in html_of(response)
    assert not EmployerTold.objects.exists()


def test_the_store_says_how_many_more_failures_wait_for_their_telling(browse, ines, company):
    ropes = [ItemFactory(company=company, rope=True, tag=f"R-{n}") for n in range(7)]
    draft = opened(ines, *ropes)
    for rope in ropes:
        answer(ines, draft, rope, answer_sheath="fail", answer_ends="fail", answer_heat="fail")
    html = html_of(browse.get(reverse("store")))
    assert html.count("Say how the employer was told") == 5
    assert "And 2 more." in html


def test_a_photograph_in_a_round_shows_itself_and_one_at_a_good_point_stays(
    browse, signed_in, owner, ines, rope, settings, tmp_path
):
    settings.FILES_DIR = tmp_path
    draft = opened(ines, rope)
    picture = SimpleUploadedFile("sheath.jpg", jpeg(), "image/jpeg")
    assert browse.post(url("round_item", draft), all_good(rope) | {"photo_sheath": picture}).status_code == 302
    kept = RoundPhotograph.objects.get()
    address = reverse("round_photograph", args=[draft.pk, 1, kept.pk])
    html = html_of(browse.get(url("round_item", draft)))
    assert f'<img src="{address}"' in html
    assert "<span>Kept</span>" in html
    for client in (browse, signed_in(owner)):
        small = client.get(address)
        assert small["Content-Type"] == "image/jpeg"
        close_file(small)
    assert f'<img src="{address}"' in html_of(signed_in(owner).get(url("round_item", draft)))
    inspection = sign(ines, draft).round.lines.get().inspection
    assert [(file.point, file.name_given) for file in inspection.files.all()] == [("sheath", "sheath.jpg")]
    elsewhere = opened(ines, rope)
    assert browse.get(reverse("round_photograph", args=[elsewhere.pk, 1, kept.pk])).status_code == 404
