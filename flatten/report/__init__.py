"""The report: numbers and pictures, as JSON and as a page to read."""
