"""Figures of the decision core, not a test: python -m tests.benchmarks.bench_core (medians in ms, and the ratio to one
multiplication of two 400 x 400 matrices on the same machine)."""

from __future__ import annotations

import time
from decimal import Decimal

import numpy as np

from listingrisk.questions.rank import rank
from listingrisk.reading.listing import Money, Price
from listingrisk.risk.add import Said, SaidOfAll
from listingrisk.risk.assess import assess
from listingrisk.risk.nodes import build_nodes
from listingrisk.tables.find import table_folder
from listingrisk.tables.lexicon import load_lexicon
from listingrisk.tables.weights import load_weights
from listingrisk.worth.buyer import Buyer
from listingrisk.worth.ceiling import ceiling
from listingrisk.worth.landed import landing
from listingrisk.worth.value import value

SLOTS = "case base_plate feet drawer dial finger_wheel finger_stop dial_plate dial_card handset transmitter receiver handset_cord line_cord plug terminal_block switch_hook bell induction_coil capacitor regulator magneto works arrives_whole".split()
RUNS = 31


def main() -> None:
    """Print one row a situation."""
    weights, lexicon, buyer = load_weights(table_folder() / "models"), load_lexicon(), Buyer(currency="GBP")
    model = build_nodes("uk-332", ("uk-332", "300", "desk", "GB", "*"), SLOTS, weights)
    of_all = SaidOfAll("original", tuple(SLOTS[:-2]))
    price, cost = Price(Decimal(40), "GBP", "asking"), landing(buyer, Money(Decimal(10), "GBP"), weights, "GBP")
    square = np.random.default_rng(1).random((400, 400))
    yardstick = _median(lambda: square @ square)
    print(f"slots {len(model.slots)}; one 400 x 400 product {yardstick:.2f} ms")
    for name, said in (("nothing said", []), ("three slots said", [Said("bell", "ok"), Said("drawer", "ok"), Said("dial", "ok")]), ("three slots and all original", [Said("bell", "ok"), Said("drawer", "ok"), Said("dial", "ok"), of_all])):
        risk = assess((), said, model, weights)
        worth = value(risk, "uk-332", weights, buyer)
        steps = {
            "risk": lambda s=said: assess((), s, model, weights),
            "worth and price": lambda r=risk: ceiling(value(r, "uk-332", weights, buyer), buyer, cost, weights),
            "best set": lambda r=risk, w=worth: rank(r, w, buyer, lexicon, weights, price=price, cost=cost),
            "best one": lambda r=risk, w=worth: rank(r, w, buyer, lexicon, weights, price=price, cost=cost, most=1),
        }
        found = {step: _median(run) for step, run in steps.items()}
        whole = found["risk"] + found["worth and price"] + found["best set"]
        print(f"{name}: components {len(risk.mixture.weight)}; " + "; ".join(f"{k} {v:.2f}" for k, v in found.items()) + f"; all with the best set {whole:.2f} ms, ratio {whole / yardstick:.1f}")


def _median(run) -> float:
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return 1e3 * float(np.median(times))


if __name__ == "__main__":
    main()
