"""Records of many devices and days: brought together, given out as tables, and signed.

Imports ``record``, ``review.strips``, ``weld`` and ``errors``. A gathered job folder holds ordinary
record folders, so whatever reads one record reads these.
"""
