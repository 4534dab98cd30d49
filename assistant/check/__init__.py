"""What is wrong or doubtful in a checklist that loads: pure, procedures in and findings out.

Imports ``procedure`` and ``words``; the command line imports it.
"""
