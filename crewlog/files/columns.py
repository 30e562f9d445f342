"""The column that holds a kept file's hash."""

from typing import TYPE_CHECKING, Any

from django.db import models

if TYPE_CHECKING:
    Text = models.CharField[str, str]
else:
    Text = models.CharField


class FileHashField(Text):
    """sha256 of a kept file. A file that no row of any such column names is swept; evidence is checked against it."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"max_length": 64, **kwargs})
