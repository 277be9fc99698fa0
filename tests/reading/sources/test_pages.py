"""Saved pages, mails and tables of our own making: what is taken, and from where."""

from __future__ import annotations

import pathlib
from decimal import Decimal

import pytest

from listingrisk.errors import BadListing
from listingrisk.reading.sources import Draft, draft_text, load_listings

PAGES = pathlib.Path(__file__).parent / "pages"


def load(name: str) -> tuple[Draft, ...]:
    return load_listings((PAGES / name).read_bytes(), name)


def one(name: str) -> Draft:
    (draft,) = load(name)
    return draft


@pytest.mark.parametrize("path", sorted(PAGES.iterdir()), ids=lambda p: p.name)
def test_every_saved_file_gives_a_listing_without_code_in_it(path: pathlib.Path) -> None:
    drafts = load_listings(path.read_bytes(), path.name)
    assert any(d.fault is None for d in drafts)
    for draft in drafts:
        if draft.fault is None:
            text = draft_text(draft)
            assert "\n" not in draft.title
            assert not any(word in text for word in ("<script", "alert(1)", "window.state", "document.write", "onerror", "\0"))


def test_graph_of_json_ld_gives_price_postage_condition_and_place() -> None:
    draft = one("jsonld_graph.html")
    assert draft.kind == "html"
    assert draft.title == "Signal box telephone, Marlow Fell Railway"
    assert (draft.stated.price, draft.stated.currency) == (Decimal(85), "GBP")
    assert (draft.stated.postage, draft.stated.postage_currency) == (Decimal("9.50"), "GBP")
    assert (draft.stated.condition, draft.stated.availability, draft.stated.place) == ("UsedCondition", "InStock", "GB")
    assert dict(draft.taken)["price"] == "json-ld offers.price"


def test_a_cut_description_yields_to_the_page_that_holds_it() -> None:
    draft = one("jsonld_graph.html")
    assert "The drawer is missing." in draft.body
    assert dict(draft.taken)["body"] == "main text"
    assert "Home" not in draft.body
    assert "first order" not in draft.body


def test_a_longer_description_is_kept_as_lines_without_tags() -> None:
    draft = one("jsonld_long_description.html")
    assert draft.title == "Porter's telephone"
    assert draft.body.split("\n") == ["Porter's telephone from Fell Halt.", "Handset is cracked", "Dial works", "Collection from Fell Halt or post at cost."]
    assert (draft.stated.price, draft.stated.currency, draft.stated.place) == (Decimal(42), "EUR", "Fell Halt, IE")


def test_of_several_products_the_one_that_the_heading_names() -> None:
    assert one("jsonld_many_products.html").stated.price == Decimal(60)


def test_of_several_products_none_where_no_title_names_one() -> None:
    page = (PAGES / "jsonld_many_products.html").read_text(encoding="utf-8").replace("<h1>Platform telephone</h1>", "").replace("<title>Platform telephone</title>", "")
    assert load_listings(page.encode(), None)[0].stated.price is None


def test_offers_that_differ_give_no_price() -> None:
    page = b'<html><script type="application/ld+json">{"@type":"Product","name":"Box","description":"Two of them.","offers":[{"price":5,"priceCurrency":"GBP"},{"price":9,"priceCurrency":"GBP"}]}</script></html>'
    assert load_listings(page, None)[0].stated.price is None


def test_microdata() -> None:
    draft = one("microdata.html")
    assert (draft.stated.price, draft.stated.currency, draft.stated.postage) == (Decimal(1150), "GBP", Decimal(0))
    assert (draft.stated.condition, draft.stated.place) == ("UsedCondition", "Marlow Fell")
    assert draft.body.startswith("Gatekeeper's telephone with plaited cord.\nFinger wheel is steel.")
    assert "Clocks" not in draft.body


def test_open_graph_only() -> None:
    draft = one("open_graph_only.html")
    assert draft.title == "Linesman's telephone in a leather case"
    assert (draft.stated.price, draft.stated.currency, draft.stated.condition) == (Decimal("38.50"), "GBP", "used")
    assert dict(draft.taken)["body"] == "open graph og:description"


def test_busy_page_leaves_out_what_is_not_the_listing() -> None:
    draft = one("busy.html")
    for other in ("Typewriters", "cookies", "310", "4.99", "gold", "eight day", "£33", "save £10", "tax", "categories"):
        assert other not in draft_text(draft), other
    for own in ("£64", "£7.20", "hairline crack", "see the second picture", "Colour: Black", "Cord: Plaited brown"):
        assert own in draft.body, own


def test_broken_page() -> None:
    draft = one("broken.html")
    assert draft.title == "Shed telephone from the yard at Marlow Fell"
    for own in ("coil is missing", "25 pounds & post 6 pounds", "Cord: plaited", "Feet: three of four", "is sound < fine"):
        assert own in draft_text(draft), own


@pytest.mark.parametrize(("name", "sign"), [("page_cp1252.html", "£30 – “as found”"), ("page_utf16.html", "€55"), ("saved_qp.mhtml", "£95"), ("saved_base64.mht", "£95"), ("html_only.eml", "£35"), ("plain.eml", "– £40"), ("utf16.txt", "£20"), ("cp1252.txt", "£20")])
def test_character_sets(name: str, sign: str) -> None:
    assert sign in draft_text(one(name))


def test_saved_pages_take_the_root_part() -> None:
    assert (one("saved_qp.mhtml").title, one("saved_qp.mhtml").kind) == ("Tunnel telephone", "mhtml")
    assert one("saved_base64.mht").title == "Viaduct telephone"
    assert "frame" not in one("saved_base64.mht").body


def test_mail_prefers_plain_text_and_joins_flowed_lines() -> None:
    draft = one("plain.eml")
    assert draft.kind == "eml"
    assert draft.title == "Waiting room telephone – £40"
    assert draft.body == "Telephone from the waiting room at Marlow Fell. The dial is stiff but turns, the feet are missing.\n\nPost would be £8."


def test_mail_with_html_alone() -> None:
    draft = one("html_only.eml")
    assert (draft.title, draft.body) == ("Goods yard telephone", "Goods yard telephone, black, £35.\nThe induction coil is gone and the bell is there.")


def test_forwarded_mail_loses_headers_and_quoting_marks() -> None:
    draft = one("forwarded.eml")
    assert draft.title == "Lampman's telephone"
    assert draft.body == "Lampman's telephone, Marlow Fell Railway, 45 pounds.\nThe handset has a chip and the cord is new."


def test_mail_forwarded_as_an_attachment() -> None:
    inner = (PAGES / "forwarded.eml").read_text(encoding="utf-8")
    outer = f"Subject: look\nMIME-Version: 1.0\nContent-Type: multipart/mixed; boundary=q\n\n--q\nContent-Type: text/plain\n\nlook at this\n--q\nContent-Type: message/rfc822\n\n{inner}\n--q--\n"
    assert load_listings(outer.encode(), "a.eml")[0].title == "Lampman's telephone"


def test_box_of_two() -> None:
    first, second = load("two.mbox")
    assert (first.title, first.where) == ("Crossing telephone", "message 1")
    assert first.body.endswith("\nFrom the crossing at Fell Lane.")
    assert (second.title, second.kind) == ("Depot telephone", "eml")


def test_json_lines() -> None:
    cabin, halt, broken, empty = load("listings.jsonl")
    assert (cabin.kind, cabin.stated.price, cabin.stated.postage, cabin.stated.place) == ("jsonl", Decimal("22.00"), Decimal(0), "Nether Marlow")
    assert (halt.title, halt.stated.price, halt.stated.currency) == ("Halt telephone", Decimal("31.5"), "EUR")
    assert broken.fault == "listings.jsonl line 3 is no JSON object; write one object a line"
    assert empty.fault == "listings.jsonl line 4 has no title and no text; fill one of them"
    with pytest.raises(BadListing, match="line 4"):
        draft_text(empty)


def test_csv_with_semicolons() -> None:
    store, gate, empty, long = load("listings.csv")
    assert (store.body, store.stated.price, store.stated.postage, store.stated.currency) == ("Black; with a chip\nin the case", Decimal("1250.00"), Decimal("8.90"), "EUR")
    assert dict(store.taken)["price"] == "column Preis"
    assert (gate.title, gate.where) == ("Schranke", "row 4")
    assert empty.fault
    assert long.fault == "listings.csv row 6 has 7 cells and the header 6; quote cells that hold the delimiter"


def test_plain_text_is_kept_as_decoded() -> None:
    text = "  \nBox telephone\r\nDial turns.\n"
    draft = load_listings(text.encode(), "a.txt")[0]
    assert draft_text(draft) == text
    assert (draft.title, draft.kind) == ("Box telephone", "text")
    assert one("cp1252.txt").notices == ("cp1252.txt is not UTF-8; read as Windows-1252",)


@pytest.mark.parametrize("text", ["[For sale] old telephone\nblack", "{sic} telephone", "From: my uncle's shed\na telephone", "Title, price and all\nask me", "<3 this telephone\nblack"])
def test_pasted_text_that_only_resembles_another_kind(text: str) -> None:
    assert load_listings(text.encode(), None)[0].kind == "text"
