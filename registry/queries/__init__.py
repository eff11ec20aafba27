"""What screens and listings show: one function each, a fixed number of statements, frozen dataclasses, no writes.

Every query of a state takes `at` (a stamp) and `known` (the size of the log that is believed).
"""
