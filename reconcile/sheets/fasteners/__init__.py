"""Descriptions of bolts, nuts and washers in the words of the trade, taken apart.

A description becomes tokens, tokens become thread, length, head and grade, with what was not understood
kept as doubts. Spellings of heads and grades become the names that standards use.

What may enter: text of a cell, or of a command line. Nothing here knows stock rows; a description that
contradicts itself is told, never guessed.

Tests: tests/sheets/fasteners.
"""
