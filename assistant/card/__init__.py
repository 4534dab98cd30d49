"""A checklist as a page to print. Imports ``procedure``, ``words`` and ``dialogue.prompts``."""
