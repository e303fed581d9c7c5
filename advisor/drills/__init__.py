"""Drills: scenarios, sessions, scoring, and what to practise next."""
