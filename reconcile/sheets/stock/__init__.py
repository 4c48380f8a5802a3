"""The stock workbook: its five sheets as one stock, with every problem and every row accounted for.

Rows become bins, bins become parts; what a row says of a bolt in columns and in words is joined, or told
where it disagrees. Orders, suppliers, price breaks and usage stand beside.

What may enter: an opened book, the settings and the day. Quantities leave in the unit of their part.

Tests: tests/sheets/stock.
"""
