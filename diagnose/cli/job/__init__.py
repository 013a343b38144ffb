"""The commands and screens of a job."""
