"""The shop: what it says of itself, and its book with every revision."""

from __future__ import annotations

from collections.abc import Callable

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from trimwright.book.document import Book
from trimwright.book.files import book_bytes, read_book
from trimwright.web.jobs.devices import Device
from trimwright.web.jobs.models import BookRevision, ShopRecord
from trimwright.web.jobs.store.allowed import refuse_hands
from trimwright.web.jobs.store.rows import MOST_TRIES, NoSuchRecord, too_busy


def shop() -> ShopRecord:
    """The shop's row; as new when nothing was kept yet."""
    return ShopRecord.objects.filter(pk=1).first() or ShopRecord(pk=1)


def keep_shop(by: Device, **fields: str | bool) -> None:
    """Keep what the shop said of itself."""
    refuse_hands(by, _("The shop"))
    ShopRecord.objects.update_or_create(pk=1, defaults=fields)


def book_number() -> int:
    """The newest revision of the shop book; 0 while it is empty."""
    return BookRevision.objects.order_by("-number").values_list("number", flat=True).first() or 0


def book_at(number: int) -> Book:
    """The shop book as it was at a revision."""
    if number == 0:
        return Book()
    text = BookRevision.objects.filter(number=number).values_list("document", flat=True).first()
    if text is None:
        raise NoSuchRecord(f"shop book at {number}")
    return read_book(text.encode())


def book() -> Book:
    """The shop book as it is now."""
    return book_at(book_number())


def change_book(change: Callable[[Book], Book], by: Device, line: str) -> int:
    """Keep the book as `change` makes it of the newest one, whoever changed it just before; its revision."""
    refuse_hands(by, _("The shop book"))
    for _try in range(MOST_TRIES):
        number = book_number()
        before = book_at(number)
        changed = change(before)
        if changed == before:
            return number
        document = book_bytes(changed).decode()
        try:
            with transaction.atomic():
                BookRevision.objects.create(
                    number=number + 1,
                    document=document,
                    line=line,
                    by=by.name,
                    author=by.person,
                    at=timezone.now(),
                )
        except IntegrityError:  # another change came first
            continue
        return number + 1
    raise too_busy()


def book_history() -> list[BookRevision]:
    """Every revision of the shop book, newest first, without the documents."""
    return list(BookRevision.objects.defer("document").order_by("-number"))
