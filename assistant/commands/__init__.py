"""One module for each command of the command line: options in, exit code out.

Imports anything of ours; nothing of ours imports it but ``cli``.
"""
