"""The report on a class: on the screen, as JSON, as CSV files and as one HTML page."""
