"""The append-only, hash-chained record of a shift and its voice clips.

Imports ``errors`` only.
"""
