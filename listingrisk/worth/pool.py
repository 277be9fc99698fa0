"""Worth over several models it may be: the mixture by probability (method A11)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from listingrisk.worth.value import QUANTILES, Worth, quantile


def pool_worth(found: Sequence[tuple[float, Worth]]) -> Worth:
    """One worth from those of the likeliest candidates and their probabilities (renormalised here), likeliest first.

    Candidates without a basis are left out where another has one; the basis told is the likeliest one's.
    """
    priced = [(p, w) for p, w in found if w.basis is not None] or list(found)
    if len(priced) == 1:
        return priced[0][1]
    share = np.array([p for p, _ in priced])
    share = share / share.sum()
    values, at = np.unique(np.concatenate([w.values for _, w in priced]), return_inverse=True)
    mixed = np.concatenate([s * w.probabilities for s, (_, w) in zip(share, priced, strict=True)])
    probabilities = np.asarray(np.bincount(at.ravel(), mixed), dtype=float)
    first = priced[0][1]
    return replace(
        first,
        as_claimed=float(share @ [w.as_claimed for _, w in priced]),
        expected=float(values @ probabilities),
        quantiles=dict(zip(QUANTILES, quantile(values, probabilities, QUANTILES), strict=True)),
        values=values,
        probabilities=probabilities,
        frame=None,
    )
