"""Template tags of the shell and of the shared parts. How each is used stands at the head of its template."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache
from typing import Any

from django import forms
from django.core.exceptions import ImproperlyConfigured
from django.forms import BaseForm, BaseFormSet, BoundField
from django.template import Context, Library
from django.utils.html import format_html
from django.utils.safestring import SafeString

from crewlog.models import Role
from crewlog.web.ui_rows import Place

register = Library()

MARKS = ("ok", "due", "over", "out", "gone", "refused", "caution", "open")

PLACES = {
    "today": Place("today", "Today", "n-today"),
    "jobs": Place("jobs", "Jobs", "n-jobs"),
    "store": Place("store", "Store", "n-store"),
    "crew": Place("crew", "Crew", "n-crew"),
    "records": Place("records", "Records", "n-records"),
    "find_tag": Place("find_tag", "Find tag", "n-find"),
    "more": Place("more", "More", "n-more"),
}
BAR = {
    Role.OWNER: ("today", "jobs", "store", "crew", "records"),
    Role.CREW_LEAD: ("today", "jobs", "store", "crew", "records"),
    Role.INSPECTOR: ("today", "jobs", "store", "crew", "records"),
    Role.CREW: ("today", "jobs", "store"),
    Role.AUDITOR: ("records",),
}
THUMB = dict.fromkeys(Role, ("today", "jobs", "store", "find_tag", "more")) | {Role.AUDITOR: ("records", "more")}

NUMBER_WORDS = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten")


@register.simple_tag
def icon(name: str) -> SafeString:
    """A drawing of the sprite, beside its word: `{% icon "n-store" %}`."""
    return format_html('<svg class="icon" aria-hidden="true" focusable="false"><use href="#{}"/></svg>', name)


@register.simple_tag
def mark(kind: str, words: object, big: bool = False) -> SafeString:
    """State as word, shape and colour: `{% mark "due" "Due in 19 days" %}`."""
    return format_html("{}{}</span></span>", _mark_head(kind, bool(big)), words)


@cache
def _mark_head(kind: str, big: bool) -> SafeString:
    """A mark up to its words; a list shows the same few on every line."""
    if kind not in MARKS:
        raise ImproperlyConfigured(f"No state mark {kind!r}: use one of {', '.join(MARKS)}.")
    shape = icon(f"m-{kind}")
    return format_html('<span class="mark mark--{}{}">{}<span>', kind, " mark--big" if big else "", shape)


@register.simple_block_tag(end_name="endcurrent_place")
def current_place(content: str) -> str:
    """The place named by a page's `place` block; an unknown one is a mistake in the page."""
    place = content.strip()
    if place and place not in PLACES:
        raise ImproperlyConfigured(f"No place {place!r}: use one of {', '.join(PLACES)}.")
    return place


@register.simple_tag(takes_context=True)
def places(context: Context, bar: str) -> tuple[Place, ...]:
    """The places the member may open, for the head bar ("bar") or the thumb bar ("thumb")."""
    member = getattr(context.get("request"), "member", None)
    if member is None:
        return ()
    return tuple(PLACES[name] for name in (BAR if bar == "bar" else THUMB)[member.role])


@register.inclusion_tag("parts/trail.html")
def trail(*pairs: str) -> dict[str, Any]:
    """The path of links back: `{% trail "Jobs" jobs_url "0412 Withy Cut" job_url %}`."""
    if len(pairs) % 2:
        raise ImproperlyConfigured("trail takes pairs: a word, then its address ('' for none).")
    return {"links": list(zip(pairs[::2], pairs[1::2], strict=True))}


@register.inclusion_tag("parts/use_bar.html")
def use_bar(
    use_ratio: float, could_ratio: float | None = None, *, refused: bool = False, could_refused: bool = False
) -> dict[str, Any]:
    """How much of its capacity an item carries; ratios of capacity, 1.0 is all of it. Percentages round up."""
    ratios = [use_ratio] if could_ratio is None else [use_ratio, could_ratio]
    if any(not math.isfinite(ratio) or ratio < 0 for ratio in ratios):
        raise ValueError(f"A use bar takes finite ratios of capacity, not {ratios}.")
    could = None if could_ratio is None else f"{min(could_ratio, 2.0) * 50:.1f}%"
    state = "refused" if could_refused else "caution" if could_ratio is not None and could_ratio > 1 else ""
    return {
        "now": f"{min(use_ratio, 2.0) * 50:.1f}%",
        "is_over": refused or use_ratio > 1,
        "could": could,
        "could_state": state,
        "use_percent": whole_percent(use_ratio),
        "could_percent": None if could_ratio is None else whole_percent(could_ratio),
    }


def whole_percent(ratio: float) -> int:
    """A load's share of its limit in whole percent, rounded up; 1e-9 keeps 0.31 from becoming 32 %."""
    return math.ceil(ratio * 100 - 1e-9)


@register.simple_block_tag(end_name="endverdict", takes_context=True)
def verdict(
    context: Context, content: str, kind: str, words: str, id: str = "verdict", urgent: bool = False, level: int = 2
) -> str:
    """The slab with the face notch around its sentences and actions; see parts/verdict.html."""
    marks = {"refused": "refused", "caution": "caution", "stands": "ok"}
    if kind not in marks:
        raise ImproperlyConfigured(f"No verdict {kind!r}: use refused, caution or stands.")
    facts = {"kind": kind, "mark_kind": marks[kind], "words": words, "id": id, "urgent": urgent, "level": level}
    return part(context, "parts/verdict.html", facts | {"inside": content})


@register.simple_block_tag(end_name="endgroup", takes_context=True)
def group(context: Context, content: str, title: str, shown: object = "", open: bool = False) -> str:
    """A folded part of a form that shows its values when shut; see parts/group.html."""
    return part(context, "parts/group.html", {"title": title, "shown": shown, "open": open, "inside": content})


@register.simple_block_tag(end_name="endempty_note", takes_context=True)
def empty_note(context: Context, content: str, href: str = "", action: str = "") -> str:
    """Nothing here yet: a sentence on why it matters, and one button; see parts/empty.html."""
    words = SafeString(" ".join(content.split()))
    return part(context, "parts/empty.html", {"words": words, "href": href, "action": action})


def part(context: Context, name: str, facts: dict[str, Any]) -> str:
    if context.template is None:
        raise ValueError("a part is drawn within a template")
    engine = context.template.engine
    return engine.get_template(name).render(context.new(facts))


@register.inclusion_tag("parts/field.html")
def field(bound: BoundField, row: bool = False, optional: bool = True, label: str = "") -> dict[str, Any]:
    """One field of a form in the house pattern; `{{ form }}` and `as_field_group` come here too."""
    widget = bound.field.widget
    if bound.is_hidden:
        kind = "hidden"
    elif isinstance(widget, forms.CheckboxInput):
        kind = "tick"
    else:
        kind = "set" if bound.use_fieldset else "box"
    return {
        "field": bound,
        "kind": kind,
        "row": row and kind == "box",
        "label": label or bound.label,
        "has_own_box": bool(getattr(widget, "unit_label", "")) or getattr(widget, "has_own_box", False),
        "is_optional": optional and not bound.field.required and kind != "tick",
        # A placeholder repeats the label, or hides what the field is for once something is typed.
        "control": bound.as_widget(attrs={"placeholder": False}),
    }


@register.filter
def tiles_across(widget: dict[str, Any]) -> str:
    """Two or three short answers without hints stand side by side."""
    options = [option for _, group_options, _ in widget["optgroups"] for option in group_options]
    short = all(len(str(option["label"])) <= 10 and not option.get("hint") for option in options)
    return {2: "choices--two", 3: "choices--three"}.get(len(options), "") if short else ""


@register.inclusion_tag("parts/errors.html")
def error_summary(*forms_in_order: BaseForm | BaseFormSet[Any], before: str = "") -> dict[str, Any]:
    """What to put right, as links to the fields: `{% error_summary form before="you sign" %}`."""
    faults = [fault for form in forms_in_order for fault in form_faults(form)]
    count = NUMBER_WORDS[len(faults)] if len(faults) < len(NUMBER_WORDS) else str(len(faults))
    thing = "thing" if len(faults) == 1 else "things"
    return {"faults": faults, "title": f"{count} {thing} to put right{f' before {before}' if before else ''}"}


def form_faults(form: BaseForm | BaseFormSet[Any]) -> Iterator[tuple[str, str, str]]:
    """(id of the control or "", label, message) of every fault, in the order of the page."""
    if isinstance(form, BaseFormSet):
        for message in form.non_form_errors():
            yield "", "", str(message)
        for each in form.forms:
            yield from form_faults(each)
        return
    for message in form.non_field_errors():
        yield "", "", str(message)
    for bound in form:
        for message in bound.errors:
            yield first_control(bound), str(bound.label), str(message)


def first_control(bound: BoundField) -> str:
    """The id that a link to the field leads to: of a set of tiles, the first."""
    if bound.is_hidden:
        return ""
    return bound.id_for_label or (f"{bound.auto_id}_0" if bound.auto_id else "")
