"""The rod of one anchor: its length, its pieces in their order, where its couplings end up."""
