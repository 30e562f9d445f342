"""The words an item is found by."""

from django.db import models

from crewlog.models import Company
from gear.models.item import GearItem
from gear.models.querysets import SearchWordQuerySet


class SearchWord(models.Model):
    """One word or end of a number by which an item is found; kept by gear/register/search_index.py."""

    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="+", db_index=False)
    item = models.ForeignKey(GearItem, on_delete=models.CASCADE, related_name="search_words")
    word = models.CharField(max_length=40)

    objects = SearchWordQuerySet.as_manager()

    class Meta:
        indexes = [
            # The operator class lets PostgreSQL use the index for the start of a word in any collation.
            models.Index(
                fields=["company", "word", "item"],
                name="gear_searchword_by_start",
                opclasses=["int8_ops", "varchar_pattern_ops", "int8_ops"],
            ),
        ]

    def __str__(self) -> str:
        return self.word
