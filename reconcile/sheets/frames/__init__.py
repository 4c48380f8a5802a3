"""Frame files: TOML to frames, every fault with its key and line, and the questions that make a new one.

``keys`` says what a file may hold, ``checks`` what its figures must agree on, ``files`` reads a folder of
them, ``questions`` asks for one key after another.

What may enter: TOML files of a folder, or the answers of a person. A frame with a fault is not used, and
its jobs are set aside.

Tests: tests/sheets/frames.
"""
