"""What may be said: one definition makes the recogniser's grammar, the parser, the read-back and the cue card.

Imports nothing of ours but ``errors``.
"""
