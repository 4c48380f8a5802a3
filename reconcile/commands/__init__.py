"""The commands: what each may be told, and what it does between the words typed and the exit status."""
