"""From a figure to what is printed: number and unit apart, rounded to the safe side, the last step."""

import pytest

from crewlog.quantities.display import Printed
from crewlog.quantities.number_style import COMMA, numbers_with
from jobs.wording.figure import (
    AS_IS,
    BEARING,
    DURATION,
    FORCE,
    GAUGE,
    HAND_FORCE,
    HANDS,
    LENGTH,
    LIMIT,
    LOAD,
    SHARE,
    STEM,
    Band,
    Count,
    Figure,
    words,
)
from jobs.wording.unit_formatter import UnitFormatter

METRIC, US = UnitFormatter("metric"), UnitFormatter("us")
LEAST = Figure("pre-tension, least", 401.0, FORCE, LOAD, at=GAUGE)
MOST = Figure("pre-tension, most", 2134.0, FORCE, LIMIT, at=GAUGE)


@pytest.mark.parametrize(
    ("write", "figure", "printed"),
    [
        (METRIC, MOST, Printed("2.13", "kN")),
        (METRIC, Figure("load", 2131.0, FORCE, LOAD, at=STEM), Printed("2.14", "kN")),
        (US, MOST, Printed("479", "lbf")),
        (METRIC, Figure("pull", 641.0, HAND_FORCE, LOAD, at=HANDS), Printed("650", "N")),
        (METRIC, Figure("pull, most", 649.0, HAND_FORCE, LIMIT, at=HANDS), Printed("640", "N")),
        (METRIC, Figure("share", 1.0001, SHARE, LOAD), Printed("101", "%")),
        (METRIC, Figure("lay", 7.4, BEARING, AS_IS), Printed("007", "°")),
        (METRIC, Figure("time", 41.0, DURATION), Printed("50", "s")),
        (METRIC, Figure("time", 121.0, DURATION), Printed("3", "min")),
        (US, Figure("line", 9.906, LENGTH), Printed("32\u00a0ft\u00a06", "in")),
        (METRIC, Count(4, "people"), Printed("4", "people")),
        (METRIC, "none", Printed("none")),
    ],
)
def test_a_figure_is_printed_as_number_and_unit(write, figure, printed):
    assert write.printed(figure) == printed


def test_a_band_has_its_unit_once_and_both_ends_on_the_safe_side():
    assert METRIC.printed(Band(LEAST, MOST)) == Printed("0.41–2.13", "kN")
    assert US.text(Band(LEAST, MOST)) == "91–479\u00a0lbf"


def test_a_band_of_two_units_names_both():
    assert US.text(Band(Figure("line", 0.1, LENGTH), Figure("line", 3.0, LENGTH))).startswith("4\u00a0in to 9\u00a0ft")


def test_words_print_their_figures_last():
    said = words("from {} to {}", LEAST, MOST)
    assert METRIC.text(said) == "from 0.41\u00a0kN to 2.13\u00a0kN"
    assert US.text(said) == "from 91\u00a0lbf to 479\u00a0lbf"
    with numbers_with(COMMA):
        assert METRIC.text(said) == "from 0,41\u00a0kN to 2,13\u00a0kN"


def test_braces_that_somebody_typed_are_text():
    assert METRIC.text(words("{}: {}", "{0} {x}", words("{} steps", 3))) == "{0} {x}: 3 steps"
