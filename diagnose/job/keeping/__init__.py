"""What is kept of a job: its log on disk, the state that adds up to, and where they all lie."""
