"""Microphone, speech gate and recogniser: sound in, words out.

Imports ``words`` (for grammars), ``places`` and ``errors``.
"""
