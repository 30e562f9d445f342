"""Two rounds of the demo: one signed this morning, and one that waits half answered, with a failure in it."""

from django.utils import timezone

from gear.examinations.measuring import when_new
from gear.models import RoundDraft
from gear.rounds.services import Device, Given, keep_answers, start_round
from gear.rounds.sign import fingerprint, review_round, sign_round
from jobs.demo.scenario import Cast

SIGNED = ("C-09", "C-10")
WAITING = ("S-06", "P-01", "S-09", "B-08")
FAILS_AT, SAW = "cracks", "Hairline crack from the pin of the left cheek"
SECONDS_EACH = 75


def add_rounds(cast: Cast) -> None:
    """Begin both, answer them as the inspector's phone would, and sign the first."""
    signed = begin(cast, SIGNED, "Store, red box")
    for place in range(1, len(SIGNED) + 1):
        answer(cast, signed, place)
    sign_round(actor=cast.members["inspector"], draft=signed, shown=fingerprint(review_round(signed)))
    waiting = begin(cast, WAITING, "What falls due, van 2")
    answer(cast, waiting, 1)
    answer(cast, waiting, 2, only=3)
    fail(cast, waiting, len(WAITING))


def begin(cast: Cast, tags: tuple[str, ...], title: str) -> RoundDraft:
    items = [cast.items[tag] for tag in tags]
    return start_round(actor=cast.members["inspector"], items=items, kind="thorough", title=title)


def answer(cast: Cast, draft: RoundDraft, place: int, only: int | None = None) -> None:
    """Every point good and every figure as new, or the first few points alone."""
    item = draft.rows.select_related("item__company").get(position=place).item
    points = item.declared.checklist.points[:only]
    typed = {f"answer_{point.code}": "good" for point in points}
    if only is None:
        limited = (measure for measure in item.declared.measures if measure.has_limit)
        typed |= {f"measure_{measure.name}": f"{when_new(item, measure) or 0:g}" for measure in limited}
    send(cast, draft, place, typed)


def fail(cast: Cast, draft: RoundDraft, place: int) -> None:
    """One point failed and synced: the item is held, and how the employer was told is still to be said."""
    send(cast, draft, place, {f"answer_{FAILS_AT}": "fail", f"saw_{FAILS_AT}": SAW})


def send(cast: Cast, draft: RoundDraft, place: int, typed: dict[str, str]) -> None:
    now = timezone.now()
    keep_answers(
        actor=cast.members["inspector"],
        draft=draft,
        device=Device("demo phone", now),
        answers={place: [Given(name, value, now) for name, value in typed.items()]},
        seconds={place: SECONDS_EACH},
    )
