"""Fault diagnosis for the fuel systems of vintage piston aeroplanes."""
