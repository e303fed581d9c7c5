"""The scales behind the words that rules and tables use."""

from __future__ import annotations

import math

__all__ = [
    "BASE_RATE",
    "BROUGHT",
    "DISTANT",
    "DOES",
    "EFFECTS",
    "FREQUENCIES",
    "FULL_STAGES",
    "NOT_LISTED",
    "OPERATIONS",
    "PRIORS",
    "WEIGHTS",
    "decibans",
    "weight_word",
]

# Decibans: 10 log10 of the likelihood ratio.
# Good IJ 1950, Probability and the Weighing of Evidence.
WEIGHTS = {"slight": 2.0, "moderate": 5.0, "strong": 10.0, "decisive": 20.0}

# Prior classes rather than fake decimals: crude estimates do (de Kleer 1990).
# Decibans against "often".
PRIORS = {"often": 0.0, "sometimes": -4.0, "seldom": -8.0, "rare": -12.0}

# How often a cause, when present, shows something. Judgement: the words are ours, the order is all
# that anybody has observed.
FREQUENCIES = {"always": 0.97, "usually": 0.80, "sometimes": 0.40, "rarely": 0.12, "never": 0.02}

# The share of "yes" when the cause at hand has nothing to do with it; a finding may say its own.
BASE_RATE = {"symptom": 0.03, "other": 0.20}

# A cause of another operation than the one made.
DISTANT = -25.0

# The reserved cause that keeps the advice honest, and its prior.
NOT_LISTED = "not-listed"

OPERATIONS = ("strip", "fat-wash", "whey-dose")

FULL_STAGES = (
    "base",
    "acid",
    "milk",
    "order",
    "temperature",
    "contact",
    "separation",
    "chill",
    "fat",
    "steep",
    "whey",
    "storage",
    "service",
    "label",
)


# What a technique does for a goal. Judgement: the order is the trade's, the sizes are ours.
DOES = {"much": 10.0, "some": 5.0, "a-little": 2.0, "nothing": -5.0, "against": -10.0}

# What a technique may bring into the drink, and the limits that rule it out.
BROUGHT = {
    "milk": ("no_dairy", "no_animal"),
    "egg": ("no_egg", "no_animal"),
    "nuts": ("no_nuts",),
    "peanut": ("no_nuts",),
    "sesame": ("no_sesame",),
    "soy": ("no_soy",),
    "fish": ("no_meat", "no_animal"),
    "meat": ("no_meat", "no_animal"),
}

# What a technique changes, in words, beside its goals.
EFFECTS = ("taste", "colour", "aroma", "strength", "body", "label", "keeping")


def decibans(ratio: float) -> float:
    """The weight of a likelihood ratio (> 0) in decibans."""
    return 10.0 * math.log10(ratio)


def weight_word(weight: float) -> str:
    """The word nearest to a weight's size: none, slight, moderate, strong or decisive."""
    size = abs(weight)
    if size < 1.0:
        return "none"
    return min(WEIGHTS, key=lambda word: abs(WEIGHTS[word] - size))
