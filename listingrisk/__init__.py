"""listingrisk: what a stranger's listing of an old telephone is worth paying, and why.

>>> import listingrisk
>>> found = listingrisk.appraise("GPO 332 bakelite telephone 1948, all original\\nFully working. £140")
>>> found.one.identity[0].model
'uk-332'
>>> found.read.listing.price.amount
Decimal('140')
"""

from listingrisk.answers import read_answers
from listingrisk.appraise import Answers, Appraisal, appraise
from listingrisk.claims.claim import Claims, Observation
from listingrisk.claims.from_text import read
from listingrisk.crosscheck.check import crosscheck
from listingrisk.errors import BadAnswers, BadListing, BadTable, ListingRiskError
from listingrisk.tables.lexicon import Lexicon, load_lexicon
from listingrisk.worth.buyer import Buyer

__all__ = ["Answers", "Appraisal", "BadAnswers", "BadListing", "BadTable", "Buyer", "Claims", "Lexicon", "ListingRiskError", "Observation", "appraise", "crosscheck", "load_lexicon", "read", "read_answers"]
