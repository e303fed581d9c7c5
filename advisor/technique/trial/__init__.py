"""The bench trial: planned, poured blind, judged without overselling, and read for the next dose.

    >>> trial = plan_trial("milk-share", [10, 20, 30], tasters=8)
    >>> trial.test, trial.sense
    ('rate', 'astringency')
    >>> answers = read_answers(trial, "answers.csv")   # doctest: +SKIP
    >>> judge(trial, answers)                          # doctest: +SKIP
"""

from __future__ import annotations

from advisor.technique.trial.answers import (
    Answer,
    answers_from,
    answers_yaml,
    read_answers,
)
from advisor.technique.trial.choose import leverages, trial_for
from advisor.technique.trial.fit import Fit, NoFit, fit
from advisor.technique.trial.judge import Comparison, Judgement, judge
from advisor.technique.trial.model import Base, Cup, Flight, Sample, Trial
from advisor.technique.trial.plan import plan_trial
from advisor.technique.trial.pours import Pour, Preparation, preparation
from advisor.technique.trial.size import Size, sizes
from advisor.technique.trial.trialfile import read_trial, trial_from, trial_yaml

__all__ = [
    "Answer",
    "Base",
    "Comparison",
    "Cup",
    "Fit",
    "Flight",
    "Judgement",
    "NoFit",
    "Pour",
    "Preparation",
    "Sample",
    "Size",
    "Trial",
    "answers_from",
    "answers_yaml",
    "fit",
    "judge",
    "leverages",
    "plan_trial",
    "preparation",
    "read_answers",
    "read_trial",
    "sizes",
    "trial_for",
    "trial_from",
    "trial_yaml",
]
