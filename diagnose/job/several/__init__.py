"""Several complaints in one job."""
