"""The settings file: all keys optional, whatever is wrong with it found in one go.

One module for each table of it that has rules of its own. A share is read in one way everywhere.

What may enter: a TOML file. A run does not start on half of the settings, so that any fault stops it.

Tests: tests/sheets/settings.
"""
