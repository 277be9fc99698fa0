"""The files people save of a listing: pages, mails, tables, plain text; each becomes one or more drafts."""

from listingrisk.reading.sources.draft import Draft, Stated, apply_stated, draft_text, stated_listing
from listingrisk.reading.sources.kinds import load_listings
from listingrisk.reading.sources.limits import MOST_BYTES

__all__ = ["MOST_BYTES", "Draft", "Stated", "apply_stated", "draft_text", "load_listings", "stated_listing"]
