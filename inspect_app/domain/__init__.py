"""The model and the rules of the trade: standard library only, no files, no clock, no randomness."""
