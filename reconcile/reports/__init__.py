"""The way out: a planned week becomes workbooks, csv, JSON or a screen. Renders, never computes."""
