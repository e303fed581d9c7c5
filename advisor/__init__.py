"""curdwise: advice for clarifying and enriching drinks with milk, fat and whey."""

__version__ = "0.1.0"
