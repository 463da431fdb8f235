"""The physics of towing: waves, water, drag and line; numbers only."""
