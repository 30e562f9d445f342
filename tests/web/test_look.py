"""The rules of the look: what templates and stylesheets may hold, and what the shared parts render."""

import re
from pathlib import Path

import pytest
from django import forms
from django.core.exceptions import ImproperlyConfigured
from django.core.management import call_command
from django.template import engines
from django.template.loader import render_to_string
from django.test import override_settings
from django.urls import reverse

from crewlog.models import Role
from crewlog.templatetags import ui
from gear.catalogue.classes import CLASSES
from jobs.mechanics.roles import ANCHOR_KINDS, ROLES
from jobs.sheets.candidates import classes_for
from jobs.sheets.path_rows import ANCHOR_ICONS
from tests.architecture.tree import text_of
from tests.pages import html_of, in_one_line
from tests.rows import every_row
from tests.web import gallery

ROOT = Path(__file__).resolve().parents[2]
CSS = ROOT / "crewlog" / "styles"
STYLESHEETS = sorted(path for app in ("crewlog", "gear", "jobs") for path in (ROOT / app).glob("styles/**/*.css"))
SCRIPTS = sorted(path for app in ("crewlog", "gear") for path in (ROOT / app).glob("scripts/**/*.*js"))
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
SPRITE = (ROOT / "templates" / "parts" / "sprite.html").read_text(encoding="utf-8")
DRAWN = set(re.findall(r'<symbol id="([a-z-]+)"', SPRITE))
DRAWN_BY = (
    "crewlog/templatetags/ui.py",
    "crewlog/quantities/fields.py",
    "jobs/drawing/palette.py",
    "gear/register/item_page.py",
)
COMPOSED = {
    *(f"mark--{kind}" for kind in ui.MARKS),
    *(f"verdict--{kind}" for kind in ("refused", "caution", "stands")),
    *(f"is-{level}" for level in ("success", "warning", "error")),
    *(f"figures--{count}" for count in range(1, 6)),
    *(f"use__could--{state}" for state in ("caution", "refused")),
}
OF_HTMX = {"htmx-request"}
stand_in_places = override_settings(ROOT_URLCONF="tests.web.gallery_urls")


def without_comments(css: str) -> str:
    return re.sub(r"/\*.*?\*/", "", css, flags=re.DOTALL)


def shown(template: str) -> str:
    """What a reader sees of a template: no template tags, comments or markup."""
    text = re.sub(r"{% comment %}.*?{% endcomment %}|{#.*?#}", "", template, flags=re.DOTALL)
    return re.sub(r"{%.*?%}|{{.*?}}|<[^>]*>", " ", text, flags=re.DOTALL)


def template_of(source: str, **context):
    return engines["django"].from_string("{% load ui %}" + source).render(context)


each_template = every_row("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT)))


class TestEveryTemplate:
    @each_template
    def test_template_holds_no_inline_style_or_script(self, path):
        text = text_of(path)
        assert not re.search(r"\sstyle\s*=", text)
        assert "<style" not in text
        assert not re.search(r"\son[a-z]+\s*=\s*[\"']", text)
        assert not re.search(r'<script(?![^>]*(?:\ssrc=|\stype="application/json"))', text)
        assert "javascript:" not in text

    @each_template
    def test_template_holds_no_colour(self, path):
        text = re.sub(r'href="#[^"]*"|url\(#hatch\)', "", text_of(path))
        assert not re.search(r"#[0-9a-fA-F]{3,8}\b(?![-\w])|\brgb\(|\bhsl\(", text)

    @each_template
    def test_template_uses_only_drawings_that_exist(self, path):
        text = text_of(path)
        used = set(re.findall(r'href="#([mgn]-[a-z-]+)"', text)) | set(re.findall(r'{% icon "([^"]+)"', text))
        assert used <= DRAWN

    @each_template
    def test_template_asks_no_role(self, path):
        """A view says what its reader may do (`may_…`); a role in words is text."""
        tags = re.findall(r"{%.*?%}", text_of(path))
        roles = re.compile(r"member\.role\b|\brole [!=]=|\bis_(?:owner|auditor|inspector)\b")
        assert [tag for tag in tags if roles.search(tag)] == []

    @each_template
    def test_template_speaks_plainly(self, path):
        words = shown(text_of(path))
        assert not re.search(r"\bplease\b|\boops\b|\bsorry\b|\bsafe\b", words, flags=re.IGNORECASE)
        assert not re.search(r"[A-Za-z]!", words)


def test_every_mark_and_place_has_its_drawing():
    asked = {f"m-{name}" for name in ui.MARKS}
    asked |= {place.icon for place in ui.PLACES.values()}
    assert asked <= DRAWN


def test_every_gear_class_and_every_kind_in_the_load_path_has_a_drawing():
    assert {declared.icon for declared in CLASSES} <= DRAWN
    assert set(ANCHOR_ICONS) == set(ANCHOR_KINDS)
    assert set(ANCHOR_ICONS.values()) <= DRAWN
    assert all(role.is_anchor or classes_for(role.numbered(1)) for role in ROLES)


def test_hex_colours_stand_in_the_tokens_only():
    for path in STYLESHEETS:
        found = re.findall(r"#[0-9a-fA-F]{3,8}\b", without_comments(path.read_text(encoding="utf-8")))
        assert bool(found) == (path.name == "tokens.css"), path


def test_there_are_fewer_than_fifty_tokens():
    tokens = set(re.findall(r"(--[a-z0-9-]+)\s*:", (CSS / "tokens.css").read_text(encoding="utf-8")))
    assert 30 < len(tokens) < 50


def test_every_token_used_is_declared():
    declared = set(re.findall(r"(--[a-z0-9-]+)\s*:", (CSS / "tokens.css").read_text(encoding="utf-8")))
    for path in STYLESHEETS:
        css = path.read_text(encoding="utf-8")
        own = set(re.findall(r"(--[a-z0-9-]+)\s*:", css))
        assert set(re.findall(r"var\((--[a-z0-9-]+)", css)) <= declared | own, path


def words_of(paths):
    return {word for path in paths for word in re.findall(r"[A-Za-z_][\w-]*", path.read_text(encoding="utf-8"))}


def classes_of_pages():
    """Classes that a page can have: written in a template, or made by code, whole or of a beginning and a state."""
    attribute = re.compile(r'class="((?:[^"{]|\{%.*?%\}|\{\{.*?\}\})*)"|page_class %\}([^{]*)', re.DOTALL)
    templates = [path.read_text(encoding="utf-8") for path in TEMPLATES]
    written = {word for text in templates for found in attribute.findall(text) for word in " ".join(found).split()}
    written = {word for each in written for word in re.findall(r"[A-Za-z_][\w-]*", each)}
    return written | words_of([ROOT / path for path in DRAWN_BY] + SCRIPTS) | COMPOSED | OF_HTMX


def test_every_class_of_the_stylesheets_is_one_that_a_page_can_have():
    known = classes_of_pages()
    for path in STYLESHEETS:
        css = re.sub(r"url\([^)]*\)", "", without_comments(path.read_text(encoding="utf-8")))
        assert set(re.findall(r"\.([A-Za-z][\w-]*)", css)) - known == set(), path


def test_every_token_declared_is_used():
    tokens = set(re.findall(r"(--[a-z0-9-]+)\s*:", (CSS / "tokens.css").read_text(encoding="utf-8")))
    used = {
        name for path in STYLESHEETS for name in re.findall(r"var\((--[a-z0-9-]+)", path.read_text(encoding="utf-8"))
    }
    assert tokens - used == set()


def test_stylesheet_brings_in_every_component_once_and_in_its_layer():
    app = (CSS / "crewlog.css").read_text(encoding="utf-8")
    assert "@layer reset, tokens, elements, layout, components, print;" in app
    imported = re.findall(r'@import url\("components/([a-z]+\.css)"\) layer\(components\);', app)
    assert sorted(imported) == sorted(path.name for path in (CSS / "components").glob("*.css"))


def test_stylesheets_hold_no_shadow_no_pill_and_no_force():
    for path in STYLESHEETS:
        css = without_comments(path.read_text(encoding="utf-8"))
        assert "shadow" not in css, path
        assert "!important" not in css, path
        radii = set(re.findall(r"border-radius:\s*([^;}]+)", css))
        assert radii <= {"var(--corner)", "50%", "0.16em"}, path


def test_script_is_short_and_writes_no_markup():
    assert len(SCRIPTS) > 12
    for path in SCRIPTS:
        script = path.read_text(encoding="utf-8")
        assert len(script.splitlines()) < 400, path
        assert not re.search(r"innerHTML|outerHTML|insertAdjacentHTML|eval\(|new Function|\.style\b", script), path


def test_collected_stylesheet_leads_to_collected_files(tmp_path):
    storages = {
        "default": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.ManifestStaticFilesStorage"},
    }
    with override_settings(STATIC_ROOT=tmp_path, STORAGES=storages):
        call_command("collectstatic", interactive=False, verbosity=0)
    css = next(path for path in tmp_path.glob("crewlog/crewlog.*.css")).read_text(encoding="utf-8")
    named = re.findall(r'url\("([^"]+)"\)', css)
    assert len(named) == 4
    for name in named:
        assert (tmp_path / "crewlog" / name).is_file()
        assert re.search(r"\.[0-9a-f]{12}\.woff2$", name)


@pytest.mark.django_db
def test_sign_in_page_stands_in_the_shell_under_a_strict_policy(client):
    response = client.get(reverse("account_login"))
    page = html_of(response)
    policy = response.headers["Content-Security-Policy"]
    assert response.status_code == 200
    assert "style-src 'self'" in policy
    assert "script-src 'self'" in policy
    assert "unsafe" not in policy
    assert "<style" not in page
    assert not re.search(r'<script(?![^>]*(?:\ssrc=|\stype="application/json"))', page)
    assert "placeholder" not in page
    assert page.count("<h1") == 1
    assert 'aria-label="Places"' not in page


@pytest.mark.parametrize("theme", ["light", "dark", "sun"])
@stand_in_places
def test_gallery_of_all_parts_renders_in_each_theme(theme):
    page = gallery.render(theme)
    assert f'data-theme="{theme}"' in page
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    described = {
        each for group in re.findall(r'aria-(?:describedby|labelledby)="([^"]+)"', page) for each in group.split()
    }
    assert described <= set(ids)
    assert set(re.findall(r'<label for="([^"]+)"', page)) <= set(ids)


@stand_in_places
def test_device_theme_leaves_the_choice_to_the_device():
    page = gallery.render("device")
    assert "data-theme" not in page
    assert '<meta name="color-scheme" content="light dark">' in page


@stand_in_places
def test_current_place_is_marked_in_both_bars():
    page = in_one_line(gallery.render())
    assert page.count('aria-current="page"') == 2
    assert re.search(r'aria-current="page">Jobs</a>', page)


@pytest.mark.parametrize(
    ("role", "words"),
    [
        (Role.CREW_LEAD, ["Today", "Jobs", "Store", "Crew", "Records"]),
        (Role.CREW, ["Today", "Jobs", "Store"]),
        (Role.AUDITOR, ["Records"]),
    ],
)
def test_head_bar_names_only_places_the_role_may_open(role, words):
    asked = gallery.request(who=gallery.member(role))
    page = engines["django"].from_string(
        '{% load ui %}{% places "bar" as all %}{% for p in all %}{{ p.word }},{% endfor %}'
    )
    assert page.render({}, asked) == "".join(f"{word}," for word in words)


@stand_in_places
def test_unknown_place_is_refused():
    page = engines["django"].from_string('{% extends "base.html" %}{% block place %}shed{% endblock %}')
    with pytest.raises(ImproperlyConfigured, match="shed"):
        page.render({}, gallery.request())


@stand_in_places
@pytest.mark.parametrize("name", ["403.html", "404.html", "403_csrf.html", "500.html"])
def test_error_page_renders_without_a_request(name):
    page = render_to_string(name)
    assert page.count("<h1") == 1
    assert "Go to Today" in page or "Sign out" in page


def test_mark_says_its_state_in_word_and_shape():
    page = template_of('{% mark "over" words %}', words="14 days <overdue>")
    assert "#m-over" in page
    assert "14 days &lt;overdue&gt;" in page
    with pytest.raises(ImproperlyConfigured):
        template_of('{% mark "green" "Fine" %}')


def test_use_bar_rounds_percentages_up_and_stops_at_twice_capacity():
    page = template_of("{% use_bar 0.401 2.6 %}")
    assert 'aria-label="41 percent of capacity; the crew could bring it to 260 percent"' in page
    assert 'width="20.1%"' in page  # 0.401 of capacity on a scale whose end is twice capacity
    assert 'x="100.0%"' in page
    assert "use__could--caution" in page


def test_use_bar_past_capacity_is_drawn_as_refused():
    assert "use__now--refused" in template_of("{% use_bar 1.001 %}")
    assert "use__now--refused" not in template_of("{% use_bar 1.0 %}")


def test_whole_percent_keeps_an_exact_hundredth():
    assert ui.whole_percent(0.29) == 29  # 0.29 * 100 is 28.999999999999996 in binary
    assert ui.whole_percent(0.57) == 57
    assert ui.whole_percent(0.2901) == 30


@pytest.mark.parametrize("ratio", [float("nan"), float("inf"), -0.1])
def test_use_bar_refuses_what_is_not_a_ratio(ratio):
    with pytest.raises(ValueError, match="finite"):
        template_of("{% use_bar ratio %}", ratio=ratio)


def test_figures_strip_shows_a_failing_number_as_such():
    page = in_one_line(render_to_string("parts/figures.html", gallery.context()))
    assert re.search(r'num--out">680 <small>N</small>', page)
    assert page.count("num--out") == 1


class Wear(forms.Form):
    diameter = forms.CharField(label="Smallest diameter", help_text="Reject below 12.6 mm.")
    note = forms.CharField(required=False)
    answer = forms.ChoiceField(choices=[("good", "Good"), ("fail", "Fail")], widget=forms.RadioSelect)
    told = forms.BooleanField()
    hidden = forms.CharField(widget=forms.HiddenInput, initial="kept")


def test_field_stands_as_label_hint_error_box():
    page = str(Wear({})["diameter"].as_field_group())
    places = [page.index(part) for part in ("<label", 'class="hint"', 'class="wrong"', 'class="box"', "<input")]
    assert places == sorted(places)
    assert 'aria-invalid="true"' in page
    assert 'aria-describedby="id_diameter_helptext id_diameter_error"' in page
    assert 'id="id_diameter_helptext"' in page
    assert 'id="id_diameter_error"' in page


def test_optional_field_says_so_and_a_needed_one_does_not():
    form = Wear()
    assert "optional" in str(form["note"].as_field_group())
    assert "optional" not in str(form["diameter"].as_field_group())


def test_radio_select_becomes_a_named_set_of_tiles():
    page = in_one_line(str(Wear({})["answer"].as_field_group()))
    assert page.count('<label class="choice">') == 2
    assert "choices--two" in page
    assert '<fieldset class="field field--wrong" aria-describedby="id_answer_error">' in page
    assert '<legend class="label">Answer</legend>' in page


def test_whole_form_brings_its_summary_and_hidden_fields():
    page = str(Wear({"note": "x"}))
    assert "Four things to put right" in page  # diameter, answer, told, and the hidden field
    assert 'role="alert"' in page
    assert 'tabindex="-1"' in page
    assert 'href="#id_diameter"' in page
    assert 'href="#id_answer_0"' in page
    assert 'id="id_answer_0"' in page
    assert '<input type="hidden" name="hidden"' in page


def test_unbound_form_has_no_summary():
    assert 'class="errors"' not in str(Wear())


def test_summary_counts_over_several_forms_and_names_the_step():
    page = template_of('{% error_summary one two before="you sign" %}', one=Wear({"diameter": "1"}), two=Wear({}))
    assert "Seven things to put right before you sign" in page


def test_single_fault_is_one_thing():
    form = Wear({"diameter": "13.4", "answer": "good", "hidden": "x"})
    assert "One thing to put right<" in template_of("{% error_summary form %}", form=form)


def test_every_role_of_a_drawing_has_its_style():
    from jobs.drawing.palette import SCREEN, SCREEN_TEXT

    styled = set(re.findall(r"\.(d-[a-z-]+)", (CSS / "components" / "drawing.css").read_text(encoding="utf-8")))
    named = {name for classes in (*SCREEN.values(), *SCREEN_TEXT.values()) for name in classes.split()}
    assert named
    assert named <= styled
