"""The commands about one aeroplane."""
