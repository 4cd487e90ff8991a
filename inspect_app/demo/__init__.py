"""The demonstration house: invented, with three years of history, and a practice ground with planted defects."""
