"""The conversation as pure functions: a state and an event give a state and actions.

Imports ``procedure``, ``words`` and ``weld``; knows no device, no file and no clock.
"""
