"""The day around a ground run: card, readings back, what stands open, handover, close-out."""
