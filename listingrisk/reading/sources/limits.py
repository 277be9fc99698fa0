"""What is read at most of a file made by a stranger. More is refused in one line, never cut off in silence."""

from __future__ import annotations

MOST_BYTES = 5_000_000
"""Bytes of one file."""
HTML_DEPTH = 200
"""Elements within elements, after closing what a browser would close."""
HTML_TAGS = 30_000
"""Tags of one page that are kept, and signs in its text that need escaping; a listing's page has some thousands."""
JSON_DEPTH = 60
JSON_BLOCKS = 50
"""Blocks of JSON-LD in one page; later ones are left out."""
MIME_DEPTH = 12
MIME_PARTS = 200
MIME_CONTAINERS = 40
"""Multiparts and attached messages of one mail, counted before it is parsed."""
MIME_HEADER = 4_000
"""Characters of one Content-Type header."""
MAIL_LINES = 200_000
ROWS = 10_000
"""Rows of a table, objects of a JSON file, mails of an mbox."""
CELL = 100_000
"""Characters of one cell of a table."""
ATTRIBUTE = 20_000
"""Characters kept of one attribute of a tag."""
TITLE = 300
"""Characters of a title; a longer one is shortened at a word."""
LARGEST_AMOUNT = 1_000_000_000
