"""The demonstration workshop's tables, and how they become its workbooks."""
