"""Lapcall: a hands-free voice helper for hand-welding thermoplastic roofing membrane.

Arrows point one way: ``cli`` -> ``shift`` -> {``dialogue``, ``ear``, ``mouth``, ``record``};
``dialogue`` -> {``procedure``, ``words``, ``weld``}; ``review`` -> {``record``, ``weld``,
``words``}. ``words`` and ``weld`` import nothing of ours.
"""

__version__ = "0.1.0"
