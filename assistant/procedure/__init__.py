"""A checklist in YAML becomes typed steps; every fault is found at load, with file and line.

Imports ``words``, ``weld`` and ``errors``.
"""
