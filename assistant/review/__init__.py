"""What the foreman sees: a shift as text and as one self-contained page.

Imports ``record`` and ``weld``.
"""
