"""Files made to harm: limits hold, nothing is run or followed, and whatever the bytes, drafts or one line."""

from __future__ import annotations

import pathlib
import socket

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from listingrisk.errors import BadListing
from listingrisk.reading.sources import MOST_BYTES, Draft, draft_text, load_listings

PAGES = pathlib.Path(__file__).parent / "pages"
SAMPLES = [(p.name, p.read_bytes()) for p in sorted(PAGES.iterdir())]
MAIL = b"MIME-Version: 1.0\nSubject: x\n"

REFUSED = {
    "empty": (b" \n", "is empty"),
    "large": (b"a" * (MOST_BYTES + 1), "is larger than 5,000,000 bytes"),
    "zero bytes": (b"tele\0phone", "holds zero bytes"),
    "controls": (b"tele\x01\x02\x03phone", "holds control bytes"),
    "pdf": (b"%PDF-1.7\n", "is a PDF"),
    "zip": (b"PK\x03\x04abc", "is a packed file"),
    "nested page": (b"<html>" + b"<div>" * 10_000, "nested more than 200 deep"),
    "100,000 tags": (b"<html>" + b"<p>a</p>" * 100_000, "more than 30,000 tags"),
    "references": (b"<html>" + b"&amp;" * 100_000, "more than 30,000 tags"),
    "page without text": (b"<html><body><script>x</script></body></html>", "without text of a listing"),
    "nested json": (b"[" * 100_000, "nested more than 60 deep"),
    "nested json-ld": (b'<html><script type="application/ld+json">' + b'{"a":' * 5_000 + b"</script>", "nested more than 60 deep"),
    "json lines": (b'{"title":"a"}\n' * 10_001, "more than 10,000 lines"),
    "rows": (b"title,price\n" + b"a,1\n" * 10_001, "more than 10,000 rows"),
    "cell": (b"title,price\n" + b"a" * 120_000, "a cell of more than 100,000 characters"),
    "mails": (b"From a b 2025\nSubject: x\n\n" * 10_001, "more than 10,000 mails"),
    "nested mail": (MAIL + b"".join(b"Content-Type: multipart/mixed; boundary=%d\n\n--%d\n" % (i, i) for i in range(20)), "nested more than 12 deep"),
    "many containers": (MAIL + b"".join(b"Content-Type: multipart/mixed; boundary=%d\n\n--%d\n" % (i, i) for i in range(100)), "more than 40 mails and parts"),
    "parts": (MAIL + b"Content-Type: multipart/mixed; boundary=b\n\n" + b"--b\n\na\n" * 300, "more than 200 parts"),
    "long header": (MAIL + b"Content-Type: text/plain" + b";" * 100_000, "Content-Type of more than 4,000 characters"),
    "mail lines": (MAIL + b"\n" * 200_001, "more than 200,000 lines"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_limits_are_one_line_with_what_to_do(case: str) -> None:
    data, says = REFUSED[case]
    with pytest.raises(BadListing) as caught:
        load_listings(data, "given.file")
    line = str(caught.value)
    assert says in line
    assert line.startswith("given.file")
    assert "; " in line
    assert "\n" not in line


@pytest.mark.parametrize("unit", ["<", "<!--", "<a ", "<a b='", '<a b="', "</", "<![CDATA[", "<script>", "<title>", "<textarea>", "&#x", "<!DOCTYPE [", "<?", "<b>", "<!--x-->"])
def test_unclosed_markup_is_read_or_refused_in_linear_time(unit: str) -> None:
    """The standard parser alone needs minutes for some of these; here each is a second at most."""
    holds_or_refuses((unit * (1_000_000 // len(unit))).encode(), "a.html")


def test_script_text_and_hidden_text_say_nothing() -> None:
    (draft,) = load_listings((PAGES / "hostile_script.html").read_bytes(), None)
    assert draft.title == "Hut telephone"
    assert draft.body == "Hut telephone, dial missing, sold as it stands by the line."
    assert (draft.stated.price, draft.stated.currency) == (None, None)


def test_entities_are_not_expanded() -> None:
    (draft,) = load_listings((PAGES / "hostile_entities.html").read_bytes(), None)
    assert "&b; &x;" in draft.body
    assert "root:" not in draft.body


def test_encoded_line_ends_stay_in_the_title() -> None:
    (draft,) = load_listings((PAGES / "hostile_header.eml").read_bytes(), None)
    assert draft.title == "Bell set Bcc: all@home.invalid injected"


def test_nothing_is_fetched(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("the network was used")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    for name, data in SAMPLES:
        load_listings(data, name)


@pytest.mark.parametrize("price", ["1e999999", "-5", "NaN", "Infinity", "9" * 5_000, "1e-999999", "true", '"1e9"', '{"amount":"x"}', "[]", '"\\ud800"'])
def test_odd_prices_are_no_price(price: str) -> None:
    data = f'{{"title":"Box","price":{price}}}'.encode()
    try:
        (draft,) = load_listings(data, "a.json")
    except BadListing:
        return
    assert draft.stated.price is None


NAMES = st.sampled_from([None, "a.html", "a.mhtml", "a.eml", "a.mbox", "a.csv", "a.json", "a.jsonl", "a.txt", "a.\n", "\x00"])


def holds_or_refuses(data: bytes, name: str | None) -> tuple[Draft, ...]:
    try:
        drafts = load_listings(data, name)
    except BadListing as error:
        assert "\n" not in str(error)
        return ()
    assert drafts
    for draft in drafts:
        if draft.fault is None:
            draft_text(draft).encode("utf-8")
            assert "\n" not in draft.title
    return drafts


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.binary(max_size=400), NAMES)
def test_any_bytes(data: bytes, name: str | None) -> None:
    holds_or_refuses(data, name)


PIECES = st.sampled_from([b"<", b">", b"</div>", b"<table><td>", b"<script>", b'"', b"'", b"{", b"[", b"]}", b"\\ud800", b"&#xD800;", b"=\n", b"--x\n", b'\nContent-Type: multipart/mixed; boundary="\n\n', b"\nFrom a b\nA: b\n", b"\xff", b"\xfe\xff", b",", b";", b"\r", b"=?utf-8?b?", b"<!--", b'<meta charset="rot13">', b"charset=idna", b"begin 644 x\n", b" itemscope itemprop=offers ", b"1e9999", b":null,"])


@settings(max_examples=400, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_changed_samples(data: st.DataObject) -> None:
    name, sample = data.draw(st.sampled_from(SAMPLES))
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, len(sample)))
        cut = data.draw(st.sampled_from([0, 0, 1, 5, 40, 400]))
        sample = sample[:at] + data.draw(PIECES | st.binary(max_size=4)) + sample[at + cut :]
    holds_or_refuses(sample, data.draw(st.sampled_from([name, None, "a.txt"])))
