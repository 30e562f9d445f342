"""A pull and its resets in words: the same steps on the plan page, the working page and in the annex."""

import math
from dataclasses import dataclass

from jobs.mechanics.defaults import DEFAULTS
from jobs.mechanics.haul_sequence import (
    HaulSequence,
    HaulStep,
    SetbackChoice,
    StepKind,
    haul_sequence,
    setback_choices,
)
from jobs.mechanics.plan_result import PlanResult
from jobs.sheets.content import HaulRow
from jobs.unit_formatter import UnitFormatter

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


@dataclass(frozen=True, slots=True, kw_only=True)
class HaulStage:
    """One tackle's sequence with the choices of set-back, in words."""

    title: str
    rows: tuple[HaulRow, ...]
    total: str
    choices: tuple[str, ...]


def haul_stages(result: PlanResult, reader: UnitFormatter) -> tuple[HaulStage, ...]:
    """Each tackle's steps; none where the plan has no travel yet."""
    worked = sequences(result)
    many = len(worked) > 1
    return tuple(
        HaulStage(
            title=f"Tackle {number}" if many else "Tackle",
            rows=tuple(
                haul_row(place, step, reader, is_first=number == 1) for place, step in enumerate(sequence.steps, 1)
            ),
            total=total_words(sequence, reader),
            choices=tuple(choice_words(choice, place, reader) for place, choice in enumerate(choices)),
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


def haul_row(number: int, step: HaulStep, reader: UnitFormatter, *, is_first: bool) -> HaulRow:
    words, held = (WORDS, HELD) if is_first else (LATER_WORDS, LATER_HELD)
    what = words[step.kind]
    if step.kind == "haul":
        what = (
            f"Pull {step.pull}: haul {reader.length(step.hand_rope_m)} of rope, {reader.length(step.taken_m)} of line"
        )
    elif step.kind == "hold" and step.taken_m:
        what = f"{what}; {reader.length(-step.taken_m)} of line is lost"
    return HaulRow(
        number=str(number),
        what=what,
        held_by=held[step.held_by],
        travel=reader.length(step.travel_m),
        time=time_words(step.time_s),
        while_tipping=step.is_tipping,
    )


def time_words(time_s: float) -> str:
    """Whole minutes from two minutes on, else seconds to ten; both up."""
    if time_s >= 120:
        return f"{math.ceil(time_s / 60 - 1e-9)}\u00a0min"
    return f"{math.ceil(time_s / 10 - 1e-9) * 10}\u00a0s"


def total_words(sequence: HaulSequence, reader: UnitFormatter) -> str:
    more = f", each later pull {reader.length(sequence.next_pull_m)}" if sequence.resets else ""
    resets = "no reset" if not sequence.resets else f"{sequence.resets} reset{'s' if sequence.resets > 1 else ''}"
    first = reader.length(sequence.first_pull_m)
    return f"About {time_words(sequence.total_time_s)} with {resets}. The first pull takes in {first}{more}."


def choice_words(choice: SetbackChoice, place: int, reader: UnitFormatter) -> str:
    who = ("As planned", "With a hitch-tending pulley", "Hitch left untended")[place]
    lost = f"{who}, {reader.length(choice.setback_m)} lost at each reset"
    if choice.resets is None or choice.total_time_s is None:
        return f"{lost}: the tackle gets nowhere, it loses as much as it takes in"
    resets = "no reset" if not choice.resets else f"{choice.resets} reset{'s' if choice.resets > 1 else ''}"
    return f"{lost}: {resets}, about {time_words(choice.total_time_s)}"


def times_words(reader: UnitFormatter) -> str:
    """What the times rest on."""
    speed, extend, cleat, hold = (DEFAULTS[name] for name in TIMES)
    return (
        f"Times: rope through the hands at {reader.length(speed.value)} a second, extending {extend.value:g} s, "
        f"cleating {cleat.value:g} s, passing the load to the bollard {hold.value:g} s. "
        f"These are a {speed.basis}, not measured; wet rope and slopes take longer."
    )
