"""A tackle set is no better than its parts: while one of them has failed, nobody passes the set."""

from collections.abc import Collection

from crewlog.errors import RuleBroken
from gear.catalogue.events import PASSING
from gear.models import GearItem


def must_not_have_failed_parts(item: GearItem, verdict: str, *, passing: Collection[int] = ()) -> None:
    """Refuse to pass a tackle set while a part of it is out of use or retired.

    `passing` are keys of parts that pass under the same signature. Queries the parts unless they were fetched.
    """
    if verdict not in PASSING or not item.is_assembly:
        return
    failed = [part for part in item.parts.all() if part.pk not in passing and has_failed(part)]
    if failed:
        said = " ".join(f"{part.tag}: {part.retired_because or part.quarantined_because}." for part in failed)
        raise RuleBroken(
            f"A set with a failed part is not signed fit. {said} Swap the part, or have it examined and passed first.",
            code="part-failed",
            field="verdict",
        )


def has_failed(part: GearItem) -> bool:
    return part.retired_on is not None or part.quarantined_on is not None
