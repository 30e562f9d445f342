"""Keeping the words by which items are found."""

from collections.abc import Sequence

from gear.models import GearItem, SearchWord
from gear.words import search_words

NAMES = ("tag", "description", "maker", "maker_model", "storage_place", "colour_tracer")
NUMBERS = ("serial", "batch")
FOUND_BY = {*NAMES, *NUMBERS}


def words_of(item: GearItem) -> set[str]:
    return search_words(
        names=[getattr(item, name) for name in NAMES], numbers=[getattr(item, name) for name in NUMBERS]
    )


def write_words(items: Sequence[GearItem]) -> None:
    """Write the words of items just registered."""
    SearchWord.objects.bulk_create(
        (
            SearchWord(company_id=item.company_id, item=item, word=word)
            for item in items
            for word in sorted(words_of(item))
        ),
        batch_size=2000,
    )


def rewrite_words(item: GearItem) -> None:
    """Write the words of an item anew after a change."""
    SearchWord.objects.filter(item=item).delete()
    write_words([item])
