"""The bucket-and-clock emitter test: flow of each emitter, how even they are, and which are clogged.

Low-quarter distribution uniformity is the mean of the lowest quarter of the sampled emitters divided by the
mean of all, as a percentage (UCCE Sonoma County, How to Calculate Distribution Uniformity).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sallow.care.water import positive
from sallow.errors import BadInput

# Our judgement: an emitter that gives less than half of what the others give is called clogged.
CLOGGED_BELOW = 0.5


@dataclass(frozen=True, slots=True)
class EmitterTest:
    """Result of a test: litres per hour of each emitter, mean, uniformity in %, and the clogged (from 1).

    ``mended_l_per_h`` and ``mended_percent`` are mean and uniformity of those that are not clogged.
    """

    flows_l_per_h: tuple[float, ...]
    mean_l_per_h: float
    uniformity_percent: float
    clogged: tuple[int, ...]
    mended_l_per_h: float
    mended_percent: float


def flow_l_per_h(caught_ml: float, seconds: float) -> float:
    """Litres per hour from millilitres caught in some seconds."""
    positive(seconds, "the catching time", "seconds", 24 * 3600)
    if caught_ml < 0:
        raise BadInput(f"the water caught cannot be negative; got {caught_ml:g} mL.")
    return caught_ml / seconds * 3.6


def low_quarter_uniformity(amounts: Sequence[float]) -> float:
    """Mean of the lowest quarter over the mean of all, in %; at least one value makes up the quarter."""
    if not amounts:
        raise BadInput("no emitter was measured; catch the water of at least four.")
    if min(amounts) < 0:
        raise BadInput("the water caught cannot be negative.")
    mean = sum(amounts) / len(amounts)
    if mean == 0:
        raise BadInput("no emitter gave any water; is the line open?")
    lowest = sorted(amounts)[: max(1, round(len(amounts) / 4))]
    # The lowest mean can exceed the overall mean by rounding dust when all are equal.
    return min(100.0, sum(lowest) / len(lowest) / mean * 100)


def emitter_test(caught_ml: Sequence[float], seconds: float) -> EmitterTest:
    """Flows, mean, uniformity and clogged emitters from the millilitres caught in the same time at each."""
    flows = tuple(flow_l_per_h(amount, seconds) for amount in caught_ml)
    uniformity = low_quarter_uniformity(flows)
    giving = sorted(flow for flow in flows if flow > 0)
    typical = giving[len(giving) // 2]
    clogged = tuple(place for place, flow in enumerate(flows, 1) if flow < CLOGGED_BELOW * typical)
    running = [flow for place, flow in enumerate(flows, 1) if place not in clogged]
    return EmitterTest(
        flows_l_per_h=flows,
        mean_l_per_h=sum(flows) / len(flows),
        uniformity_percent=uniformity,
        clogged=clogged,
        mended_l_per_h=sum(running) / len(running),
        mended_percent=low_quarter_uniformity(running),
    )
