"""What the file states joins what the text says."""

from __future__ import annotations

import pathlib
from decimal import Decimal

from listingrisk.claims.from_text import read
from listingrisk.reading.listing import Money, Price
from listingrisk.reading.sources import Draft, Stated, apply_stated, draft_text, load_listings
from listingrisk.tables.lexicon import Lexicon

PAGES = pathlib.Path(__file__).parent / "pages"


def merged(draft: Draft, lexicon: Lexicon, currency: str | None = None):
    return apply_stated(read(draft_text(draft), lexicon), draft, currency).listing


def test_structured_price_wins_and_keeps_the_kind(lexicon: Lexicon) -> None:
    draft = Draft("Old telephone", "Black. Open to offers around £70.", "html", Stated(price=Decimal(85), currency="GBP"))
    read_alone = read(draft_text(draft), lexicon).listing
    assert read_alone.price.amount == 70
    listing = merged(draft, lexicon)
    assert listing.price == Price(Decimal(85), "GBP", read_alone.price.kind)


def test_without_a_price_in_the_text_it_is_asked_and_fixed(lexicon: Lexicon) -> None:
    listing = merged(Draft("Old telephone", "Black, untested.", "csv", Stated(price=Decimal(30), postage=Decimal(5))), lexicon, "EUR")
    assert (listing.price, listing.postage, listing.sale) == (Price(Decimal(30), "EUR", "asking"), Money(Decimal(5), "EUR"), "fixed")


def test_nothing_stated_changes_nothing(lexicon: Lexicon) -> None:
    draft = Draft("Old telephone", "Black, £20.", "eml")
    found = read(draft_text(draft), lexicon)
    assert apply_stated(found, draft) is found


def test_currency_of_the_text_serves_a_price_without_one(lexicon: Lexicon) -> None:
    assert merged(Draft("Old telephone", "Black, £20.", "csv", Stated(price=Decimal(22))), lexicon).price == Price(Decimal(22), "GBP")


def test_area_served_only_fills_a_gap(lexicon: Lexicon) -> None:
    area = Draft("Old telephone", "Black.", "html", Stated(place="GB"), taken=(("place", "json-ld areaServed"),))
    assert merged(area, lexicon).place == "GB"
    column = Draft("Old telephone", "Black.", "csv", Stated(place="Nether Marlow"), taken=(("place", "column Ort"),))
    assert merged(column, lexicon).place == "Nether Marlow"


def test_a_page_from_file_to_listing(lexicon: Lexicon) -> None:
    (draft,) = load_listings((PAGES / "jsonld_graph.html").read_bytes(), "a.html")
    listing = merged(draft, lexicon)
    assert (listing.price, listing.postage) == (Price(Decimal(85), "GBP"), Money(Decimal("9.50"), "GBP"))


def test_a_busy_page_gives_the_price_of_the_telephone(lexicon: Lexicon) -> None:
    (draft,) = load_listings((PAGES / "busy.html").read_bytes(), "a.html")
    listing = merged(draft, lexicon)
    assert (listing.price.amount, listing.price.currency, listing.postage.amount) == (Decimal(64), "GBP", Decimal("7.20"))
