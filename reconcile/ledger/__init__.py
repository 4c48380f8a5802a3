"""The ledger: every movement of a part, kept beside the stock workbook."""
