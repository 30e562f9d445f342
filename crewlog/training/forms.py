"""The form of learning."""

from django import forms

from crewlog.models import Skill
from crewlog.web.form_boxes import one_of


class LearningForm(forms.Form):
    skill = one_of("Skill", Skill.choices, required=True, empty="Choose")
