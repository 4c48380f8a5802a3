"""What the ledger keeps beside movements: jobs as booked, checks, holds, orders, the workbook's mark."""
