"""What the trade talks about: small frozen values, standard library only, no I/O."""
