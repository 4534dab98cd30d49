"""Questions about faults and their causes, asked and answered by voice: practice, and no work.

``loop`` is a conversation of its own, pure like that of the work; the shift's shell holds it.
"""
