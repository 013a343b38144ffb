"""Measured tests with proper results, exchange tests and figures side by side."""
