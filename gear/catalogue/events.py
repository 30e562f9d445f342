"""What can happen to gear, what is done to it, and what each asks for. Standard library only."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EventKind:
    """One kind of event or alteration.

    `quarantines` puts the item out of use at once; `requires_examination` makes one pending. `loaded` is what the kind
    says about whether the gear was loaded: True, False, or None where the reporter says. `by_hand` kinds are offered
    on the form; the others are written by a service of their own.
    """

    code: str
    words: str
    short: str
    quarantines: bool = False
    requires_examination: bool = False
    is_alteration: bool = False
    loaded: bool | None = None
    by_hand: bool = True

    @property
    def applies_to_parts(self) -> bool:
        """Whether what happens to a tackle set so happens to each of its parts; an alteration is the set's alone."""
        return (self.quarantines or self.requires_examination) and not self.is_alteration


EVENT_KINDS: tuple[EventKind, ...] = (
    EventKind("shock_load", "Shock load", "Shock loaded", True, True, loaded=True),
    EventKind("overload", "Overload", "Overloaded", True, True, loaded=True),
    EventKind("drop", "Drop from height", "Dropped", True, True),
    EventKind("heat_or_chemical", "Heat or chemical contact", "Heat or chemical", True, True),
    EventKind("cut_or_abrasion", "Cut or abrasion", "Cut or abraded", True, True),
    EventKind("contamination", "Contamination: mud, salt, oil, sap", "Contaminated", False, True),
    EventKind("loss", "Lost, or lent without record", "Lost", True, True),
    EventKind("marking_illegible", "Marking cannot be read", "Marking illegible"),
    EventKind("near_miss_not_loaded", "Near miss, gear not loaded", "Near miss", loaded=False),
    EventKind("taken_out_of_use", "Taken out of use", "Taken out of use", True, True, by_hand=False),
    EventKind("shortened", "Shortened", "Shortened", False, True, True, by_hand=False),
    EventKind("divided", "Divided", "Divided", False, True, True, by_hand=False),
    EventKind("re_terminated", "New end made", "New end made", False, True, True, by_hand=False),
    EventKind("marking_renewed", "Marking renewed", "Marking renewed", False, True, True),
    EventKind("part_swapped", "Part swapped", "Part swapped", False, True, True),
    EventKind("recall", "Recall", "Recalled", by_hand=False),
    EventKind("recall_resolved", "Recall resolved", "Recall resolved", by_hand=False),
    EventKind("used", "Used", "Used", loaded=True, by_hand=False),
)

EVENTS_BY_CODE: dict[str, EventKind] = {kind.code: kind for kind in EVENT_KINDS}
EVENT_CHOICES: tuple[tuple[str, str], ...] = tuple((kind.code, kind.words) for kind in EVENT_KINDS)
LOADED_KINDS = tuple(kind.code for kind in EVENT_KINDS if kind.loaded is True)
NOT_LOADED_KINDS = tuple(kind.code for kind in EVENT_KINDS if kind.loaded is False)

INSPECTION_KINDS: tuple[tuple[str, str], ...] = (
    ("pre_use", "Pre-use check"),
    ("interim", "Interim inspection"),
    ("thorough", "Thorough examination"),
    ("after_event", "Examination after an event"),
    ("declaration", "Declaration of conformity"),
)
EXAMINATIONS = ("interim", "thorough", "after_event")
VERDICTS: tuple[tuple[str, str], ...] = (
    ("fit", "Fit"),
    ("remark", "Fit, with a remark"),
    ("out_of_use", "Out of use"),
    ("retire", "Retire"),
    ("not_examined", "Not examined: clean and dry first"),
)
PASSING = ("fit", "remark")
