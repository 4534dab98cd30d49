"""What the foreman sees: a shift as text and as one self-contained page.

Imports ``record``, ``weld`` and ``words``.
"""
