"""What may be said: one definition makes the recogniser's grammar, the parser and the cue card.

The wording of read-backs lives here too. Imports nothing of ours but ``errors``.
"""
