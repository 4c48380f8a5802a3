"""The ledger: every movement of the stock, in the order of booking, in a file beside the stock workbook.

``book`` is that file: closings and their movements are added and never changed; what was wrong is reversed
by further movements. ``booking`` puts a closing and its new workbook on the disk: both or neither, whenever
it is stopped.

May enter: values, and the ledger's own file. May not enter: how a workbook is read or changed, what is
worked out of it, and words for a screen; ``work`` brings movements and the bytes of a changed workbook.

Tests: tests/ledger; laws of book-keeping are in tests/laws.
"""
