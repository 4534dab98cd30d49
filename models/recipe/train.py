"""Train the ear's network: a flat-start monophone TDNN with lattice-free MMI, on one GPU or a CPU."""
