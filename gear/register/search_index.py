"""The index of words by which items are found: keeping it, and reading no more of it than a page shows."""

from collections.abc import Sequence

from django.db.models import Exists, OuterRef

from crewlog.models import Company
from gear.models import GearItem, SearchWord
from gear.models.querysets import GearItemQuerySet
from gear.register.search_words import search_terms, search_words

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


def found_keys(company: Company, among: GearItemQuerySet[GearItem], text: str, limit: int) -> list[int]:
    """Keys of those of `among` that the words of a text find, at most so many.

    The words of the rarest term are read along their index until enough of them stand; one query, and one for each
    term to see which is the rarest.
    """
    terms = search_terms(text)
    if not terms:
        return list(among.order_by().values_list("pk", flat=True)[:limit])
    words = SearchWord.objects.filter(company=company)
    counts = [len(words.starting(term).values_list("pk")[: limit + 1]) for term in terms]
    rarest = counts.index(min(counts))
    found = words.starting(terms.pop(rarest)).filter(Exists(among.order_by().filter(pk=OuterRef("item"))))
    for term in terms:
        # By item alone: with the company beside it the index by start would be read to its end for every item.
        found = found.filter(Exists(SearchWord.objects.filter(item=OuterRef("item")).starting(term)))
    return list(found.values_list("item", flat=True).distinct()[:limit])
