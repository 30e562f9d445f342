"""The form of learning."""

from django import forms

from crewlog.form_boxes import one_of
from crewlog.models import Skill


class LearningForm(forms.Form):
    skill = one_of("Skill", Skill.choices, required=True, empty="Choose")
