"""What an engineer asks of the model, worked out; pages and drawings are made of it above."""
