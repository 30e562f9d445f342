"""The days kept with items, worked out anew."""

from typing import Any

from django.db import transaction

from crewlog.commands import CrewlogCommand
from gear.fitness.refresh import CHUNK, write_status_dates
from gear.lists.checking import in_batches
from gear.models import GearItem


class Command(CrewlogCommand):
    needs_database = True
    help = (
        "Works out anew the days on which each item turns overdue or unfit, as lists and searches read them. To be run "
        "after an upgrade that changes what a class of gear needs or when an item is fit. Changes no record."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        changed = 0
        with transaction.atomic():
            for items in in_batches(GearItem.objects.order_by("pk").iterator(chunk_size=CHUNK), CHUNK):
                changed += write_status_dates(items)
        self.stdout.write(f"{changed} items had other days." if changed else "Every item had its days.")
