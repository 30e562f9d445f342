"""Fails and cautions of the haulers and of where people stand."""

from __future__ import annotations

from jobs.mechanics.findings.code import Code

HAULERS: tuple[Code, ...] = (
    Code(
        "too-few-people",
        "fail",
        13,
        "Too few haulers",
        "The haulers cannot keep up the pull the stem needs.",
        "More haulers, more parts, or a hinge no thicker than the plan allows.",
        sentences=("{people} can hold {limit_n}; the pull takes {hand_force_n}. {people_needed} are needed.",),
        danger=1,
        is_panel=True,
    ),
    Code(
        "people-marginal",
        "caution",
        13,
        "Haulers only just enough",
        "Enough people for the crew's task, not for the figure the gear is sized by.",
        "One more hauler, or more parts.",
        sentences=(
            "{people} can hold {limit_n}: enough for the crew's task, but the gear is sized for "
            "{hand_force_n}, which takes {people_needed}.",
        ),
        danger=3,
        is_panel=True,
    ),
)

PLACES: tuple[Code, ...] = (
    Code(
        "place-missing",
        "fail",
        13,
        "A person's place is missing",
        "It is not said where this person stands.",
        "Give distance and bearing from the stump.",
        subject="place",
        danger=1,
        is_panel=True,
    ),
    Code(
        "crew-in-fall-zone",
        "fail",
        13,
        "Person in the fall zone",
        "This person stands nearer than the tree's height.",
        "Move the place out beyond one and a half heights, with a longer line or a redirect.",
        sentences=("This person is {distance_m} from the stump; the tree is {limit_m} high.",),
        subject="place",
        danger=1,
        is_panel=True,
    ),
    Code(
        "crew-near-fall-zone",
        "caution",
        13,
        "Person near the fall zone",
        "This person stands nearer than one and a half heights.",
        "Move the place further out.",
        sentences=("This person is {distance_m} from the stump; one and a half heights are {limit_m}.",),
        subject="place",
        danger=1,
        is_panel=True,
    ),
    Code(
        "in-line-of-rope",
        "fail",
        13,
        "Person in line of the rope",
        "This person stands behind the anchor or inside the bight of a redirect.",
        "Move the place out of the line of the rope and out of the bight.",
        sentences=("This person's place is {where}.",),
        subject="place",
        danger=1,
        is_panel=True,
    ),
)
