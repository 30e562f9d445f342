"""Limits of use of a class of gear, as a form."""

from django import forms

from crewlog.web.answers import WholeField

WHOLE = {"invalid": "Write a whole number.", "min_value": "At least 1.", "max_value": "At most %(limit_value)s."}


class ClassLimitForm(forms.Form):
    """How many uses, and how much of its limit as a peak; empty is the class's default."""

    uses = WholeField(min_value=1, max_value=1_000_000, required=False, error_messages=WHOLE)
    share = WholeField(
        min_value=1,
        max_value=100,
        required=False,
        error_messages=WHOLE | {"max_value": "At most 100 %%: a limit of your own may be stricter, never looser."},
    )

    @property
    def peak_share_ratio(self) -> float | None:
        """The share as a ratio; all of the limit is the default and is not kept."""
        share = self.cleaned_data["share"]
        return None if share in (None, 100) else share / 100
