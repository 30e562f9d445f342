"""How the figures behind a finding are called and read, each declared once by the name the mechanics give it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from string import Formatter

from crewlog.quantities.kinds import Kind
from jobs.wording.counted import counted, number_word, sentence
from jobs.wording.felling import felling
from jobs.wording.figure import (
    ANGLE,
    AS_IS,
    FACTOR,
    FORCE,
    HAND_FORCE,
    HANDS,
    LENGTH,
    LIMIT,
    LOAD,
    MOMENT,
    NOWHERE,
    NUMBER,
    SHARE,
    WIND,
    At,
    Figure,
    Part,
    Rounding,
    Words,
    words,
)


@dataclass(frozen=True, slots=True)
class FactKind:
    """What a fact is called in a sentence, and how its figure is read."""

    called: str
    kind: Kind
    rounding: Rounding = AS_IS
    at: At = NOWHERE


FACTS: dict[str, FactKind] = {
    "advantage": FactKind("advantage", NUMBER),
    "anchor": FactKind("anchor", NUMBER),
    "angle_deg": FactKind("angle", ANGLE),
    "arm_m": FactKind("arm", LENGTH),
    "attach_height_m": FactKind("attach height", LENGTH),
    "bend_ratio": FactKind("bend", FACTOR, LIMIT),  # sheave over rope, rounded down as a strength is
    "capacity_n": FactKind("capacity", FORCE, LIMIT),
    "depth_ratio": FactKind("depth", SHARE, LOAD),
    "diameter_m": FactKind("diameter", LENGTH),
    "distance_m": FactKind("distance", LENGTH),
    "efficiency": FactKind("efficiency", NUMBER),
    "gate": FactKind("gate", NUMBER),
    "given": FactKind("given", NUMBER),
    "governing": FactKind("governing", NUMBER),
    "gust_m_s": FactKind("gust", WIND),
    "hand_force_n": FactKind("hand force", HAND_FORCE, LOAD, HANDS),
    "haul_m": FactKind("haul", LENGTH),
    "height_m": FactKind("height", LENGTH),
    "highest_m": FactKind("highest", LENGTH),
    "highest_ratio": FactKind("highest", SHARE, LOAD),
    "hinge_height_m": FactKind("hinge height", LENGTH),
    "ideal_advantage": FactKind("ideal advantage", NUMBER),
    "kind": FactKind("kind", NUMBER),
    "lean_deg": FactKind("lean", ANGLE),
    "limit": FactKind("limit", NUMBER),
    "limit_bend_ratio": FactKind("limit bend", FACTOR, LIMIT),
    "limit_deg": FactKind("limit", ANGLE),
    "limit_high_ratio": FactKind("limit high", SHARE, LOAD),
    "limit_low_ratio": FactKind("limit low", SHARE, LOAD),
    "limit_m": FactKind("limit", LENGTH),
    "limit_m_s": FactKind("limit", WIND),
    "limit_n": FactKind("limit", FORCE, LIMIT),
    "limit_n_m": FactKind("limit", MOMENT),
    "limit_ratio": FactKind("limit", SHARE, LOAD),
    "limit_resets": FactKind("limit resets", NUMBER),
    "load_n": FactKind("load", FORCE, LOAD),
    "lowest_m": FactKind("lowest", LENGTH),
    "lowest_n": FactKind("lowest", FORCE, LOAD),
    "lowest_ratio": FactKind("lowest", SHARE, LOAD),
    "material": FactKind("material", NUMBER),
    "moment_n_m": FactKind("moment", MOMENT),
    "notch_depth_ratio": FactKind("notch depth", SHARE, LOAD),
    "parts": FactKind("parts", NUMBER),
    "peak_n": FactKind("peak", FORCE, LOAD),
    "people": FactKind("people", NUMBER),
    "people_needed": FactKind("people needed", NUMBER),
    "readings": FactKind("readings", NUMBER),
    "reasons": FactKind("reasons", NUMBER),
    "resets": FactKind("resets", NUMBER),
    "residual_strength_ratio": FactKind("residual strength", SHARE, LOAD),
    "score": FactKind("score", NUMBER),
    "setback_m": FactKind("lost at each reset", LENGTH),
    "share_ratio": FactKind("share", SHARE, LOAD),
    "sheaves": FactKind("sheaves", NUMBER),
    "slack_m": FactKind("slack", LENGTH),
    "slip_force_n": FactKind("slip force", FORCE, LOAD),
    "steady_n": FactKind("steady", FORCE, LOAD),
    "stem_diameter_m": FactKind("stem diameter", LENGTH),
    "tension_n": FactKind("tension", FORCE, LOAD),
    "thickness_m": FactKind("thickness", LENGTH),
    "throw_m": FactKind("one haul", LENGTH),
    "utilisation_ratio": FactKind("utilisation", SHARE, LOAD),
    "where": FactKind("where", NUMBER),
    "width_m": FactKind("width", LENGTH),
}
PEOPLE = ("people", "people_needed")  # counted in words where a sentence names them
# What hands keep up is a limit of hands, where other limits are of lines and gear.
HANDS_KEEP_UP = FactKind("limit", HAND_FORCE, LIMIT, HANDS)
OF_CODE: dict[tuple[str, str], FactKind] = {
    ("too-few-people", "limit_n"): HANDS_KEEP_UP,
    ("people-marginal", "limit_n"): HANDS_KEEP_UP,
}


def fact_part(code: str, name: str, value: float | str) -> Part:
    """One fact of a finding as "load 2.90 kN". Raises KeyError for a name nobody declared."""
    fact = OF_CODE.get((code, name)) or FACTS[name]
    if isinstance(value, str):
        return f"{felling(fact.called)} {value or 'not known'}"
    return words("{} {}", felling(fact.called), Figure(fact.called, value, fact.kind, fact.rounding, fact.at))


def told(code: str, sentences: Iterable[str], facts: Mapping[str, float | str]) -> Words | None:
    """The first of a code's sentences whose figures are all known, with them in it; None where there is none."""
    for sentence_of_code in sentences:
        pieces = [(text, name) for text, name, _, _ in Formatter().parse(sentence_of_code)]
        if all(name in facts for _, name in pieces if name):
            template = "".join(text + ("{}" if name else "") for text, name in pieces)
            parts = [
                fact_in_sentence(code, name, facts[name], is_first=not text or text.endswith(". "))
                for text, name in pieces
                if name
            ]
            return words(template, *parts)
    return None


def fact_in_sentence(code: str, name: str, value: float | str, *, is_first: bool) -> Part:
    """A fact without what it is called. People are counted in words; what begins a sentence has a capital."""
    if isinstance(value, str):
        text = value.replace("_", " ") or "not known"
    elif name in PEOPLE:
        text = counted(int(value), "person", "people") if name == "people" else number_word(int(value))
    else:
        fact = OF_CODE.get((code, name)) or FACTS[name]
        return Figure(fact.called, value, fact.kind, fact.rounding, fact.at)
    return sentence(text) if is_first else text


def fact_words(code: str, facts: Mapping[str, float | str]) -> Words:
    """All facts of a finding, in the order the mechanics give them: "load 2.90 kN, capacity 2.40 kN"."""
    parts = [fact_part(code, name, value) for name, value in facts.items()]
    return words(", ".join(["{}"] * len(parts)), *parts)
