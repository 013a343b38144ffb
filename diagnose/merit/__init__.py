"""What the knowledge is worth: jobs drawn from it and from the model, and its figures of merit."""
