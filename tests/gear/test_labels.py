"""Labels: the code is read back off the printed page at every size, and says whose item it is."""

import io
import re
import subprocess
from urllib.parse import unquote

import pytest
from django.urls import reverse
from pypdf import PdfReader

from crewlog.errors import RuleBroken
from gear.labels.formats import BANDS, BY_CODE, FORMATS
from gear.labels.pdf import Label, bands_pdf, labels_pdf
from gear.register.address import item_address, item_by_tag
from tests.factories.gear import ItemFactory
from tests.needs import program
from tests.pages import html_of

LABEL = Label(
    tag="R-07",
    class_name="Rope",
    company="Sallow Reach Tree Works",
    tracer="blue tracer",
    address="https://gear.osier-works.example/gear/R-07/?of=12",
)
DPI = 300


def text_of(pdf):
    return [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]


def scanned(pdf, tmp_path, *, box_mm=None):
    """What zbarimg reads on a page printed at 300 dpi, or on a cut-out of it: left, top, width, height in mm."""
    source = tmp_path / "labels.pdf"
    source.write_bytes(pdf)
    cut = [str(round(mm / 25.4 * DPI)) for mm in box_mm] if box_mm else []
    flags = [part for pair in zip(("-x", "-y", "-W", "-H"), cut, strict=False) for part in pair]
    subprocess.run(
        [program("pdftoppm"), "-png", "-r", str(DPI), "-f", "1", "-l", "1", *flags, source, tmp_path / "page"],
        check=True,
    )
    (image,) = tmp_path.glob("page*.png")
    done = subprocess.run([program("zbarimg"), "-q", "--raw", image], capture_output=True, text=True, check=False)
    return done.stdout.split()


@pytest.mark.parametrize("layout", FORMATS, ids=lambda layout: layout.code)
def test_the_code_is_read_at_300_dpi_off_a_label_cut_out_of_its_sheet(layout, tmp_path):
    place = layout.per_page - 1
    left, top = layout.corner_mm(place)
    pdf = labels_pdf([LABEL], layout, start=layout.per_page)
    assert scanned(pdf, tmp_path, box_mm=(left, top, *layout.label_mm)) == [LABEL.address]


def test_every_label_of_a_full_sheet_stays_on_its_page():
    for layout in (*FORMATS, BANDS):
        left, top = layout.corner_mm(layout.per_page - 1)
        assert layout.left_mm >= 0
        assert layout.top_mm >= 0
        assert left + layout.label_mm[0] <= layout.page_mm[0] + 1e-6, layout.code
        assert top + layout.label_mm[1] <= layout.page_mm[1] + 1e-6, layout.code


def test_a_part_used_sheet_starts_at_its_first_free_label_and_goes_on_overleaf():
    layout = BY_CODE["a4-38×21mm"]
    pdf = labels_pdf([LABEL] * 3, layout, start=layout.per_page - 1)
    assert [page.count("R-07") for page in text_of(pdf)] == [2, 1]


def test_a_roll_has_one_label_a_page():
    pages = PdfReader(io.BytesIO(labels_pdf([LABEL] * 3, BY_CODE["roll-25×25mm"]))).pages
    assert len(pages) == 3
    assert float(pages[0].mediabox.width) == pytest.approx(25 / 25.4 * 72, abs=0.01)


def test_a_wide_label_says_tag_class_and_company_and_a_small_one_its_tag():
    (wide,) = text_of(labels_pdf([LABEL], BY_CODE["a4-38×21mm"]))
    assert wide.split() == ["R-07", "Rope", "Sallow", "Reach", "Tree", "Works"]
    (small,) = text_of(labels_pdf([LABEL], BY_CODE["a4-12×12mm"]))
    assert small.split() == ["R-07"]


def test_a_band_repeats_the_tag_with_its_colour_tracer_in_words():
    (page,) = text_of(bands_pdf([LABEL]))
    assert page.count("R-07 blue tracer") >= 4


def test_the_same_labels_give_the_same_bytes():
    layout = FORMATS[0]
    assert labels_pdf([LABEL], layout) == labels_pdf([LABEL], layout)


def test_an_address_too_long_for_the_label_is_refused():
    long = Label("R-07", "Rope", "Works", "", "https://example.org/" + "x" * 300)
    with pytest.raises(RuleBroken) as caught:
        labels_pdf([long], BY_CODE["a4-12×12mm"])
    assert caught.value.code == "label-too-small"


# pages


@pytest.fixture
def rope(company):
    return ItemFactory(company=company, rope=True, tag="R-07", colour_tracer="blue", working_load_limit_n=12_345.0)


def sent(*items, **changes):
    return {"kind": "label", "size": "a4-38×21mm", "start": "1", "items": [item.pk for item in items]} | changes


@pytest.mark.django_db
def test_ticked_items_come_as_a_pdf_whose_code_opens_the_item(rope, owner, company, signed_in, settings, tmp_path):
    settings.SITE_ADDRESS = "http://testserver"
    ItemFactory(company=company, tag="B-01")
    client = signed_in(owner)
    paper = client.post(reverse("labels"), sent(rope))
    assert paper["Content-Type"] == "application/pdf"
    assert paper["Cache-Control"] == "private, no-store"
    (text,) = text_of(paper.content)
    assert "R-07" in text
    assert "B-01" not in text
    assert not re.search(r"kN|lbf|12[.,]3", text)
    (address,) = scanned(paper.content, tmp_path)
    assert address == item_address(rope)
    page = client.get(address)
    assert page.status_code == 200
    assert "R-07" in html_of(page)


@pytest.mark.django_db
def test_a_scan_before_sign_in_comes_back_to_the_item_afterwards(rope, client, settings):
    settings.SITE_ADDRESS = "http://testserver"
    asked = client.get(item_address(rope))
    assert asked.status_code == 302
    assert f"next=/gear/R-07/?of={rope.company_id}" in unquote(asked["Location"])


@pytest.mark.django_db
def test_the_code_of_another_company_says_so_whether_or_not_its_item_exists(rope, outsider, signed_in, settings):
    settings.SITE_ADDRESS = "http://testserver"
    ItemFactory(company=outsider.company, tag="R-07")
    client = signed_in(outsider)
    answers = [client.get(address) for address in (item_address(rope), f"/gear/Z-99/?of={rope.company_id}")]
    assert [answer.status_code for answer in answers] == [404, 404]
    bodies = [re.sub(r"R-07|Z-99|csrfmiddlewaretoken.*?>", "", html_of(a)) for a in answers]
    assert all("another company or to none" in body for body in bodies)
    assert rope.company.name not in html_of(answers[0])
    assert rope.description not in html_of(answers[0])
    assert item_by_tag(outsider.company, item_address(rope)) is None


@pytest.mark.django_db
def test_a_scanned_address_finds_the_item_and_so_does_its_tag_alone(rope, company):
    assert item_by_tag(company, item_address(rope)) == rope
    assert item_by_tag(company, "https://old.example/gear/R-07/") == rope
    assert item_by_tag(company, "r-07") == rope


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("changes", "field"),
    [({"start": "66"}, "start"), ({"start": "0"}, "start"), ({"size": "a3"}, "size"), ({"items": []}, "items")],
)
def test_a_refused_form_says_where(rope, owner, signed_in, changes, field):
    page = signed_in(owner).post(reverse("labels"), sent(rope, **changes))
    assert page.status_code == 422
    assert list(page.context["form"].errors) == [field]


@pytest.mark.django_db
def test_another_companys_item_cannot_be_printed(rope, outsider, signed_in):
    assert signed_in(outsider).post(reverse("labels"), sent(rope)).status_code == 422


@pytest.mark.django_db
def test_items_are_offered_by_search_class_place_and_set(company, owner, signed_in):
    tackle = ItemFactory(company=company, tag="T-1", gear_class="tackle_set", parts_expected=2)
    ItemFactory(company=company, tag="B-01", storage_place="Van", assembly=tackle)
    ItemFactory(company=company, tag="B-02", storage_place="Shed")
    ItemFactory(company=company, tag="B-03", retired=True)
    client = signed_in(owner)
    for query, tags in (
        ({}, ["B-01", "B-02", "T-1"]),
        ({"q": "B-0"}, ["B-01", "B-02"]),
        ({"p": "Van"}, ["B-01"]),
        ({"c": "tackle_set"}, ["T-1"]),
        ({"set": "T-1"}, ["B-01", "T-1"]),
        ({"tag": "B-02"}, ["B-02"]),
    ):
        form = client.get(reverse("labels"), query).context["form"]
        assert [tag for _, tag in form.fields["items"].choices] == tags, query
