"""A physical model of a batch that knows nothing of the rules.

It draws a batch, lets one or two things go wrong in what was used or done, computes pH, curd,
haze, strength, fat, taste and keeping by the science, and says what a person would see and what
each check would show, with noise. It is the outside test of the advice and the source of drills.
"""

from advisor.simulator.batch import DIFFICULTIES, SimulatedBatch
from advisor.simulator.simulate import fault_ids, perform, simulate, topics

__all__ = ["DIFFICULTIES", "SimulatedBatch", "fault_ids", "perform", "simulate", "topics"]
