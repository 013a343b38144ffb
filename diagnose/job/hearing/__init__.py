"""What a report in free words says: heard for a person to confirm, never taken silently."""
