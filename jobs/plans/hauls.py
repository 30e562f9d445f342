"""A pull and its resets, step by step: the same rows on the plan page, the working page and in the annex."""

import math

from jobs.mechanics.defaults import DEFAULTS
from jobs.mechanics.haul_sequence import (
    HaulSequence,
    HaulStep,
    SetbackChoice,
    StepKind,
    haul_sequence,
    setback_choices,
)
from jobs.mechanics.plan.result import PlanResult
from jobs.plans.presentation import HaulRow, HaulTable, Reset
from jobs.wording.figure import DURATION, LENGTH, Figure, Part, Words, words

WORDS: dict[StepKind, str] = {
    "extend": "Extend the tackle fully; stopper knot in the tail",
    "haul": "Haul",
    "cleat": "Cleat the tail and look at it; back it up at once",
    "hold": "Bollard takes the load on its wraps; the tackle goes slack",
    "re_extend": "Slide the hitch forward, extend fully again",
}
HELD = {
    "nothing": "nothing yet: the line is slack",
    "crew": "the haulers, the bollard taking in",
    "cleat": "the cleat",
    "bollard": "the bollard",
}
LATER_HELD = HELD | {"bollard": "the cleat of the first tackle", "crew": "the haulers"}
LATER_WORDS = WORDS | {"hold": "Cleat of the first tackle takes the load; the second goes slack"}
TIMES = ("haul_speed", "extend_time", "cleat_time", "hold_time")


def haul_tables(result: PlanResult) -> tuple[HaulTable, ...]:
    """Each tackle's steps; none where the plan has no travel yet."""
    worked = sequences(result)
    many = len(worked) > 1
    return tuple(
        HaulTable(
            title=f"Tackle {number}" if many else "Tackle",
            rows=tuple(haul_row(place, step, is_first=number == 1) for place, step in enumerate(sequence.steps, 1)),
            total=total_words(sequence),
            choices=tuple(choice_words(choice, place) for place, choice in enumerate(choices)),
        )
        for number, (sequence, choices) in enumerate(worked, 1)
    )


def sequences(result: PlanResult) -> tuple[tuple[HaulSequence, tuple[SetbackChoice, ...]], ...]:
    """The steps of each tackle and what other set-backs come to. A later tackle takes in the parts of those before."""
    if result.travel is None or result.working is None:
        return ()
    found = []
    stages = result.working.stages
    for number, (stage, figures) in enumerate(zip(stages, result.travel.stages, strict=True)):
        before = math.prod(each.parts for each in stages[:number])
        setback_m = stage.setback_m or 0.0
        tip_from_m = (result.travel.total_travel_m - result.tip_travel_m) * before
        hauled = float(math.prod(each.parts for each in stages[number:]))
        sequence = haul_sequence(figures, setback_m=setback_m, tip_from_m=tip_from_m, hauled_ratio=hauled)
        choices = setback_choices(figures, setback_m=setback_m, tip_from_m=tip_from_m, hauled_ratio=hauled)
        found.append((sequence, choices))
    return tuple(found)


def haul_row(number: int, step: HaulStep, *, is_first: bool) -> HaulRow:
    called, held = (WORDS, HELD) if is_first else (LATER_WORDS, LATER_HELD)
    what: Part = called[step.kind]
    if step.kind == "haul":
        rope = Figure("rope through the hands", step.hand_rope_m, LENGTH)
        what = words("Pull {}: haul {} of rope, {} of line", step.pull, rope, Figure("line", step.taken_m, LENGTH))
    elif step.kind == "hold" and step.taken_m:
        what = words("{}; {} of line is lost", what, Figure("line lost", -step.taken_m, LENGTH))
    return HaulRow(
        number=number,
        what=what,
        held_by=held[step.held_by],
        travel=Figure("line taken in", step.travel_m, LENGTH),
        time=Figure("time", step.time_s, DURATION),
        while_tipping=step.is_tipping,
    )


def resets_word(resets: int) -> str:
    return "no reset" if not resets else f"{resets} reset{'s' if resets > 1 else ''}"


def total_words(sequence: HaulSequence) -> Words:
    total = Figure("time in all", sequence.total_time_s, DURATION)
    first = Figure("first pull", sequence.first_pull_m, LENGTH)
    more: Part = ""
    if sequence.resets:
        more = words(", each later pull {}", Figure("later pull", sequence.next_pull_m, LENGTH))
    return words("About {} with {}. The first pull takes in {}{}.", total, resets_word(sequence.resets), first, more)


def choice_words(choice: SetbackChoice, place: int) -> Words:
    who = ("As planned", "With a hitch-tending pulley", "Hitch left untended")[place]
    lost = words("{}, {} lost at each reset", who, Figure("set-back", choice.setback_m, LENGTH))
    if choice.resets is None or choice.total_time_s is None:
        return words("{}: the tackle gets nowhere, it loses as much as it takes in", lost)
    total = Figure("time in all", choice.total_time_s, DURATION)
    return words("{}: {}, about {}", lost, resets_word(choice.resets), total)


def times_words() -> Words:
    """What the times rest on."""
    speed, extend, cleat, hold = (DEFAULTS[name] for name in TIMES)
    return words(
        "Times: rope through the hands at {} a second, extending {} s, cleating {} s, passing the load to the bollard "
        "{} s. These are a {}, not measured; wet rope and slopes take longer.",
        Figure("rope in a second", speed.value, LENGTH),
        *(f"{default.value:g}" for default in (extend, cleat, hold)),
        speed.basis,
    )


def resets(result: PlanResult) -> tuple[Reset, ...]:
    """Each reset of the first tackle in its order, with what holds the stem meanwhile."""
    worked = sequences(result)
    if not worked:
        return ()
    first, _ = worked[0]
    ends = [step for step in first.steps if step.kind == "cleat"]
    return tuple(
        Reset(
            when=words(
                "Reset {} of {}, at about {} of line travel",
                number,
                first.resets,
                Figure("line travel", step.travel_m, LENGTH),
            ),
            text=(
                "Cleat the tackle; bollard takes the load on its wraps; slack the tackle, slide the hitch forward, "
                "extend fully; haul until the bollard's line goes slack; take its slack in at once."
            ),
            while_tipping=step.is_tipping,
        )
        for number, step in enumerate(ends, 1)
    )
