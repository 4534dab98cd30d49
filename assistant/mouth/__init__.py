"""Sentences and tones to sound, played on a loudspeaker that can be cut off at once.

Imports ``errors``, ``places`` and the sound library's two modules only.
"""
