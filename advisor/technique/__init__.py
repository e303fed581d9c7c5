"""Choosing a technique for a drink, the protocol that carries it out, the trial that proves it."""
