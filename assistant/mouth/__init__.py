"""Sentences and tones to sound, played on a loudspeaker that can be cut off at once.

Imports ``errors`` and ``sound_lock`` only.
"""
