"""The way in: workbooks, csv and TOML files become values and problems."""
