"""A form whose labels, hints, answers and messages are said in the company's words of felling."""

from django import forms

from crewlog.felling_words import BRITISH, felling_words
from jobs.wording.felling import felling


def say_felling_words(form: forms.BaseForm) -> None:
    """Put the program's words of a form's boxes in the words of felling in force; values stay as they are."""
    if felling_words() != BRITISH:
        return
    for field in form.fields.values():
        field.label = felling(str(field.label)) if field.label else field.label
        field.help_text = felling(str(field.help_text))
        field.error_messages = {code: felling(str(said)) for code, said in field.error_messages.items()}
        if isinstance(field, forms.ChoiceField) and not isinstance(field, forms.ModelChoiceField):
            offered = [*field.widget.choices]  # what is no text is a group of answers
            field.choices = [(value, felling(said) if isinstance(said, str) else said) for value, said in offered]
