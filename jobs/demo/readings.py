"""Pairs of readings on a tackle in the demo: the last of them says that its sheaves want looking at."""

from jobs.demo.scenario import Cast, Facts
from jobs.efficiency.services import Pair, record_efficiency_pairs


def add_readings(cast: Cast, listed: list[Facts]) -> None:
    """Record each calibration as the inspector took it."""
    for facts in listed:
        record_efficiency_pairs(
            actor=cast.members["inspector"],
            item=cast.items[facts["set"]],
            measured_on=cast.day(facts["day"]),
            parts=facts["parts"],
            rove=facts["rove"],
            pairs=[Pair(hand_n=hand_n, load_n=load_n) for hand_n, load_n in facts["pairs"]],
            load_cell=cast.items[facts["cell"]],
            conditions=facts["words"],
            from_paper=True,
        )
