"""How much of each limit is used: one row a limit, under a digest that names nobody."""

from django.db import models


class SignInLimit(models.Model):
    """A bucket that fills with each try and leaks with time; `empty_at` is the moment it will be empty again."""

    key = models.CharField(max_length=64, primary_key=True)
    empty_at = models.DateTimeField(db_index=True)

    def __str__(self) -> str:
        return self.key[:8]
