"""The commands that ask the fuel-system model."""
