"""The conversation as pure functions: a state and an event give a state and actions.

Imports ``procedure``, ``words``, ``weld`` and the names of record lines (``record.kinds``).
Knows no device, no file and no clock.
"""
