"""Forms of Django that are generic in its stubs only, so that a form can say of which row it is."""

from typing import TYPE_CHECKING, Any, Self

from django import forms

if TYPE_CHECKING:
    from django.forms import ModelChoiceField, ModelForm, ModelMultipleChoiceField
else:

    class _Generic:
        def __class_getitem__(cls, row: Any) -> type[Self]:
            return cls

    class ModelForm(_Generic, forms.ModelForm):
        pass

    class ModelChoiceField(_Generic, forms.ModelChoiceField):
        pass

    class ModelMultipleChoiceField(_Generic, forms.ModelMultipleChoiceField):
        pass


__all__ = ["ModelChoiceField", "ModelForm", "ModelMultipleChoiceField"]
