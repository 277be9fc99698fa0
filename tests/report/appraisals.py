"""Appraisals as plain data, made by hand."""

from __future__ import annotations

import copy
from typing import Any

PLAIN: dict[str, Any] = {
    "schema": "listingrisk.appraisal/1",
    "listing": {
        "title": "GPO 332", "text": "GPO 332\nall original", "price": {"amount": 95.0, "currency": "GBP", "kind": "asking"}, "postage": {"amount": 9.5, "currency": "GBP"},
        "sale": "fixed", "place": None, "language": "en", "source": {"kind": "text", "name": None, "sha256": "0" * 64},
    },
    "subject": "telephone",
    "lot": None,
    "identity": [{"model": "uk-332", "probability": 0.88, "because": []}, {"model": "in-iti-332", "probability": 0.1, "because": []}, {"model": None, "probability": 0.02, "because": []}],
    "claims": {
        "models": [{"id": "uk-332", "name": "332", "standing": "asserted", "candidates": [], "quote": "332", "start": 4, "end": 7, "cue": None, "item": None}],
        "era": {"edtf": "193X", "standing": "hedged", "quote": "thirties", "start": 0, "end": 3, "cue": None},
        "eras": [],
        "parts": [
            {"slot": "dial", "part": None, "state": "present", "standing": "asserted", "quote": "dial", "start": 0, "end": 3, "cue": None, "item": None},
            {"slot": "drawer", "part": None, "state": "missing", "standing": "hedged", "quote": "drawer", "start": 0, "end": 3, "cue": None, "item": None},
        ],
        "flags": [{"flag": "untested", "standing": "asserted", "quote": "untested", "start": 0, "end": 3, "cue": None}],
        "stance": {"value": "sales_talk", "because": []},
    },
    "observations": [{"id": "finger_stop.shape", "value": "straight"}],
    "findings": [
        {
            "kind": "conflict", "slot": "dial", "model": "uk-332", "says": "This dial does not belong", "source": "memory", "row": "fits:uk-332.dial.uk-dial-21-steel.wrong",
            "because": [{"quote": "all original", "start": 8, "end": 20}, {"id": "finger_stop.shape", "value": "straight"}],
        },
        {"kind": "gap", "slot": None, "model": None, "says": "The inside is not shown", "source": "memory", "row": "slots:bell", "because": []},
        {"kind": "confirms", "slot": "drawer", "model": None, "says": "The drawer is right", "source": "memory", "row": "fits:x", "because": []},
    ],
    "risk": [
        {"node": "object", "states": {"as_claimed": 0.9, "other_model": 0.1, "assembled": 0.0, "reproduction": 0.0}, "terms": []},
        {"node": "words", "states": {"reliable": 0.2, "careless": 0.3, "misleading": 0.5}, "terms": []},
        {
            "node": "dial", "states": {"ok": 0.2, "service": 0.05, "wrong_type": 0.75},
            "terms": [{"says": "a near photo shows it", "state": "wrong_type", "weight_db": 16.0, "group": "photo", "source": "own", "grade": "guess", "quote": None}],
        },
    ],
    "worth": {"currency": "GBP", "as_claimed": 90.0, "expected": 60.0, "quantiles": {"0.1": 20.0, "0.5": 60.0, "0.9": 110.0}, "basis": "guide"},
    "max_price": {
        "currency": "GBP", "landed": 50.0, "bid": 40.5, "overpay_probability": 0.33, "cap_landed": 44.0, "close_call": False,
        "breakdown": [{"what": "worth as claimed", "amount": 90.0}, {"what": "deductions expected", "amount": -30.0}, {"what": "margin for being wrong", "amount": -10.0}, {"what": "postage", "amount": -9.5}, {"what": "bid", "amount": 40.5}],
    },
    "less_than_right_one": 0.34,
    "why_no_price": None,
    "questions": [
        {"id": "photo:base_off", "text": "Please photograph the inside.", "slots": ["bell", "capacitor"], "slot": "bell", "view": "base_off", "worth_asking": {"amount": 6.2, "unit": "GBP"}, "why": "settles bell and capacitor"},
    ],
    "views": {"shown": ["front", "dial"], "missing": ["base_off"]},
    "cautions": [{"text": "Unplug it first.", "source": "memory"}],
    "verdict": {"code": "above", "text": "Above: GBP 95.00 is asked, more than the most to pay, GBP 40.50."},
}  # fmt: skip


def appraisal(**changes: Any) -> dict[str, Any]:
    """The plain one with top keys changed."""
    return {**copy.deepcopy(PLAIN), **changes}
