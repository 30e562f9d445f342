"""Items found by words, no more than are wanted: a search of a hundred thousand items ends with the first thousand."""

from django.db.models import Exists, OuterRef

from crewlog.models import Company
from gear.models import SearchWord
from gear.querysets import GearItemQuerySet
from gear.words import search_terms


def found_keys(company: Company, among: GearItemQuerySet, text: str, most: int) -> list[int]:
    """Keys of those of `among` that the words of a text find, at most so many.

    The words of the rarest term are read along their index until enough of them stand; one query, and one for each
    term to see which is the rarest.
    """
    terms = search_terms(text)
    if not terms:
        return list(among.order_by().values_list("pk", flat=True)[:most])
    words = SearchWord.objects.filter(company=company)
    counts = [len(words.starting(term).values_list("pk")[: most + 1]) for term in terms]
    rarest = counts.index(min(counts))
    found = words.starting(terms.pop(rarest)).filter(Exists(among.order_by().filter(pk=OuterRef("item"))))
    for term in terms:
        # By item alone: with the company beside it the index by start would be read to its end for every item.
        found = found.filter(Exists(SearchWord.objects.filter(item=OuterRef("item")).starting(term)))
    return list(found.values_list("item", flat=True).distinct()[:most])
