"""The trade: what a peel test proves. Pure functions, exact numbers.

Imports nothing of ours.
"""
