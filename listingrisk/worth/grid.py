"""Sums of deductions, exactly: every distribution is kept by its Fourier coefficients on a grid of whole money steps.

A deduction that takes c steps with probability p turns the coefficient at frequency t by p * exp(-2 pi i t c / N);
independent deductions multiply. The grid is longer than the dearest possible sum, so nothing wraps around, and worth
below the floor is cut by the function that is averaged (`Grid.functional`), not on the grid. Equal to a saturating
convolution; tests hold it against full enumeration. (Own; the transform is the textbook discrete Fourier transform.)
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from listingrisk.odds import FloatArray

ComplexArray = NDArray[np.complex128]
IntArray = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Grid:
    """Deductions of every slot state in whole steps: slot x state x atom, with the weight of the three atoms."""

    costs: IntArray
    inside_costs: IntArray
    """Deduction of each state of inside: inside x atom."""
    atoms: FloatArray
    """Weight of low, middle and high of a cost; sums to 1."""

    @cached_property
    def length(self) -> int:
        """Number of grid cells, a power of two beyond the dearest possible sum."""
        dearest = int(self.costs.max(axis=(1, 2), initial=0).sum() + self.inside_costs.max(initial=0))
        return max(2, 1 << dearest.bit_length())

    @cached_property
    def _roots(self) -> ComplexArray:
        return np.asarray(np.exp(-2j * np.pi * np.arange(self.length) / self.length), dtype=complex)

    def _turn(self, costs: IntArray) -> ComplexArray:
        frequency = np.arange(self.length // 2 + 1)
        turned = self._roots[(costs[..., None] * frequency) % self.length]
        return np.asarray(np.einsum("a,...at->...t", self.atoms, turned), dtype=complex)

    @cached_property
    def states(self) -> ComplexArray:
        """Coefficients of each slot state: slot x state x frequency."""
        return self._turn(self.costs)

    @cached_property
    def inside(self) -> ComplexArray:
        """Coefficients of each state of inside: inside x frequency."""
        return self._turn(self.inside_costs)

    @cached_property
    def state_parts(self) -> FloatArray:
        """The same with real and imaginary parts side by side, for products with real numbers."""
        return np.ascontiguousarray(self.states).view(float)

    def slots(self, probability: FloatArray) -> ComplexArray:
        """Coefficients of each slot: component x slot x frequency, from P(state | component) of component x slot x state."""
        mixed = np.matmul(probability.transpose(1, 0, 2), self.state_parts)
        return np.ascontiguousarray(mixed).view(complex).transpose(1, 0, 2)

    def functional(self, values: FloatArray) -> ComplexArray:
        """The vector whose real product with coefficients is the mean of `values` (by cost in steps): ... x frequency."""
        transformed = np.conj(np.fft.rfft(values, axis=-1)) / self.length
        transformed[..., 1:-1] *= 2
        return np.asarray(transformed, dtype=complex)

    def distribution(self, coefficients: ComplexArray) -> FloatArray:
        """Probability of each cost in steps."""
        found = np.clip(np.fft.irfft(coefficients, self.length, axis=-1), 0.0, None)
        return np.asarray(found / found.sum(axis=-1, keepdims=True), dtype=float)
