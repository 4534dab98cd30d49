"""What a record proves: its lines as welds, tests and faults, and that told in words.

Imports ``record``, ``weld`` and ``words``. Nothing is decided here that ``weld`` decides.
"""
