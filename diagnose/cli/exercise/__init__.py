"""``diagnose exercise``: a simulated aeroplane with a hidden fault."""
